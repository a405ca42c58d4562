//! The addresses of revisions.
use super::handlers::ExerciseKey;
use super::revision_rows::{self, RevisionRow};
use super::rows::{self, ExerciseRow};
use super::wire::{RevisionIn, RevisionNumber, RevisionOut, RevisionQuery};
use crate::access::guard::{Create, Entity, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Exercise, Id};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a revision.
    pub struct RevisionKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The exercise.
        pub exercise_id: Id<Exercise>,
        /// The revision's number.
        pub revision: RevisionNumber,
    }
}

/// The revisions of an exercise.
pub struct Revisions(ExerciseRow);

impl Entity for Revisions {
    const NAME: &'static str = "revisions";
    const RESOURCE: Resource = Resource::Facility;
    type Key = ExerciseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &ExerciseKey) -> QueryResult<Option<Self>> {
        Ok(rows::find(c, key.barn_id, key.exercise_id)?.map(Self))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

impl Entity for RevisionRow {
    const NAME: &'static str = "revision";
    const RESOURCE: Resource = Resource::Facility;
    const VERSIONED: bool = true;
    type Key = RevisionKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &RevisionKey) -> QueryResult<Option<Self>> {
        revision_rows::find(c, key.barn_id, key.exercise_id, key.revision.get())
    }

    /// At the rail one reads what the session rides.
    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: who.at_the_rail == Some((self.exercise_id, self.revision)), ..Relation::default() }
    }
}

/// List the revisions of an exercise.
///
/// The first one first.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions",
    params(ExerciseKey, RevisionQuery),
    responses((status = 200, description = "A page of revisions.", body = Page<RevisionOut>)))]
pub async fn list_revisions(
    may: May<Revisions, Read>,
    query: Query<RevisionQuery>,
) -> Result<Reply<Page<RevisionOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&revision_rows::page(look, &of.0, &query)?))).await
}

/// Add a revision to an exercise.
///
/// It becomes the latest one; sessions and logs keep the revision they name.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions", params(ExerciseKey),
    request_body = RevisionIn,
    responses((status = 201, description = "The new revision.", body = RevisionOut)))]
pub async fn create_revision(
    may: May<Revisions, Create>,
    body: Json<RevisionIn>,
) -> Result<Reply<RevisionOut>, Problem> {
    may.write(body, |tx, of, new| {
        let row = revision_rows::add(tx, &of.0, new)?;
        let (barn, exercise, n) = (row.barn_id, row.exercise_id, row.revision);
        let location = format!("/api/v1/barns/{barn}/exercises/{exercise}/revisions/{n}");
        Ok(Reply::created(&revision_rows::show(row)?, location).version(1))
    })
    .await
}

/// One revision of an exercise.
///
/// It never changes.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions/{revision}",
    params(RevisionKey),
    responses((status = 200, description = "The revision.", body = RevisionOut)))]
pub async fn get_revision(may: May<RevisionRow, Read>) -> Result<Reply<RevisionOut>, Problem> {
    may.read(|_, row| Ok(Reply::ok(&revision_rows::show(row)?).version(1))).await
}
