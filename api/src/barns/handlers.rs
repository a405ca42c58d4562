//! The addresses of barns.
use super::memberships;
use super::rows::{self, BarnRow};
use super::wire::{BarnIn, BarnOut, BarnPatch, BarnQuery};
use crate::access::audit;
use crate::access::guard::{Change, Create, Entity, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::booking::flags;
use crate::db::conn::AnyConn;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::sign_in::me::OwnMemberships;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::policy::{Relation, Resource};

impl Entity for BarnRow {
    const NAME: &'static str = "barn";
    const RESOURCE: Resource = Resource::Barn;
    const VERSIONED: bool = true;
    type Key = BarnKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &BarnKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id)
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.barn_id.to_string()
    }
}

/// List one's barns.
///
/// Those that the caller's account belongs to.
#[utoipa::path(get, path = "/api/v1/barns", params(BarnQuery),
    responses((status = 200, description = "A page of barns.", body = Page<BarnOut>)))]
pub async fn list(may: May<OwnMemberships, Read>, query: Query<BarnQuery>) -> Result<Reply<Page<BarnOut>>, Problem> {
    may.read_with(query, |look, own, query| Ok(Reply::ok(&rows::page(look, own.row.id, &query)?))).await
}

/// Found another barn.
///
/// The caller becomes its trainer.
#[utoipa::path(post, path = "/api/v1/barns", request_body = BarnIn,
    responses((status = 201, description = "The new barn.", body = BarnOut)))]
pub async fn create(may: May<OwnMemberships, Create>, body: Json<BarnIn>) -> Result<Reply<BarnOut>, Problem> {
    may.write(body, |tx, OwnMemberships { row }, new| {
        let (app, head, now, account) = (tx.app, tx.head, tx.now, row.id);
        memberships::require_room(tx.conn(), account)?;
        let (barn, _) = rows::found(app, tx.conn(), (account, row.name), new, "", now)?;
        let id = barn.barn_id;
        audit::append(tx.conn(), id, account.uuid(), head, "barn", &id.to_string(), 201, b"", now)?;
        Ok(Reply::created(&barn.show()?, format!("/api/v1/barns/{id}")).version(1))
    })
    .await
}

/// One barn.
///
/// Its settings, for everybody in it.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}", params(BarnKey),
    responses((status = 200, description = "The barn.", body = BarnOut)))]
pub async fn get(may: May<BarnRow, Read>) -> Result<Reply<BarnOut>, Problem> {
    may.read(|_, row| {
        let version = row.version;
        Ok(Reply::ok(&row.show()?).version(version))
    })
    .await
}

/// Change a barn.
///
/// Fields left out stay as they are. A new time zone holds for the past too: what happened near midnight may
/// move to the day before or after, and with it the counts of those days; what is booked is tested again at once.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}", params(BarnKey), request_body = BarnPatch,
    responses((status = 200, description = "The barn as changed.", body = BarnOut)))]
pub async fn change(may: May<BarnRow, Change>, body: Json<BarnPatch>) -> Result<Reply<BarnOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let zone = row.time_zone.clone();
        let row = rows::change(tx.conn(), row, patch)?;
        if row.time_zone != zone {
            flags::test_all_again(tx, &row.time_zone)?;
        }
        let version = row.version;
        Ok(Reply::ok(&row.show()?).version(version))
    })
    .await
}
