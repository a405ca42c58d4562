//! The addresses of fence sets.
use super::rows::{self, FenceSetRow};
use super::wire::{FenceSetIn, FenceSetOut, FenceSetPatch, FenceSetQuery};
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
use stridewright_core::ids::{Barn, FenceSet, Id};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a fence set.
    pub struct FenceSetKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The fence set.
        pub fence_set_id: Id<FenceSet>,
    }
}

/// The fence sets of a barn.
pub struct FenceSets;

impl Entity for FenceSets {
    const NAME: &'static str = "fence_sets";
    const RESOURCE: Resource = Resource::Facility;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

impl Entity for FenceSetRow {
    const NAME: &'static str = "fence_set";
    const RESOURCE: Resource = Resource::Facility;
    const VERSIONED: bool = true;
    type Key = FenceSetKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &FenceSetKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.fence_set_id)
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List the fence sets.
///
/// Those in use, for everybody in the barn.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/fence-sets", params(BarnKey, FenceSetQuery),
    responses((status = 200, description = "A page of fence sets.", body = Page<FenceSetOut>)))]
pub async fn list(may: May<FenceSets, Read>, query: Query<FenceSetQuery>) -> Result<Reply<Page<FenceSetOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, &query)?))).await
}

/// Add a fence set.
///
/// An inventory, counted piece by piece.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/fence-sets", params(BarnKey), request_body = FenceSetIn,
    responses((status = 201, description = "The new fence set.", body = FenceSetOut)))]
pub async fn create(may: May<FenceSets, Create>, body: Json<FenceSetIn>) -> Result<Reply<FenceSetOut>, Problem> {
    may.write(body, |tx, _, set| {
        let row = rows::create(tx, set)?;
        let location = format!("/api/v1/barns/{}/fence-sets/{}", row.barn_id, row.id);
        Ok(Reply::created(&rows::show(row)?, location).version(1))
    })
    .await
}

/// One fence set.
///
/// What is there, piece by piece.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/fence-sets/{fence_set_id}", params(FenceSetKey),
    responses((status = 200, description = "The fence set.", body = FenceSetOut)))]
pub async fn get(may: May<FenceSetRow, Read>) -> Result<Reply<FenceSetOut>, Problem> {
    may.read(|_, row| {
        let version = row.version;
        Ok(Reply::ok(&rows::show(row)?).version(version))
    })
    .await
}

/// Change a fence set.
///
/// Fields left out stay as they are; the items are replaced whole.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/fence-sets/{fence_set_id}", params(FenceSetKey), request_body = FenceSetPatch,
    responses((status = 200, description = "The fence set as changed.", body = FenceSetOut)))]
pub async fn change(may: May<FenceSetRow, Change>, body: Json<FenceSetPatch>) -> Result<Reply<FenceSetOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = rows::change(tx, row, patch)?;
        let version = row.version;
        Ok(Reply::ok(&rows::show(row)?).version(version))
    })
    .await
}

/// Remove a fence set.
///
/// It leaves the list. Refused while a session that is not over uses it.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/fence-sets/{fence_set_id}", params(FenceSetKey),
    responses((status = 204, description = "It is removed.")))]
pub async fn remove(may: May<FenceSetRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::remove(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
