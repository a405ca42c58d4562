//! The addresses of people, and of all that hangs under a barn.
use super::rows::{self, PersonRow};
use super::wire::{PersonIn, PersonOut, PersonPatch, PersonQuery};
use crate::access::guard::{Change, Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::people::changes;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Id, Person};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a barn, and of what hangs under it.
    pub struct BarnKey {
        /// The barn.
        pub barn_id: Id<Barn>,
    }
}

key! {
    /// The address of a person, and of what hangs under it.
    pub struct PersonKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The person.
        pub person_id: Id<Person>,
    }
}

/// The people of a barn.
pub struct People;

impl Entity for People {
    const NAME: &'static str = "people";
    const RESOURCE: Resource = Resource::Person;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    /// Everybody may ask for the list; it holds whom each may know of.
    fn relation(&self, _: &Standing) -> Relation {
        Relation { own: true, ..Relation::default() }
    }
}

impl Entity for PersonRow {
    const NAME: &'static str = "person";
    const RESOURCE: Resource = Resource::Person;
    const VERSIONED: bool = true;
    type Key = PersonKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &PersonKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.person_id)
    }

    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: who.is_own(self.id), open: self.trainer, ..Relation::default() }
    }

    fn version(&self) -> Option<i64> {
        Some(self.version)
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// List the people.
///
/// Trainers see all. Others see themselves, the minors they are guardian of, and the trainers' names.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/people", params(BarnKey, PersonQuery),
    responses((status = 200, description = "A page of people.", body = Page<PersonOut>)))]
pub async fn list(may: May<People, Read>, query: Query<PersonQuery>) -> Result<Reply<Page<PersonOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, &query)?))).await
}

/// Add a person.
///
/// Somebody the barn knows, with or without a sign-in: an invitation links an account later.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/people", params(BarnKey), request_body = PersonIn,
    responses((status = 201, description = "The new person.", body = PersonOut)))]
pub async fn create(may: May<People, Create>, body: Json<PersonIn>) -> Result<Reply<PersonOut>, Problem> {
    may.write(body, |tx, _, new| {
        let row = changes::create(tx, new)?;
        let location = format!("/api/v1/barns/{}/people/{}", row.barn_id, row.id);
        Ok(Reply::created(&rows::show(row, tx.who)?, location).version(1))
    })
    .await
}

/// One person.
///
/// Of a trainer, others see the name only.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/people/{person_id}", params(PersonKey),
    responses((status = 200, description = "The person.", body = PersonOut)))]
pub async fn get(may: May<PersonRow, Read>) -> Result<Reply<PersonOut>, Problem> {
    may.read(|look, row| {
        let version = row.version;
        Ok(Reply::ok(&rows::show(row, look.who)?).version(version))
    })
    .await
}

/// Change a person.
///
/// Who is no trainer changes the name and the step length, their own and those of the minors they are
/// guardian of. The barn's last trainer with a sign-in keeps the role.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/people/{person_id}", params(PersonKey),
    request_body = PersonPatch, responses((status = 200, description = "The person as changed.", body = PersonOut)))]
pub async fn change(may: May<PersonRow, Change>, body: Json<PersonPatch>) -> Result<Reply<PersonOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = changes::change(tx, row, patch)?;
        let version = row.version;
        Ok(Reply::ok(&rows::show(row, tx.who)?).version(version))
    })
    .await
}

/// Remove a person.
///
/// They are shut out from the next request on; their ownerships and pairings end, what they did stays. The
/// barn's last trainer with a sign-in cannot be removed, nor whom sessions to come need.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/people/{person_id}", params(PersonKey),
    responses((status = 204, description = "The person is removed.")))]
pub async fn remove(may: May<PersonRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        changes::remove(tx, row)?;
        Ok(Reply::empty())
    })
    .await
}
