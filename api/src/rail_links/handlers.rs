//! The addresses of rail links: trainers hand them out and take them back.
use super::rows::{self, RailLinkRow};
use super::wire::{RailLinkIn, RailLinkMade, RailLinkOut, RailLinkQuery};
use crate::access::guard::{Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::{QueryResult, Queryable};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Id, RailLink, Session};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a session's rail links.
    pub struct SessionOfLinksKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The session.
        pub session_id: Id<Session>,
    }
}

key! {
    /// The address of a rail link.
    pub struct RailLinkKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The session.
        pub session_id: Id<Session>,
        /// The rail link.
        pub rail_link_id: Id<RailLink>,
    }
}

/// A session, as far as its links ask.
#[derive(Debug, Clone, Queryable)]
pub struct SessionOfLinks {
    pub barn_id: Id<Barn>,
    pub id: Id<Session>,
    pub kind: String,
    pub status: String,
    pub ends_at: Instant,
}

impl Entity for SessionOfLinks {
    const NAME: &'static str = "rail links";
    const RESOURCE: Resource = Resource::RailLink;
    type Key = SessionOfLinksKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &SessionOfLinksKey) -> QueryResult<Option<Self>> {
        rows::session(c, key.barn_id, key.session_id)
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

impl Entity for RailLinkRow {
    const NAME: &'static str = "rail link";
    const RESOURCE: Resource = Resource::RailLink;
    const VERSIONED: bool = true;
    type Key = RailLinkKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &RailLinkKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.session_id, key.rail_link_id)
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

/// List a session's rail links.
///
/// Expired and revoked ones too; never their secrets.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/rail-links",
    params(SessionOfLinksKey, RailLinkQuery),
    responses((status = 200, description = "A page of rail links.", body = Page<RailLinkOut>)))]
pub async fn list(
    may: May<SessionOfLinks, Read>,
    query: Query<RailLinkQuery>,
) -> Result<Reply<Page<RailLinkOut>>, Problem> {
    may.read_with(query, |look, session, query| Ok(Reply::ok(&rows::page(look, &session, &query)?))).await
}

/// Hand out a rail link.
///
/// Whoever holds its secret logs the rides of this session until it expires. For that they read the session, its
/// entries with the names of horses and riders, its rides, and the revision of the exercise it rides; nothing else.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/rail-links",
    params(SessionOfLinksKey), request_body = RailLinkIn,
    responses((status = 201, description = "The new link with its secret.", body = RailLinkMade)))]
pub async fn create(may: May<SessionOfLinks, Create>, body: Json<RailLinkIn>) -> Result<Reply<RailLinkMade>, Problem> {
    may.write(body, |tx, session, link| {
        let made = rows::create(tx, &session, link)?;
        let location = format!("/api/v1/barns/{}/sessions/{}/rail-links/{}", session.barn_id, session.id, made.link.id);
        Ok(Reply::created(&made, location).version(1))
    })
    .await
}

/// One rail link.
///
/// Without its secret.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/rail-links/{rail_link_id}",
    params(RailLinkKey), responses((status = 200, description = "The link.", body = RailLinkOut)))]
pub async fn get(may: May<RailLinkRow, Read>) -> Result<Reply<RailLinkOut>, Problem> {
    may.read(|_, row| {
        let version = row.version;
        Ok(Reply::ok(&rows::show(row)?).version(version))
    })
    .await
}

/// Revoke a rail link.
///
/// From now on its secret opens nothing; the rides logged with it stay.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/rail-links/{rail_link_id}",
    params(RailLinkKey), responses((status = 204, description = "It is revoked.")))]
pub async fn revoke(may: May<RailLinkRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::revoke(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
