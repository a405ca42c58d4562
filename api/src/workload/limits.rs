//! The limits on a horse's work: who may set which, and the addresses of them.
pub mod rows;
pub mod wire;

use self::rows::LimitRow;
use self::wire::{LimitIn, LimitOut, LimitPatch, LimitQuery};
use crate::access::guard::{Change, Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::horses::handlers::HorseKey;
use crate::horses::rows as horses;
use crate::key;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Horse, Id, WorkloadLimit};
use stridewright_core::policy::{Action, Relation, Resource, Verdict};
use stridewright_core::rest::Source;

key! {
    /// The address of a workload limit.
    pub struct LimitKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The horse.
        pub horse_id: Id<Horse>,
        /// The limit.
        pub workload_limit_id: Id<WorkloadLimit>,
    }
}

const fn resource(source: Source) -> Resource {
    match source {
        Source::BarnDefault | Source::Trainer => Resource::Limit,
        Source::Owner => Resource::OwnerLimit,
        Source::Vet => Resource::VetLimit,
    }
}

/// The limits of a horse.
pub struct Limits(Id<Horse>);

impl Entity for Limits {
    const NAME: &'static str = "workload limits";
    /// Trainers and owners alike may record a vet's; whose limit a new one is shows in the body.
    const RESOURCE: Resource = Resource::VetLimit;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0)
    }
}

impl Entity for LimitRow {
    const NAME: &'static str = "workload limit";
    const RESOURCE: Resource = Resource::Limit;
    const VERSIONED: bool = true;
    type Key = LimitKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &LimitKey) -> QueryResult<Option<Self>> {
        if horses::find(c, key.barn_id, key.horse_id)?.is_none() {
            return Ok(None);
        }
        rows::find(c, key.barn_id, key.horse_id, key.workload_limit_id)
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.horse_id)
    }

    fn resource(&self) -> Resource {
        resource(self.source.0)
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List a horse's workload limits.
///
/// For trainers and its owners. Every limit applies; the strictest wins.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/workload-limits", params(HorseKey, LimitQuery),
    responses((status = 200, description = "A page of limits.", body = Page<LimitOut>)))]
pub async fn list_limits(may: May<Limits, Read>, query: Query<LimitQuery>) -> Result<Reply<Page<LimitOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&rows::page(look, of.0, &query)?))).await
}

/// Set a workload limit.
///
/// Trainers set their own, owners theirs, both record a vet's. An owner's or a vet's binds everybody, hard or
/// not. Limits are conventions, not veterinary advice. What is booked is tested again at once.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/workload-limits", params(HorseKey),
    request_body = LimitIn, responses((status = 201, description = "The new limit.", body = LimitOut)))]
pub async fn create_limit(may: May<Limits, Create>, body: Json<LimitIn>) -> Result<Reply<LimitOut>, Problem> {
    may.write(body, |tx, of, new| {
        if new.source == Source::BarnDefault {
            return Err(Problem::at_odds("/source", "must be trainer, owner or vet: the barn's come with a preset"));
        }
        if tx.who.may(resource(new.source), Action::Create, tx.who.to_horse(of.0)) != Verdict::Allow {
            let detail = "A trainer's limit is set by trainers, an owner's by an owner of the horse.";
            return Err(Problem::new(Kind::Forbidden).with_detail(detail));
        }
        let row = rows::create(tx, of.0, new)?;
        let location = format!("/api/v1/barns/{}/horses/{}/workload-limits/{}", row.barn_id, row.horse_id, row.id);
        Ok(Reply::created(&row.show()?, location).version(1))
    })
    .await
}

/// One workload limit.
///
/// One that is over can still be read.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/workload-limits/{workload_limit_id}",
    params(LimitKey), responses((status = 200, description = "The limit.", body = LimitOut)))]
pub async fn get_limit(may: May<LimitRow, Read>) -> Result<Reply<LimitOut>, Problem> {
    may.read(|_, row| Ok(Reply::ok(&row.show()?).version(row.version))).await
}

/// Change a workload limit.
///
/// Its numbers, its validity, whether it is hard; its kind and whose it is stay. An owner's is changed by
/// owners only. What is booked is tested again at once.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/workload-limits/{workload_limit_id}",
    params(LimitKey), request_body = LimitPatch,
    responses((status = 200, description = "The limit as changed.", body = LimitOut)))]
pub async fn change_limit(may: May<LimitRow, Change>, body: Json<LimitPatch>) -> Result<Reply<LimitOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = rows::change(tx, row, patch)?;
        Ok(Reply::ok(&row.show()?).version(row.version))
    })
    .await
}

/// End a workload limit.
///
/// Yesterday was its last day; it can still be read.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/workload-limits/{workload_limit_id}",
    params(LimitKey), responses((status = 204, description = "The limit has ended.")))]
pub async fn end_limit(may: May<LimitRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::end(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
