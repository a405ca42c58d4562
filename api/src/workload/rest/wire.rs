//! A horse's rest requirement as it crosses the wire.
use crate::problem::RuleReason;
use crate::query;
use crate::wire::text::{Reason, ShowId};
use crate::wire::typed::{QueryBool, QueryCentimetres, QueryCount};
use crate::workload::efforts::wire::LogCompleteness;
use crate::workload::limits::wire::LimitKind;
use serde::Serialize;
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Id, Person, StandDown, WorkloadLimit};
use stridewright_core::rest::{Code, Scope, Source};
use utoipa::ToSchema;

query! {
    /// The session that is thought of.
    pub struct RestQuery {
        /// Fences it would take; 1 where absent.
        pub efforts: Option<QueryCount>,
        /// How high.
        pub height_cm: Option<QueryCentimetres>,
        /// Whether it is a competition.
        pub competition: Option<QueryBool>,
        /// The show, where it is one.
        pub show_id: Option<ShowId>,
        /// Who would ride.
        pub rider_id: Option<Id<Person>>,
    }
}

/// At most so many jumps on a day. A ceiling, never a ration to use up.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct DayCeiling {
    pub day: Day,
    /// Null where there is no limit.
    #[schema(maximum = 5000)]
    pub at_most: Option<u32>,
    /// "at most 12".
    #[schema(max_length = 40)]
    pub words: String,
    /// What binds.
    pub code: Option<Code>,
    /// The limit or stand-down that binds, in words.
    #[schema(max_length = 300)]
    pub because: Option<String>,
    /// The same by its id, where the reader may see it.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<uuid::Uuid>)]
    pub rule_id: Option<uuid::Uuid>,
}

/// What is said to the session that was asked about.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Asked {
    #[schema(maximum = 500)]
    pub efforts: u32,
    /// Whether nothing stands against it today.
    pub allowed_today: bool,
    /// Whether a trainer may pass all that stands against it, with a written reason.
    pub overridable_today: bool,
    /// Everything that stands against it today.
    #[schema(max_items = 1000)]
    pub reasons_today: Vec<RuleReason>,
    /// The first of the next 400 days without a reason against it.
    pub earliest_day: Option<Day>,
}

/// A stand-down that holds, or is to come.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StandDownInForce {
    /// Where the reader may see it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub stand_down_id: Option<Id<StandDown>>,
    /// Whether it is the rider's, not the horse's.
    pub of_rider: bool,
    /// "the horse is stood down from jumping until 2026-06-22".
    #[schema(max_length = 200)]
    pub words: String,
    /// Null where the reader may not know it.
    pub scope: Option<Scope>,
    pub from_date: Option<Day>,
    /// The first day free of it; null while it is open.
    pub free_from: Option<Day>,
    /// Why, where the reader may know it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub reason: Option<Reason>,
}

/// A limit that is valid today, where no stricter one of its kind is.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct EffectiveLimit {
    pub kind: LimitKind,
    /// "at most 35 jumps a day".
    #[schema(max_length = 300)]
    pub words: String,
    pub source: Source,
    /// Whether nobody may override it.
    pub binding: bool,
    /// Where the reader may see it.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub workload_limit_id: Option<Id<WorkloadLimit>>,
}

/// What a horse's limits, stand-downs and log say together.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RestOut {
    /// The date in the barn.
    pub today: Day,
    /// Today and the thirteen days after it, for an ordinary session.
    #[schema(max_items = 14)]
    pub next_14_days: Vec<DayCeiling>,
    pub asked: Asked,
    /// Limits that the last 28 days and what is booked break already.
    #[schema(max_items = 10000)]
    pub violations: Vec<RuleReason>,
    #[schema(max_items = 1000)]
    pub stand_downs: Vec<StandDownInForce>,
    #[schema(max_items = 1000)]
    pub limits: Vec<EffectiveLimit>,
    /// Of the last 28 days: what was not logged was not rested.
    pub completeness: LogCompleteness,
    /// What these numbers are, and are not.
    #[schema(max_length = 300)]
    pub caution: &'static str,
}
