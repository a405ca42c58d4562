//! An exercise of the library as it crosses the wire.
use crate::evaluations::layout_wire::LayoutFindingOut;
use crate::exercises::layout::{Fence, LayoutLine};
use crate::query;
use crate::wire::leaf::Count;
use crate::wire::list::List;
use serde::Serialize;
use stridewright_core::ids::{Arena, Id};
use stridewright_core::layout::RoomPreset;
use stridewright_core::library::{Exercise, ExerciseKind};
use stridewright_core::stride::{Pair as Level, Profile};
use utoipa::ToSchema;

/// What an exercise is for, and how it is made harder and easier.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LibraryExerciseOut {
    /// Unlike every other's.
    #[schema(max_length = 40, pattern = "^[a-z_]+$", example = "related_five")]
    pub key: &'static str,
    #[schema(max_length = 80, example = "A straight five")]
    pub name: &'static str,
    pub kind: ExerciseKind,
    /// For whom; the first is where it begins.
    #[schema(max_items = 3)]
    pub levels: &'static [Level],
    /// What horse and rider learn.
    #[schema(max_length = 300)]
    pub teaches: &'static str,
    /// What the trainer looks at.
    #[schema(max_length = 300)]
    pub look_for: &'static str,
    /// How to ask more.
    #[schema(max_length = 300)]
    pub step_up: &'static str,
    /// How to ask less.
    #[schema(max_length = 300)]
    pub step_back: &'static str,
}

impl From<&Exercise> for LibraryExerciseOut {
    fn from(of: &Exercise) -> Self {
        Self {
            key: of.key,
            name: of.name,
            kind: of.kind,
            levels: of.levels,
            teaches: of.teaches,
            look_for: of.look_for,
            step_up: of.step_up,
            step_back: of.step_back,
        }
    }
}

/// The library.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LibraryOut {
    /// The easier of a kind first.
    #[schema(max_items = 100)]
    pub exercises: Vec<LibraryExerciseOut>,
}

/// A revision that can be sent as it is.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LaidOut {
    /// Where it is placed; null where it is not.
    pub arena_id: Option<Id<Arena>>,
    pub level: Level,
    pub fences: List<Fence>,
    pub lines: List<LayoutLine>,
}

/// An exercise of the library for horse or pony, at a level.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LibraryLayoutOut {
    pub exercise: LibraryExerciseOut,
    pub profile: Profile,
    /// As the body of a new exercise or revision takes it.
    pub revision: LaidOut,
    /// How often it is ridden in one day at most, so that the jumps stay enough.
    pub repeats: Count,
    /// Jump efforts of one go: every fence once.
    pub efforts: Count,
    /// Ground poles passed in one go.
    pub pole_passes: Count,
    /// What a trainer should know of the place that was chosen; nothing is impossible there.
    #[schema(max_items = 1000)]
    pub findings: Vec<LayoutFindingOut>,
    #[schema(max_items = 10)]
    pub cautions: Vec<String>,
}

query! {
    /// Which exercises.
    pub struct LibraryQuery {
        /// Only those of a kind.
        pub kind: Option<ExerciseKind>,
        /// Only those for such pairs.
        pub level: Option<Level>,
    }
}

query! {
    /// For whom an exercise is laid out.
    pub struct LaidOutQuery {
        /// A horse where it is not said.
        pub profile: Option<Profile>,
        /// The first of the exercise's levels where it is not said.
        pub level: Option<Level>,
    }
}

query! {
    /// For whom an exercise is laid out, and what it keeps clear of.
    pub struct PlacingQuery {
        /// A horse where it is not said.
        pub profile: Option<Profile>,
        /// The first of the exercise's levels where it is not said.
        pub level: Option<Level>,
        /// The room that lines are given; by the level where it is not said.
        pub room: Option<RoomPreset>,
    }
}
