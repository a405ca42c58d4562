//! The addresses of the library.
use super::placing::Chosen;
use super::wire::{LaidOutQuery, LibraryLayoutOut, LibraryOut, LibraryQuery, PlacingQuery};
use crate::access::guard::{Entity, Key, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::arenas::rows::{self, ArenaRow};
use crate::db::conn::AnyConn;
use crate::evaluations::judged::Place;
use crate::evaluations::lines::Reckoning;
use crate::key;
use crate::problem::Problem;
use diesel::QueryResult;
use serde::Deserialize;
use stridewright_core::ids::{Arena, Barn, Id};
use stridewright_core::library::{EXERCISES, Exercise};
use stridewright_core::policy::{Relation, Resource};
use utoipa::IntoParams;

/// The address of an exercise of the library.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub struct LibraryKey {
    /// Its key.
    #[param(value_type = String, max_length = 40, pattern = "^[a-z_]+$", example = "related_five")]
    pub exercise_key: String,
}

impl Key for LibraryKey {
    fn barn(&self) -> Option<Id<Barn>> {
        None
    }
}

key! {
    /// The address of an exercise of the library in an arena.
    pub struct PlacingKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The arena.
        pub arena_id: Id<Arena>,
        /// The exercise's key.
        #[param(value_type = String, max_length = 40, pattern = "^[a-z_]+$", example = "related_five")]
        pub exercise_key: String,
    }
}

fn by_key(key: &str) -> Option<&'static Exercise> {
    EXERCISES.iter().find(|exercise| exercise.key == key)
}

/// An exercise of the library, for anybody who is signed in.
pub struct OfLibrary(&'static Exercise);

impl Entity for OfLibrary {
    const NAME: &'static str = "library_exercise";
    const RESOURCE: Resource = Resource::Account;
    type Key = LibraryKey;

    fn find(_: &mut AnyConn, _: &Standing, key: &LibraryKey) -> QueryResult<Option<Self>> {
        Ok(by_key(&key.exercise_key).map(Self))
    }

    fn relation(&self, who: &Standing) -> Relation {
        Reckoning.relation(who)
    }
}

/// An exercise of the library in an arena of the barn.
pub struct InArena {
    arena: ArenaRow,
    exercise: &'static Exercise,
}

impl Entity for InArena {
    const NAME: &'static str = "placed_exercise";
    const RESOURCE: Resource = Resource::Facility;
    type Key = PlacingKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &PlacingKey) -> QueryResult<Option<Self>> {
        let arena = rows::find(c, key.barn_id, key.arena_id)?;
        Ok(arena.zip(by_key(&key.exercise_key)).map(|(arena, exercise)| Self { arena, exercise }))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

/// The library of exercises.
///
/// What each teaches, what to look for, and how it is made harder and easier.
#[utoipa::path(get, path = "/api/v1/library", params(LibraryQuery),
    responses((status = 200, description = "The library.", body = LibraryOut)))]
pub async fn list(may: May<Reckoning, Read>, query: Query<LibraryQuery>) -> Result<Reply<LibraryOut>, Problem> {
    may.read_with(query, |_, _, query| {
        let wanted = |exercise: &&Exercise| {
            query.kind.is_none_or(|kind| exercise.kind == kind)
                && query.level.is_none_or(|level| exercise.levels.contains(&level))
        };
        Ok(Reply::ok(&LibraryOut { exercises: EXERCISES.iter().filter(wanted).map(Into::into).collect() }))
    })
    .await
}

/// One exercise of the library.
///
/// Laid out for horse or pony at a level, by its distances; the revision can be sent as it is.
#[utoipa::path(get, path = "/api/v1/library/{exercise_key}", params(LibraryKey, LaidOutQuery),
    responses((status = 200, description = "The exercise.", body = LibraryLayoutOut)))]
pub async fn get(may: May<OfLibrary, Read>, query: Query<LaidOutQuery>) -> Result<Reply<LibraryLayoutOut>, Problem> {
    may.read_with(query, |_, of, query| Ok(Reply::ok(&Chosen::of(of.0, query.profile, query.level)?.unplaced()?))).await
}

/// One exercise of the library in an arena.
///
/// Placed where it fits with the least to be said against it; the revision can be sent as it is. Refused where it fits
/// nowhere. A convention for planning: the trainer on the ground decides.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/arenas/{arena_id}/library/{exercise_key}",
    params(PlacingKey, PlacingQuery),
    responses((status = 200, description = "The exercise in its place.", body = LibraryLayoutOut)))]
pub async fn place(may: May<InArena, Read>, query: Query<PlacingQuery>) -> Result<Reply<LibraryLayoutOut>, Problem> {
    may.read_with(query, |_, at, query| {
        let chosen = Chosen::of(at.exercise, query.profile, query.level)?;
        let id = at.arena.id;
        Ok(Reply::ok(&chosen.placed(id, Place::of(at.arena), &query)?))
    })
    .await
}
