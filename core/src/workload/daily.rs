//! Sums by local day, and how complete the log behind them is.
use super::{Counted, Session, Status};
use crate::calendar::{Day, Zone};
use serde::Serialize;
use std::collections::BTreeMap;

/// Efforts of a day or a window.
#[derive(Debug, Clone, Copy, Default, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct DayEfforts {
    /// Jumped and logged.
    pub logged: u32,
    /// Planned and not jumped yet.
    pub planned: u32,
}

impl DayEfforts {
    /// Logged and planned together.
    #[must_use]
    pub const fn total(self) -> u32 {
        self.logged.saturating_add(self.planned)
    }

    const fn add(&mut self, other: Self) {
        self.logged = self.logged.saturating_add(other.logged);
        self.planned = self.planned.saturating_add(other.planned);
    }
}

/// The jumping days with their efforts; a day with none is left out.
#[must_use]
pub fn efforts_by_day<K: Clone>(sessions: &[Session<K>], zone: &Zone) -> BTreeMap<Day, DayEfforts> {
    let mut days = BTreeMap::<Day, DayEfforts>::new();
    for session in sessions {
        for part in Counted::new(session, zone).parts {
            let (logged, planned) = if part.planned { (0, part.efforts) } else { (part.efforts, 0) };
            days.entry(Day::EPOCH.plus(part.day)).or_default().add(DayEfforts { logged, planned });
        }
    }
    days
}

/// The efforts of the `length` days that end on `last`.
#[must_use]
pub fn window_sum(days: &BTreeMap<Day, DayEfforts>, last: Day, length: u16) -> DayEfforts {
    let mut sum = DayEfforts::default();
    if length > 0 {
        days.range(last.plus(1 - i32::from(length))..=last).for_each(|(_, day)| sum.add(*day));
    }
    sum
}

/// Logged efforts day by day, from the first day with a live attempt to today, days without jumping as 0:
/// the series for [`load`](super::load). Empty before the first attempt.
#[must_use]
pub fn daily_efforts<K: Clone>(sessions: &[Session<K>], zone: &Zone, today: Day) -> Vec<u32> {
    let attempts = || {
        sessions.iter().flat_map(|s| {
            let planned = s.planned.day(zone);
            s.live().map(move |a| (a.at.map_or(planned, |at| at.day(zone)), a.efforts))
        })
    };
    let Some(length) =
        attempts().map(|(day, _)| day).min().and_then(|first| usize::try_from(today.since(first) + 1).ok())
    else {
        return Vec::new();
    };
    let mut series = vec![0_u32; length];
    for (day, efforts) in attempts() {
        let from_the_end = usize::try_from(today.since(day)).ok();
        if let Some(sum) = from_the_end.and_then(|back| series.iter_mut().rev().nth(back)) {
            *sum = sum.saturating_add(efforts);
        }
    }
    series
}

/// How much of what should be in the log is there: shown beside every total.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Completeness {
    /// Sessions that are closed.
    pub complete: u32,
    /// Sessions that should be.
    pub due: u32,
}

/// Counts the sessions planned in `from..=to` that should be closed by now, and those that are.
#[must_use]
pub fn completeness<K>(sessions: &[Session<K>], zone: &Zone, from: Day, to: Day, today: Day) -> Completeness {
    let mut count = Completeness { complete: 0, due: 0 };
    for session in sessions {
        let day = session.planned.day(zone);
        let due = match session.status {
            Status::Closed | Status::Unresolved => day <= today,
            Status::Booked | Status::Open => day < today,
            Status::Requested | Status::Declined | Status::Cancelled => false,
        };
        if due && from <= day && day <= to {
            count.due += 1;
            count.complete += u32::from(session.status == Status::Closed);
        }
    }
    count
}
