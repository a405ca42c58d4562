//! Whose a horse is.
pub mod rows;
pub mod wire;

use self::rows::OwnershipRow;
use self::wire::{OwnershipIn, OwnershipOut, OwnershipQuery};
use super::handlers::HorseKey;
use super::rows as horses;
use crate::access::guard::{Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Horse, Id, Ownership};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of an ownership.
    pub struct OwnershipKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The horse.
        pub horse_id: Id<Horse>,
        /// The ownership.
        pub ownership_id: Id<Ownership>,
    }
}

/// The ownerships of a horse.
pub struct Ownerships(Id<Horse>);

impl Entity for Ownerships {
    const NAME: &'static str = "ownerships";
    const RESOURCE: Resource = Resource::Ownership;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0)
    }
}

impl Entity for OwnershipRow {
    const NAME: &'static str = "ownership";
    const RESOURCE: Resource = Resource::Ownership;
    const VERSIONED: bool = true;
    type Key = OwnershipKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &OwnershipKey) -> QueryResult<Option<Self>> {
        if horses::find(c, key.barn_id, key.horse_id)?.is_none() {
            return Ok(None);
        }
        rows::find(c, key.barn_id, key.horse_id, key.ownership_id)
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.horse_id)
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List whose a horse is.
///
/// For trainers and its owners.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/ownerships", params(HorseKey, OwnershipQuery),
    responses((status = 200, description = "A page of ownerships.", body = Page<OwnershipOut>)))]
pub async fn list_ownerships(
    may: May<Ownerships, Read>,
    query: Query<OwnershipQuery>,
) -> Result<Reply<Page<OwnershipOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&rows::page(look, of.0, &query)?))).await
}

/// Say that a horse is somebody's.
///
/// The person needs the role owner; several may own one horse.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/ownerships", params(HorseKey),
    request_body = OwnershipIn, responses((status = 201, description = "The new ownership.", body = OwnershipOut)))]
pub async fn create_ownership(
    may: May<Ownerships, Create>,
    body: Json<OwnershipIn>,
) -> Result<Reply<OwnershipOut>, Problem> {
    may.write(body, |tx, of, new| {
        let row = rows::create(tx, of.0, &new)?;
        let location = format!("/api/v1/barns/{}/horses/{}/ownerships/{}", row.barn_id, row.horse_id, row.id);
        Ok(Reply::created(&row.show(), location).version(1))
    })
    .await
}

/// One ownership.
///
/// That it is no longer there means that it ended.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/ownerships/{ownership_id}",
    params(OwnershipKey), responses((status = 200, description = "The ownership.", body = OwnershipOut)))]
pub async fn get_ownership(may: May<OwnershipRow, Read>) -> Result<Reply<OwnershipOut>, Problem> {
    may.read(|_, row| Ok(Reply::ok(&row.show()).version(row.version))).await
}

/// End an ownership.
///
/// The limits that the owner set stay; another owner may end them.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/ownerships/{ownership_id}",
    params(OwnershipKey), responses((status = 204, description = "The ownership has ended.")))]
pub async fn end_ownership(may: May<OwnershipRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::end(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
