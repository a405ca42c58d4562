//! Sessions with what was logged under them, and how they count.
use crate::calendar::{Day, Instant, Zone};
use crate::units::Centimetres;
use serde::{Deserialize, Serialize};
use std::collections::{BTreeMap, BTreeSet};

/// Where a session stands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Asked for; its plan counts nothing.
    Requested,
    /// Refused by the trainer.
    Declined,
    /// Called off.
    Cancelled,
    /// Confirmed.
    Booked,
    /// Being ridden.
    Open,
    /// Ridden with less logged than planned, and nobody has said yet what became of the rest.
    Unresolved,
    /// Done.
    Closed,
}

impl Status {
    /// Whether what is planned counts until it is ridden.
    #[must_use]
    pub const fn plan_counts(self) -> bool {
        matches!(self, Self::Booked | Self::Open | Self::Unresolved)
    }
}

/// When a session is planned.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum Planned {
    /// To the minute.
    At(Instant),
    /// By its date alone, as an outing may be.
    On(Day),
}

impl Planned {
    /// The barn's day of it.
    #[must_use]
    pub fn day(self, zone: &Zone) -> Day {
        match self {
            Self::At(start) => start.day(zone),
            Self::On(day) => day,
        }
    }

    /// The start, where it is known to the minute.
    #[must_use]
    pub const fn start(self) -> Option<Instant> {
        match self {
            Self::At(start) => Some(start),
            Self::On(_) => None,
        }
    }
}

/// One go, one more fence, an estimate, or the remainder that closed a session.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub struct Attempt {
    /// When; without it the session's planned start stands in.
    pub at: Option<Instant>,
    /// Fences jumped.
    pub efforts: u32,
    /// The greatest height of them, where known.
    pub height: Option<Centimetres>,
    /// Poles on the ground passed.
    pub pole_passes: u32,
    /// Replaced by a correction, or a second version nobody chose: counts nothing.
    pub superseded: bool,
}

/// One horse's entry in a session, or an outing, with everything logged under it. `K` is the type of ids.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Session<K> {
    /// Its id.
    pub id: K,
    /// Where it stands.
    pub status: Status,
    /// When it is planned.
    pub planned: Planned,
    /// Fences it is planned to take; 0 for flat work.
    pub planned_efforts: u32,
    /// The height planned, where stated.
    pub planned_height: Option<Centimetres>,
    /// Poles on the ground planned.
    pub planned_pole_passes: u32,
    /// Whether it is a competition.
    pub competition: bool,
    /// The show it belongs to.
    pub show_id: Option<String>,
    /// Its rider; none for loose jumping or the lunge.
    pub rider_id: Option<K>,
    /// Jumping elsewhere.
    pub outing: bool,
    /// What was logged.
    pub attempts: Vec<Attempt>,
}

impl<K> Session<K> {
    /// The attempts that count.
    pub fn live(&self) -> impl Iterator<Item = &Attempt> {
        self.attempts.iter().filter(|a| !a.superseded)
    }

    /// Efforts logged, on whatever day.
    #[must_use]
    pub fn logged(&self) -> u32 {
        self.live().fold(0, |sum, a| sum.saturating_add(a.efforts))
    }

    /// Planned efforts that count although they are not ridden yet.
    #[must_use]
    pub fn remainder(&self) -> u32 {
        if self.status.plan_counts() { self.planned_efforts.saturating_sub(self.logged()) } else { 0 }
    }

    /// Whether the horse is still to be ridden as planned: something of the plan is left, or nothing was logged.
    #[must_use]
    pub fn holds_unridden_plan(&self) -> bool {
        self.status.plan_counts() && (self.remainder() > 0 || self.live().next().is_none())
    }
}

/// Efforts of one session on one day at one height.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Part {
    pub day: i32,
    pub height: Option<Centimetres>,
    pub efforts: u32,
    /// Planned and not ridden yet.
    pub planned: bool,
}

/// A session as it counts, on days numbered from 1970-01-01.
#[derive(Debug)]
pub(crate) struct Counted<K> {
    pub session: Session<K>,
    pub planned_day: i32,
    /// Efforts by day and height, none of them 0.
    pub parts: Vec<Part>,
    /// The days on which the horse is ridden.
    pub rides: BTreeSet<i32>,
    /// The days on which it goes over poles.
    pub poles: BTreeSet<i32>,
}

impl<K: Clone> Counted<K> {
    pub fn new(session: &Session<K>, zone: &Zone) -> Self {
        let planned_day = session.planned.day(zone).number();
        let mut parts = BTreeMap::<(i32, bool, Option<Centimetres>), u32>::new();
        let (mut rides, mut poles) = (BTreeSet::new(), BTreeSet::new());
        let mut add = |day, planned, height, efforts: u32| {
            if efforts > 0 {
                let sum = parts.entry((day, planned, height)).or_default();
                *sum = sum.saturating_add(efforts);
            }
        };
        for attempt in session.live() {
            let day = attempt.at.map_or(planned_day, |at| at.day(zone).number());
            add(day, false, attempt.height, attempt.efforts);
            rides.insert(day);
            if attempt.pole_passes > 0 {
                poles.insert(day);
            }
        }
        add(planned_day, true, session.planned_height, session.remainder());
        if session.holds_unridden_plan() {
            rides.insert(planned_day);
            if session.planned_pole_passes > 0 {
                poles.insert(planned_day);
            }
        }
        // flat work that was done leaves no attempt
        if session.status == Status::Closed && rides.is_empty() {
            rides.insert(planned_day);
        }
        let parts = parts.into_iter().map(|((day, planned, height), efforts)| Part { day, height, efforts, planned });
        Self { session: session.clone(), planned_day, parts: parts.collect(), rides, poles }
    }

    /// Efforts on the day, logged or planned.
    pub fn efforts_on(&self, day: i32) -> u32 {
        self.parts.iter().filter(|p| p.day == day).fold(0, |sum, p| sum.saturating_add(p.efforts))
    }
}
