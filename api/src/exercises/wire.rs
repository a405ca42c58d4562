//! An exercise as it crosses the wire.
use super::layout::{Fence, LayoutLine};
use crate::wire::leaf::Count;
use crate::wire::list::List;
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::{Note, Title};
use crate::{input, query, whole};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Exercise, Id, Person};
use stridewright_core::stride::Pair as Level;
use stridewright_core::units::Centimetres;
use utoipa::ToSchema;

whole! {
    /// The number of a revision, from 1.
    #[derive(Hash)]
    pub struct RevisionNumber(1 ..= 10000), example 1
}

input! {
    /// A revision to come.
    pub struct RevisionIn {
        /// Where it is placed; null where it is not yet.
        #[schema(example = json!(null))]
        pub arena_id: Option<Id<Arena>>,
        /// Whom it is for.
        pub level: Level,
        pub fences: List<Fence>,
        pub lines: Option<List<LayoutLine>>,
    }
}

input! {
    /// A new exercise with its first revision.
    pub struct ExerciseIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Exercise>>,
        pub name: Title,
        /// What it is good for.
        pub purpose: Option<Note>,
        pub revision: RevisionIn,
    }
}

input! {
    /// What to change of an exercise; its layout changes by a new revision.
    pub struct ExercisePatch {
        pub name: Patch<Title>,
        pub purpose: PatchNull<Note>,
    }
}

/// A revision; it never changes.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RevisionOut {
    pub exercise_id: Id<Exercise>,
    pub revision: RevisionNumber,
    /// Where it is placed; null where it is not.
    pub arena_id: Option<Id<Arena>>,
    pub level: Level,
    pub fences: List<Fence>,
    pub lines: List<LayoutLine>,
    /// Jump efforts of one go: every fence once.
    pub efforts: Count,
    /// Ground poles passed in one go.
    pub pole_passes: Count,
    /// The highest fence.
    pub height_cm: Centimetres,
    pub created_by: Id<Person>,
    pub created_at: Instant,
}

/// An exercise.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ExerciseOut {
    pub id: Id<Exercise>,
    pub name: Title,
    pub purpose: Option<Note>,
    /// The latest one.
    pub revision: RevisionOut,
    /// Since when it is no longer used.
    pub removed_at: Option<Instant>,
    pub created_at: Instant,
}

query! {
    /// Which page of the exercises.
    pub struct ExerciseQuery {
        /// Only those whose latest revision is placed there.
        pub arena_id: Option<Id<Arena>>,
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}

query! {
    /// Which page of the revisions.
    pub struct RevisionQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
