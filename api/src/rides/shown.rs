//! A ride as its readers see it.
use super::wire::{FencePassed, LogOutcome, LostFirst, RideKind, Standing};
use crate::exercises::layout::StrideCount;
use crate::wire::text::{Label, Note};
use serde::Serialize;
use stridewright_core::adjustability::{Approach, Fault};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Entry, Horse, Id, Person, Ride, Session};
use stridewright_core::units::{Centimetres, Metres, Seconds};
use utoipa::ToSchema;

/// One line as ridden.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct AttemptOut {
    pub line: Label,
    pub asked: Option<StrideCount>,
    pub ridden: Option<StrideCount>,
    pub distance_m: Metres,
    pub first_height_cm: Centimetres,
    pub second_height_cm: Centimetres,
    pub poles: bool,
    pub combination: bool,
    pub circle: bool,
    pub fault: Option<Fault>,
    pub approach: Option<Approach>,
    pub lost_first: Option<LostFirst>,
    pub seconds: Option<Seconds>,
}

/// One version of a ride.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RideOut {
    pub id: Id<Ride>,
    pub session_id: Id<Session>,
    pub entry_id: Id<Entry>,
    pub horse_id: Option<Id<Horse>>,
    pub rider_id: Option<Id<Person>>,
    /// The number of the go; null for what is none.
    #[schema(minimum = 1, maximum = 500)]
    pub go: Option<i32>,
    pub kind: RideKind,
    pub at: Option<Instant>,
    #[schema(max_items = 100)]
    pub fences: Vec<FencePassed>,
    #[schema(max_items = 100)]
    pub attempts: Vec<AttemptOut>,
    #[schema(minimum = 0, maximum = 500)]
    pub efforts: i32,
    #[schema(minimum = 0, maximum = 500)]
    pub pole_passes: i32,
    pub height_cm: Option<Centimetres>,
    pub standing: Standing,
    /// The version that this one corrects.
    pub supersedes: Option<Id<Ride>>,
    pub note: Option<Note>,
    pub logged_by: Id<Person>,
    pub created_at: Instant,
}

/// What the horse has jumped today, and at most how much that may come to.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize, ToSchema)]
pub struct HorseToday {
    /// Jump efforts logged today, wherever they were jumped.
    #[schema(minimum = 0, maximum = 100000)]
    pub jumps_today: u32,
    /// At most so many today by the end of this session, room left for what is planned in others; null where nothing
    /// limits it, or the session is not today's. A ceiling, not a goal.
    #[schema(minimum = 0, maximum = 100000)]
    pub at_most_today: Option<u32>,
}

/// A ride as logged, with the horse's day so far.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RideLogged {
    #[serde(flatten)]
    pub ride: RideOut,
    #[serde(flatten)]
    pub today: HorseToday,
}

/// What became of one ride of a batch.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BatchRideOut {
    /// The ride that stands for it: another phone's where that one is equal.
    pub id: Id<Ride>,
    pub outcome: LogOutcome,
    pub standing: Standing,
    #[schema(minimum = 1, maximum = 500)]
    pub go: Option<i32>,
    #[schema(minimum = 0, maximum = 500)]
    pub efforts: i32,
}

/// A horse of a batch.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BatchEntryOut {
    pub entry_id: Id<Entry>,
    pub horse_id: Id<Horse>,
    #[serde(flatten)]
    pub today: HorseToday,
}

/// What became of a batch, ride by ride in the order sent.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RideBatchOut {
    #[schema(max_items = 500)]
    pub rides: Vec<BatchRideOut>,
    /// The entries they belong to, each once, and their horses' day so far.
    #[schema(max_items = 500)]
    pub entries: Vec<BatchEntryOut>,
}
