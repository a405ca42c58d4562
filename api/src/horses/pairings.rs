//! Which rider may ride a horse, and up to what height.
pub mod rows;
pub mod wire;

use self::rows::PairingRow;
use self::wire::{AllPairingQuery, PairingIn, PairingOut, PairingPatch, PairingQuery};
use super::handlers::HorseKey;
use super::rows as horses;
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
use stridewright_core::ids::{Barn, Horse, Id, Pairing};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a pairing, and of what hangs under it.
    pub struct PairingKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The horse.
        pub horse_id: Id<Horse>,
        /// The pairing.
        pub pairing_id: Id<Pairing>,
    }
}

/// The pairings of a horse.
pub struct Pairings(Id<Horse>);

impl Entity for Pairings {
    const NAME: &'static str = "pairings";
    const RESOURCE: Resource = Resource::Pairing;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    /// Whoever rides the horse finds their own pairing in the list.
    fn relation(&self, who: &Standing) -> Relation {
        let to_horse = who.to_horse(self.0);
        Relation { own: to_horse.paired, ..to_horse }
    }
}

/// The pairings of a barn.
pub struct AllPairings;

impl Entity for AllPairings {
    const NAME: &'static str = "pairings of the barn";
    const RESOURCE: Resource = Resource::Pairing;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    /// Everybody may ask for the list; it holds what each may know of.
    fn relation(&self, _: &Standing) -> Relation {
        Relation { own: true, ..Relation::default() }
    }
}

impl Entity for PairingRow {
    const NAME: &'static str = "pairing";
    const RESOURCE: Resource = Resource::Pairing;
    const VERSIONED: bool = true;
    type Key = PairingKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &PairingKey) -> QueryResult<Option<Self>> {
        if horses::find(c, key.barn_id, key.horse_id)?.is_none() {
            return Ok(None);
        }
        rows::find(c, key.barn_id, key.horse_id, key.pairing_id)
    }

    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: who.is_own(self.rider_id), ..who.to_horse(self.horse_id) }
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List who may ride a horse.
///
/// Trainers and owners see all, riders their own pairing.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings", params(HorseKey, PairingQuery),
    responses((status = 200, description = "A page of pairings.", body = Page<PairingOut>)))]
pub async fn list_pairings(
    may: May<Pairings, Read>,
    query: Query<PairingQuery>,
) -> Result<Reply<Page<PairingOut>>, Problem> {
    may.read_with(query, |look, of, query| {
        let query = AllPairingQuery { rider_id: None, cursor: query.cursor, limit: query.limit };
        Ok(Reply::ok(&rows::page(look, Some(of.0), &query)?))
    })
    .await
}

/// List the pairings of the barn.
///
/// Trainers see all, owners those of their horses, riders their own.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/pairings", params(BarnKey, AllPairingQuery),
    responses((status = 200, description = "A page of pairings.", body = Page<PairingOut>)))]
pub async fn list_all_pairings(
    may: May<AllPairings, Read>,
    query: Query<AllPairingQuery>,
) -> Result<Reply<Page<PairingOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, None, &query)?))).await
}

/// Pair a rider with a horse.
///
/// The person needs the role rider.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings", params(HorseKey),
    request_body = PairingIn, responses((status = 201, description = "The new pairing.", body = PairingOut)))]
pub async fn create_pairing(may: May<Pairings, Create>, body: Json<PairingIn>) -> Result<Reply<PairingOut>, Problem> {
    may.write(body, |tx, of, new| {
        let row = rows::create(tx, of.0, &new)?;
        let location = format!("/api/v1/barns/{}/horses/{}/pairings/{}", row.barn_id, row.horse_id, row.id);
        Ok(Reply::created(&row.show()?, location).version(1))
    })
    .await
}

/// One pairing.
///
/// That it is no longer there means that it ended.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}", params(PairingKey),
    responses((status = 200, description = "The pairing.", body = PairingOut)))]
pub async fn get_pairing(may: May<PairingRow, Read>) -> Result<Reply<PairingOut>, Problem> {
    may.read(|_, row| Ok(Reply::ok(&row.show()?).version(row.version))).await
}

/// Change a pairing.
///
/// Its level, and the height up to which the pair may book on its own.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}", params(PairingKey),
    request_body = PairingPatch, responses((status = 200, description = "The pairing as changed.", body = PairingOut)))]
pub async fn change_pairing(
    may: May<PairingRow, Change>,
    body: Json<PairingPatch>,
) -> Result<Reply<PairingOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = rows::change(tx, row, patch)?;
        Ok(Reply::ok(&row.show()?).version(row.version))
    })
    .await
}

/// End a pairing.
///
/// What the pair rode stays in the log.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}", params(PairingKey),
    responses((status = 204, description = "The pairing has ended.")))]
pub async fn end_pairing(may: May<PairingRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::end(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
