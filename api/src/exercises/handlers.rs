//! The addresses of exercises.
use super::rows::{self, ExerciseRow};
use super::wire::{ExerciseIn, ExerciseOut, ExercisePatch, ExerciseQuery};
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
use stridewright_core::ids::{Barn, Exercise, Id};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of an exercise.
    pub struct ExerciseKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The exercise.
        pub exercise_id: Id<Exercise>,
    }
}

/// The exercises of a barn.
pub struct Exercises;

impl Entity for Exercises {
    const NAME: &'static str = "exercises";
    const RESOURCE: Resource = Resource::Facility;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

impl Entity for ExerciseRow {
    const NAME: &'static str = "exercise";
    const RESOURCE: Resource = Resource::Facility;
    const VERSIONED: bool = true;
    type Key = ExerciseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &ExerciseKey) -> QueryResult<Option<Self>> {
        rows::find(c, key.barn_id, key.exercise_id)
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

/// List the exercises.
///
/// Those in use, each with its latest revision, for everybody in the barn.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises", params(BarnKey, ExerciseQuery),
    responses((status = 200, description = "A page of exercises.", body = Page<ExerciseOut>)))]
pub async fn list(may: May<Exercises, Read>, query: Query<ExerciseQuery>) -> Result<Reply<Page<ExerciseOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&rows::page(look, &query)?))).await
}

/// Add an exercise.
///
/// With its first revision: fences, lines, and an arena once it is placed.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/exercises", params(BarnKey), request_body = ExerciseIn,
    responses((status = 201, description = "The new exercise.", body = ExerciseOut)))]
pub async fn create(may: May<Exercises, Create>, body: Json<ExerciseIn>) -> Result<Reply<ExerciseOut>, Problem> {
    may.write(body, |tx, _, exercise| {
        let row = rows::create(tx, exercise)?;
        let location = format!("/api/v1/barns/{}/exercises/{}", row.barn_id, row.id);
        Ok(Reply::created(&rows::show(tx.conn(), row)?, location).version(1))
    })
    .await
}

/// One exercise.
///
/// With its latest revision.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}", params(ExerciseKey),
    responses((status = 200, description = "The exercise.", body = ExerciseOut)))]
pub async fn get(may: May<ExerciseRow, Read>) -> Result<Reply<ExerciseOut>, Problem> {
    may.read(|look, row| {
        let version = row.version;
        Ok(Reply::ok(&rows::show(look.conn(), row)?).version(version))
    })
    .await
}

/// Change an exercise.
///
/// Its name and purpose; the layout changes by a new revision.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}", params(ExerciseKey), request_body = ExercisePatch,
    responses((status = 200, description = "The exercise as changed.", body = ExerciseOut)))]
pub async fn change(may: May<ExerciseRow, Change>, body: Json<ExercisePatch>) -> Result<Reply<ExerciseOut>, Problem> {
    may.write(body, |tx, row, patch| {
        let row = rows::change(tx, row, patch)?;
        let version = row.version;
        Ok(Reply::ok(&rows::show(tx.conn(), row)?).version(version))
    })
    .await
}

/// Remove an exercise.
///
/// It leaves the list and its revisions stay readable. Refused while a session that is not over uses it.
#[utoipa::path(delete, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}", params(ExerciseKey),
    responses((status = 204, description = "It is removed.")))]
pub async fn remove(may: May<ExerciseRow, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, row| {
        rows::remove(tx, &row)?;
        Ok(Reply::empty())
    })
    .await
}
