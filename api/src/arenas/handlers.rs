//! The addresses of arenas.
use super::rows::{self, ArenaRow};
use super::wire::{ArenaIn, ArenaOut, ArenaPatch, ArenaQuery};
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
use stridewright_core::ids::{Arena, Barn, Id};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of an arena.
    pub struct ArenaKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The arena.
        pub arena_id: Id<Arena>,
    }
}

/// The arenas of a barn.
pub struct Arenas;

impl Entity for Arenas {
    const NAME: &'static str = "arenas";
    const RESOURCE: Resource = Resource::Facility;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

impl Entity for ArenaRow {
    const NAME: &'static str = "arena";
    const RESOURCE: Resource = Resource::Facility;
    const VERSIONED: bool = true;
    type Key = ArenaKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &ArenaKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.arena_id)
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

/// List the arenas.
///
/// Those in use, for everybody in the barn.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/arenas", params(BarnKey, ArenaQuery),
    responses((status = 200, description = "A page of arenas.", body = Page<ArenaOut>)))]
pub async fn list(may: May<Arenas, Read>, query: Query<ArenaQuery>) -> Result<Reply<Page<ArenaOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, &query)?))).await
}

/// Add an arena.
///
/// A rectangle; x runs along its length and y across it, from one corner.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/arenas", params(BarnKey), request_body = ArenaIn,
    responses((status = 201, description = "The new arena.", body = ArenaOut)))]
pub async fn create(may: May<Arenas, Create>, body: Json<ArenaIn>) -> Result<Reply<ArenaOut>, Problem> {
    may.write(body, |tx, _, arena| {
        let row = rows::create(tx, arena)?;
        let location = format!("/api/v1/barns/{}/arenas/{}", row.barn_id, row.id);
        Ok(Reply::created(&rows::show(row)?, location).version(1))
    })
    .await
}

/// One arena.
///
/// Its size, footing, hours, and what stands in the way.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/arenas/{arena_id}", params(ArenaKey),
    responses((status = 200, description = "The arena.", body = ArenaOut)))]
pub async fn get(may: May<ArenaRow, Read>) -> Result<Reply<ArenaOut>, Problem> {
    may.read(|_, row| {
        let version = row.version;
        Ok(Reply::ok(&rows::show(row)?).version(version))
    })
    .await
}

/// Change an arena.
///
/// Fields left out stay as they are; lists are replaced whole. Sessions already booked keep their time.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/arenas/{arena_id}", params(ArenaKey), request_body = ArenaPatch,
    responses((status = 200, description = "The arena as changed.", body = ArenaOut)))]
pub async fn change(may: May<ArenaRow, Change>, body: Json<ArenaPatch>) -> Result<Reply<ArenaOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = rows::change(tx, row, patch)?;
        let version = row.version;
        Ok(Reply::ok(&rows::show(row)?).version(version))
    })
    .await
}

/// Remove an arena.
///
/// It leaves the list; what was ridden there keeps it. Refused while a session that is not over uses it.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/arenas/{arena_id}", params(ArenaKey),
    responses((status = 204, description = "It is removed.")))]
pub async fn remove(may: May<ArenaRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::remove(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
