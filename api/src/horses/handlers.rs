//! The addresses of horses.
use super::rows::{self, HorseRow};
use super::wire::{HorseIn, HorseOut, HorsePatch, HorseQuery};
use crate::access::guard::{Change, Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Horse, Id};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a horse, and of what hangs under it.
    pub struct HorseKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The horse.
        pub horse_id: Id<Horse>,
    }
}

/// The horses of a barn.
pub struct Horses;

impl Entity for Horses {
    const NAME: &'static str = "horses";
    const RESOURCE: Resource = Resource::Horse;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    /// Everybody may ask for the list; it holds what each may know of.
    fn relation(&self, _: &Standing) -> Relation {
        Relation { owned: true, paired: true, ..Relation::default() }
    }
}

impl Entity for HorseRow {
    const NAME: &'static str = "horse";
    const RESOURCE: Resource = Resource::Horse;
    const VERSIONED: bool = true;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.horse_id)
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.id)
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List the horses.
///
/// Trainers see all, others the horses they own or are paired with.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses", params(BarnKey, HorseQuery),
    responses((status = 200, description = "A page of horses.", body = Page<HorseOut>)))]
pub async fn list(may: May<Horses, Read>, query: Query<HorseQuery>) -> Result<Reply<Page<HorseOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, &query)?))).await
}

/// Add a horse.
///
/// It starts with the limits of its preset, which are conventions to edit, not veterinary advice.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses", params(BarnKey), request_body = HorseIn,
    responses((status = 201, description = "The new horse.", body = HorseOut)))]
pub async fn create(may: May<Horses, Create>, body: Json<HorseIn>) -> Result<Reply<HorseOut>, Problem> {
    may.write(body, |tx, _, horse| {
        let row = rows::create(tx, horse)?;
        let (location, today) = (format!("/api/v1/barns/{}/horses/{}", row.barn_id, row.id), tx.who.today(tx.now));
        Ok(Reply::created(&rows::show(tx.conn(), row, today)?, location).version(1))
    })
    .await
}

/// One horse.
///
/// Its profile and its normal stride.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}", params(HorseKey),
    responses((status = 200, description = "The horse.", body = HorseOut)))]
pub async fn get(may: May<HorseRow, Read>) -> Result<Reply<HorseOut>, Problem> {
    may.read(|look, row| {
        let (version, today) = (row.version, look.who.today(look.now));
        Ok(Reply::ok(&rows::show(look.conn(), row, today)?).version(version))
    })
    .await
}

/// Change a horse.
///
/// Fields left out stay as they are; a new normal stride serves from its date on.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/horses/{horse_id}", params(HorseKey), request_body = HorsePatch,
    responses((status = 200, description = "The horse as changed.", body = HorseOut)))]
pub async fn change(may: May<HorseRow, Change>, body: Json<HorsePatch>) -> Result<Reply<HorseOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = rows::change(tx, row, patch)?;
        let (version, today) = (row.version, tx.who.today(tx.now));
        Ok(Reply::ok(&rows::show(tx.conn(), row, today)?).version(version))
    })
    .await
}

/// Remove a horse.
///
/// Its log stays. Refused while the horse is booked for sessions to come.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/horses/{horse_id}", params(HorseKey),
    responses((status = 204, description = "The horse is no longer in the barn.")))]
pub async fn remove(may: May<HorseRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::remove(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
