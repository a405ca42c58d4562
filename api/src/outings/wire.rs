//! An outing as it crosses the wire.
use crate::problem::RuleReason;
use crate::wire::leaf::Count;
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::{Note, ShowId};
use crate::{choice, input, query};
use serde::Serialize;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Horse, Id, Outing, Person};
use stridewright_core::units::Centimetres;
use utoipa::ToSchema;

choice! {
    /// What the horse does elsewhere. A round and its warm-up are competition.
    pub enum OutingKind { CompetitionRound, WarmUp, Lesson, Other }
}

impl OutingKind {
    /// Whether it counts as competition.
    pub const fn competition(self) -> bool {
        matches!(self, Self::CompetitionRound | Self::WarmUp)
    }
}

choice! {
    /// Where an outing stands: planned, done, or called off.
    pub enum OutingStatus { Booked, Closed, Cancelled, Superseded }
}

input! {
    /// What was jumped: about so many, up to such a height.
    pub struct DoneIn {
        pub efforts: Count,
        /// The greatest height, where known.
        pub height_cm: Option<Centimetres>,
    }
}

input! {
    /// A new outing: planned, or, with `done`, a past one.
    #[schema(example = json!({"kind": "lesson", "on_date": "2026-06-04", "planned_efforts": 20,
        "planned_height_cm": 90}))]
    pub struct OutingIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Outing>>,
        pub kind: OutingKind,
        /// The show, the same for all its days and rounds.
        pub show_id: Option<ShowId>,
        pub rider_id: Option<Id<Person>>,
        /// When, to the minute; either this or `on_date`.
        pub at: Patch<Instant>,
        /// When, by its date alone.
        pub on_date: Patch<Day>,
        /// Fences planned; 0 where absent.
        pub planned_efforts: Option<Count>,
        pub planned_height_cm: Option<Centimetres>,
        pub done: Option<DoneIn>,
        pub note: Option<Note>,
    }
}

input! {
    /// What to change of an outing. `at` and `on_date` replace each other.
    #[schema(example = json!({"done": {"efforts": 24, "height_cm": 95}}))]
    pub struct OutingPatch {
        pub kind: Patch<OutingKind>,
        pub show_id: PatchNull<ShowId>,
        pub rider_id: PatchNull<Id<Person>>,
        pub at: Patch<Instant>,
        pub on_date: Patch<Day>,
        pub planned_efforts: Patch<Count>,
        pub planned_height_cm: PatchNull<Centimetres>,
        /// Says what was jumped, and closes it.
        pub done: Patch<DoneIn>,
        pub note: PatchNull<Note>,
    }
}

/// What was jumped.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct DoneOut {
    #[schema(minimum = 0, maximum = 500)]
    pub efforts: i32,
    pub height_cm: Option<Centimetres>,
}

/// Jumping elsewhere.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OutingOut {
    pub id: Id<Outing>,
    pub horse_id: Id<Horse>,
    pub kind: OutingKind,
    pub show_id: Option<ShowId>,
    /// The rider, where there is one that the reader may know of.
    pub rider_id: Option<Id<Person>>,
    pub at: Option<Instant>,
    pub on_date: Option<Day>,
    pub status: OutingStatus,
    #[schema(minimum = 0, maximum = 500)]
    pub planned_efforts: i32,
    pub planned_height_cm: Option<Centimetres>,
    pub done: Option<DoneOut>,
    pub note: Option<Note>,
    pub recorded_by: Id<Person>,
    /// Of a log that was corrected: the outing that tells it now. It counts no more.
    pub superseded_by: Option<Id<Outing>>,
    pub created_at: Instant,
    /// What the horse's limits say to a planned outing that was just made or changed.
    #[serde(skip_serializing_if = "Vec::is_empty")]
    #[schema(max_items = 1000)]
    pub warnings: Vec<RuleReason>,
}

query! {
    /// Which page of a horse's outings.
    pub struct OutingQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
