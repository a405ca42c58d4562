//! The addresses of outings.
use super::rows::{self, OutingRow};
use super::wire::{OutingIn, OutingOut, OutingPatch, OutingQuery};
use crate::access::guard::{Change, Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::horses::handlers::HorseKey;
use crate::horses::rows as horses;
use crate::key;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Horse, Id, Outing};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of an outing.
    pub struct OutingKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The horse.
        pub horse_id: Id<Horse>,
        /// The outing.
        pub outing_id: Id<Outing>,
    }
}

/// The outings of a horse.
pub struct Outings(Id<Horse>);

impl Entity for Outings {
    const NAME: &'static str = "outings";
    const RESOURCE: Resource = Resource::Outing;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0)
    }
}

impl Entity for OutingRow {
    const NAME: &'static str = "outing";
    const RESOURCE: Resource = Resource::Outing;
    const VERSIONED: bool = true;
    type Key = OutingKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &OutingKey) -> QueryResult<Option<Self>> {
        if horses::find(c, key.barn_id, key.horse_id)?.is_none() {
            return Ok(None);
        }
        rows::find(c, key.barn_id, key.horse_id, key.outing_id)
    }

    /// A rider's own is what they recorded of a horse that they still ride.
    fn relation(&self, who: &Standing) -> Relation {
        let to_horse = who.to_horse(self.horse_id);
        Relation { own: to_horse.paired && who.is_own(self.recorded_by), ..to_horse }
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List a horse's outings.
///
/// For trainers, its owners, and whoever is paired with it.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/outings", params(HorseKey, OutingQuery),
    responses((status = 200, description = "A page of outings.", body = Page<OutingOut>)))]
pub async fn list(may: May<Outings, Read>, query: Query<OutingQuery>) -> Result<Reply<Page<OutingOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&rows::page(look, of.0, &query)?))).await
}

/// Plan or log an outing.
///
/// A planned one is answered with what the horse's limits say to it, and refused only under a stand-down. With
/// `done` a past one is logged at once: a log is a fact and never refused. Its jumps count: what is booked is tested
/// again at once, and a booking whose binding limit it breaks is a request again, with its flags, until it is decided anew.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/outings", params(HorseKey),
    request_body = OutingIn, responses((status = 201, description = "The new outing.", body = OutingOut)))]
pub async fn create(may: May<Outings, Create>, body: Json<OutingIn>) -> Result<Reply<OutingOut>, Problem> {
    may.write(body, |tx, of, new| {
        let (row, warnings) = rows::create(tx, of.0, new)?;
        let location = format!("/api/v1/barns/{}/horses/{}/outings/{}", row.barn_id, row.horse_id, row.id);
        Ok(Reply::created(&row.show(tx.who, warnings)?, location).version(1))
    })
    .await
}

/// One outing.
///
/// Planned, done or cancelled.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/outings/{outing_id}", params(OutingKey),
    responses((status = 200, description = "The outing.", body = OutingOut)))]
pub async fn get(may: May<OutingRow, Read>) -> Result<Reply<OutingOut>, Problem> {
    may.read(|look, row| Ok(Reply::ok(&row.show(look.who, Vec::new())?).version(row.version))).await
}

/// Change an outing, or say what was jumped.
///
/// For trainers, its owners, and the rider who recorded it.
/// `done` closes it and counts from then on in place of the plan. A change of what is done is a correction:
/// the version before it stays, uncounted, and names this one in `superseded_by`.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/outings/{outing_id}", params(OutingKey),
    request_body = OutingPatch, responses((status = 200, description = "The outing as changed.", body = OutingOut)))]
pub async fn change(may: May<OutingRow, Change>, body: Json<OutingPatch>) -> Result<Reply<OutingOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let (row, warnings) = rows::change(tx, row, patch)?;
        Ok(Reply::ok(&row.show(tx.who, warnings)?).version(row.version))
    })
    .await
}

/// Cancel an outing.
///
/// Only one that was not jumped; for trainers, its owners, and the rider who recorded it.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/outings/{outing_id}", params(OutingKey),
    responses((status = 204, description = "The outing is cancelled.")))]
pub async fn cancel(may: May<OutingRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::cancel(tx, row)?;
        Ok(Reply::empty())
    })
    .await
}
