//! What a horse's jumping adds up to: efforts by local day, logged and planned, how complete the log is,
//! and load figures.
//!
//! An *effort* is one fence jumped. A *session* here is one horse's entry in a session, or an outing;
//! an *attempt* is whatever was logged under it: a go, one more fence, "about ten", or what closed it.
mod closing;
mod daily;
mod load;
mod session;

pub use closing::{Closing, TooFew, close};
pub use daily::{Completeness, DayEfforts, completeness, daily_efforts, efforts_by_day, window_sum};
pub use load::{Load, Monotony, load, monotony};
pub use session::{Attempt, Planned, Session, Status};

pub(crate) use session::Counted;

use serde::{Deserialize, Serialize};

/// What became of one fence, or pole on the ground, on the way round.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Outcome {
    /// Jumped and left up.
    Jumped,
    /// Jumped with a rail down.
    Rail,
    /// Stopped in front of it.
    Refusal,
    /// Went past it.
    RunOut,
    /// Horse or rider fell there.
    Fall,
    /// A pole on the ground was passed.
    Pole,
}

/// The efforts among these outcomes: each fence jumped is one, a rail down or not; each element of a
/// combination is a fence; an element jumped again after a refusal counts again; poles are none.
///
/// ```
/// use stridewright_core::workload::{Outcome::*, efforts};
/// let refused_at_b = [Jumped, Refusal];
/// let again = [Jumped, Rail, Jumped];
/// assert_eq!(efforts(refused_at_b.into_iter().chain(again)), 4);
/// ```
#[must_use]
pub fn efforts(outcomes: impl IntoIterator<Item = Outcome>) -> u32 {
    count(outcomes, |o| matches!(o, Outcome::Jumped | Outcome::Rail))
}

/// The poles on the ground among these outcomes.
#[must_use]
pub fn pole_passes(outcomes: impl IntoIterator<Item = Outcome>) -> u32 {
    count(outcomes, |o| o == Outcome::Pole)
}

fn count(outcomes: impl IntoIterator<Item = Outcome>, counts: impl Fn(Outcome) -> bool) -> u32 {
    outcomes.into_iter().filter(|o| counts(*o)).fold(0, |n, _| u32::saturating_add(n, 1))
}
