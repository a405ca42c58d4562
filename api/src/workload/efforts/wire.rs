//! A horse's efforts by day as they cross the wire.
use crate::query;
use serde::Serialize;
use stridewright_core::calendar::Day;
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{Completeness, DayEfforts, Load};
use utoipa::ToSchema;

query! {
    /// Which days; at most 366.
    pub struct EffortsQuery {
        /// The first day; 28 days up to `to` where absent.
        pub from: Option<Day>,
        /// The last day; today where absent.
        pub to: Option<Day>,
    }
}

/// Efforts of one day.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct EffortDay {
    pub day: Day,
    /// Jumped and logged.
    #[schema(maximum = 100_000)]
    pub logged: u32,
    /// Planned and not jumped yet.
    #[schema(maximum = 100_000)]
    pub planned: u32,
    /// The greatest height of them, as far as it is known.
    pub highest_cm: Option<Centimetres>,
    /// Whether any of it was, or will be, at a competition.
    pub competition: bool,
}

/// Efforts of a number of days running.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct EffortSum {
    /// Jumped and logged.
    #[schema(maximum = 1_000_000)]
    pub logged: u32,
    /// The same and what is planned.
    #[schema(maximum = 1_000_000)]
    pub logged_and_planned: u32,
}

impl From<DayEfforts> for EffortSum {
    fn from(sum: DayEfforts) -> Self {
        Self { logged: sum.logged, logged_and_planned: sum.total() }
    }
}

/// How complete the log is: what was not logged was not rested.
#[derive(Debug, Clone, Copy, Serialize, ToSchema)]
pub struct LogCompleteness {
    /// Sessions and outings that are closed.
    #[schema(maximum = 1_000_000)]
    pub closed: u32,
    /// Those that should be.
    #[schema(maximum = 1_000_000)]
    pub due: u32,
}

impl From<Completeness> for LogCompleteness {
    fn from(count: Completeness) -> Self {
        Self { closed: count.complete, due: count.due }
    }
}

/// A horse's efforts by day.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct EffortsOut {
    pub from: Day,
    pub to: Day,
    /// The date in the barn.
    pub today: Day,
    /// Every day from the first to the last.
    #[schema(max_items = 366)]
    pub days: Vec<EffortDay>,
    /// The 7 days that end on `to`.
    pub sum_7_days: EffortSum,
    /// The 28 days that end on `to`.
    pub sum_28_days: EffortSum,
    /// Of the days from `from` to `to`.
    pub completeness: LogCompleteness,
    /// Of what is logged, as of `to` or today, whichever is earlier.
    pub load: Load,
    /// What the load figures are, and are not.
    #[schema(max_length = 300)]
    pub note: &'static str,
}
