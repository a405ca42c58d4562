//! Guardians: the adults who act for a minor.
use super::guardian_rows::{self, GuardianRow};
use super::handlers::PersonKey;
use super::rows::{self, PersonRow};
use super::wire::{GuardianIn, GuardianOut, GuardianQuery};
use crate::access::guard::{Create, Entity, May, Read, Remove};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::key;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Id, Person};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a guardian.
    pub struct GuardianKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The minor.
        pub person_id: Id<Person>,
        /// The guardian, a person too.
        pub guardian_id: Id<Person>,
    }
}

/// The guardians of a person.
pub struct Guardians(PersonRow);

impl Entity for Guardians {
    const NAME: &'static str = "guardians";
    const RESOURCE: Resource = Resource::Person;
    type Key = PersonKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &PersonKey) -> QueryResult<Option<Self>> {
        Ok(rows::find(c, key.barn_id, key.person_id)?.map(Self))
    }

    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: who.is_own(self.0.id), ..Relation::default() }
    }
}

impl Entity for GuardianRow {
    const NAME: &'static str = "guardian";
    const RESOURCE: Resource = Resource::Person;
    type Key = GuardianKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &GuardianKey) -> QueryResult<Option<Self>> {
        if rows::find(c, key.barn_id, key.person_id)?.is_none() {
            return Ok(None);
        }
        guardian_rows::find(c, key.barn_id, key.person_id, key.guardian_id)
    }

    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: who.is_own(self.minor_id), ..Relation::default() }
    }

    fn subject(&self) -> String {
        self.guardian_id.to_string()
    }
}

/// List a minor's guardians.
///
/// For trainers, the minor and the guardians. Who has come of age has none that act for them.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/people/{person_id}/guardians", params(PersonKey, GuardianQuery),
    responses((status = 200, description = "A page of guardians.", body = Page<GuardianOut>)))]
pub async fn list_guardians(
    may: May<Guardians, Read>,
    query: Query<GuardianQuery>,
) -> Result<Reply<Page<GuardianOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&guardian_rows::page(look, of.0.id, &query)?))).await
}

/// Make somebody a minor's guardian.
///
/// An adult of the barn, who then sees what the minor sees and acts for them.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/people/{person_id}/guardians", params(PersonKey),
    request_body = GuardianIn, responses((status = 201, description = "The new guardian.", body = GuardianOut)))]
pub async fn create_guardian(
    may: May<Guardians, Create>,
    body: Json<GuardianIn>,
) -> Result<Reply<GuardianOut>, Problem> {
    may.write(body, |tx, Guardians(minor), new| {
        let adult = adult(tx, &minor, new.guardian_id)?;
        let now = tx.now;
        guardian_rows::add(tx.conn(), &minor, &adult, now)?;
        let row = guardian_rows::find(tx.conn(), minor.barn_id, minor.id, adult.id)?;
        let row = row.ok_or_else(|| Problem::new(Kind::Internal))?;
        let location = format!("/api/v1/barns/{}/people/{}/guardians/{}", row.barn_id, row.minor_id, row.guardian_id);
        Ok(Reply::created(&row.show()?, location))
    })
    .await
}

/// The adult who is to become the minor's guardian, or why not.
fn adult(tx: &mut Tx<'_>, minor: &PersonRow, id: Id<Person>) -> Result<PersonRow, Problem> {
    let (barn, today) = (tx.who.barn_id, tx.who.today(tx.now));
    if !minor.is_minor(today) {
        return Err(Problem::new(Kind::WrongState).with_detail("Only a minor has guardians."));
    }
    let found = rows::find(tx.conn(), barn, id)?;
    let adult = found.ok_or_else(|| Problem::unknown_reference("/guardian_id", "person"))?;
    if adult.is_minor(today) {
        return Err(Problem::at_odds("/guardian_id", "must be an adult"));
    }
    if guardian_rows::find(tx.conn(), barn, minor.id, adult.id)?.is_some() {
        return Err(Problem::field(Kind::Conflict, "/guardian_id", "conflict", "is a guardian already"));
    }
    Ok(adult)
}

/// One guardian of a minor.
///
/// That somebody is no longer there means that it ended.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/people/{person_id}/guardians/{guardian_id}",
    params(GuardianKey), responses((status = 200, description = "The guardian.", body = GuardianOut)))]
pub async fn get_guardian(may: May<GuardianRow, Read>) -> Result<Reply<GuardianOut>, Problem> {
    may.read(|_, row| Ok(Reply::ok(&row.show()?))).await
}

/// End a guardianship.
///
/// From the next request on the guardian no longer acts for the minor.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/people/{person_id}/guardians/{guardian_id}",
    params(GuardianKey), responses((status = 204, description = "The guardianship has ended.")))]
pub async fn end_guardian(may: May<GuardianRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        guardian_rows::end(tx.conn(), &row)?;
        Ok(Reply::empty())
    })
    .await
}
