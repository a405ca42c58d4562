//! Periods without jumping, without jumping and poles, or without riding.
use crate::calendar::Day;
use serde::{Deserialize, Serialize};

/// What a stand-down forbids.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Scope {
    /// Efforts.
    Jumping,
    /// Efforts, and poles on the ground.
    JumpingAndPoles,
    /// Any ride.
    Riding,
}

/// Whence a stand-down comes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum StandDownSource {
    /// A trainer.
    Trainer,
    /// An owner.
    Owner,
    /// A vet; it ends only with a recorded clearance.
    Vet,
    /// The farrier.
    Farrier,
    /// A rule book.
    Rule,
}

/// Who stands down.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[serde(tag = "subject", content = "rider_id", rename_all = "snake_case")]
pub enum Subject<K> {
    /// The horse.
    Horse,
    /// A rider, on whichever horse.
    Rider(K),
}

/// A stand-down of the horse, or of one who rides it. `K` is the type of ids.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct StandDown<K> {
    /// Its id.
    pub id: K,
    /// Who stands down.
    #[serde(flatten)]
    pub subject: Subject<K>,
    /// Whence it comes.
    pub source: StandDownSource,
    /// What it forbids.
    pub scope: Scope,
    /// Its first day.
    pub from_date: Day,
    /// The earliest first day allowed again; open where none. Where the day of injury is the first of n
    /// days it is `from_date` + n.
    pub free_from_date: Option<Day>,
    /// The day a clearance was recorded.
    pub cleared_on: Option<Day>,
}

impl<K> StandDown<K> {
    /// Whether it ends only with a recorded clearance: a vet's, and every rider's.
    #[must_use]
    pub const fn needs_clearance(&self) -> bool {
        matches!(self.source, StandDownSource::Vet) || matches!(self.subject, Subject::Rider(_))
    }

    /// The first day free of it; none while it is open.
    #[must_use]
    pub fn free_from(&self) -> Option<Day> {
        if self.needs_clearance() {
            self.cleared_on.max(self.free_from_date).filter(|_| self.cleared_on.is_some())
        } else {
            self.free_from_date
        }
    }

    /// Whether the day lies in it.
    #[must_use]
    pub fn covers(&self, day: Day) -> bool {
        self.from_date <= day && self.free_from().is_none_or(|free| day < free)
    }

    pub(super) const fn forbids(&self, efforts: bool, poles: bool) -> bool {
        match self.scope {
            Scope::Jumping => efforts,
            Scope::JumpingAndPoles => efforts || poles,
            Scope::Riding => true,
        }
    }
}

/// Stand-downs of the horse, those that touch or overlap as one: the first free days of such as lasted two
/// weeks or more. The next jumping day is a return.
pub(super) fn long_ends<K>(stand_downs: &[StandDown<K>]) -> Vec<i32> {
    const LONG: i32 = 14;
    let mut periods: Vec<(i32, i32)> = stand_downs
        .iter()
        .filter(|s| matches!(s.subject, Subject::Horse))
        .map(|s| (s.from_date.number(), s.free_from().map_or(i32::MAX, Day::number)))
        .collect();
    periods.sort_unstable();
    let mut joined = Vec::<(i32, i32)>::new();
    for (from, free) in periods {
        match joined.last_mut() {
            Some(last) if from <= last.1 => last.1 = last.1.max(free),
            _ => joined.push((from, free)),
        }
    }
    joined.into_iter().filter(|&(from, free)| free < i32::MAX && free - from >= LONG).map(|(_, free)| free).collect()
}
