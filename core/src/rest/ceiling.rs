//! At most how many efforts, the first day that has room, and what is left while riding.
use super::book::Book;
use super::{Candidate, Code};
use crate::calendar::Day;
use serde::Serialize;

/// At most so many efforts on a day, and the row that says so.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Ceiling<K> {
    /// The day.
    pub day: Day,
    /// The most efforts without a reason against them; none where there is no limit.
    pub at_most: Option<u32>,
    /// What binds; none where there is no limit.
    pub code: Option<Code>,
    /// The row or stand-down that binds.
    pub limit_id: Option<K>,
}

/// What is left of a session being ridden.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct LeftInSession {
    /// The ceiling of the day as if this session were not there; none where there is no limit.
    pub remaining_without_it: Option<u32>,
    /// Its own efforts logged.
    pub own_logged: u32,
    /// The difference, not below 0; none where there is no limit.
    pub left: Option<u32>,
}

impl<K: Clone + Ord> Book<K> {
    /// At most how many efforts a session like this may have, whatever it asks for. Without a height it is
    /// counted by every row and held against no height.
    #[must_use]
    pub fn remaining(&self, candidate: &Candidate<K>) -> Ceiling<K> {
        let bars = self.bars(candidate);
        // a stand-down comes first among those that leave nothing
        let bound = bars.iter().min_by_key(|b| (b.at_most, b.code != Code::StandDown, b.code, b.limit_id));
        Ceiling {
            day: candidate.day,
            at_most: bound.map(|b| b.at_most),
            code: bound.map(|b| b.code),
            limit_id: bound.map(|b| b.limit_id.clone()),
        }
    }

    /// The ceilings of today and the thirteen days after it, for an ordinary session without a height or rider.
    #[must_use]
    pub fn next_14_days(&self) -> Vec<Ceiling<K>> {
        (0..14).map(|n| self.remaining(&Candidate::on(self.today.plus(n)))).collect()
    }

    /// The first of so many days, from the candidate's own on, without a reason against it; its poles and a
    /// missing height aside.
    #[must_use]
    pub fn earliest(&self, candidate: &Candidate<K>, days: u16) -> Option<Day> {
        let mut candidate = Candidate { pole_passes: 0, ..candidate.clone() };
        let start = candidate.day;
        (0..i32::from(days)).map(|n| start.plus(n)).find(|day| {
            candidate.day = *day;
            if candidate.efforts == 0 {
                self.reasons(&candidate).is_empty()
            } else {
                self.bars(&candidate).iter().all(|b| candidate.efforts <= b.at_most)
            }
        })
    }

    /// What is left of a session on the day; none where the book does not hold it.
    #[must_use]
    pub fn left_in_session(&self, id: &K, day: Day) -> Option<LeftInSession> {
        let session = &self.session(id)?.session;
        let own = session.logged();
        let remaining = self
            .without(id)
            .remaining(&Candidate {
                competition: session.competition,
                show_id: session.show_id.clone(),
                rider_id: session.rider_id.clone(),
                ..Candidate::on(day)
            })
            .at_most;
        Some(LeftInSession {
            remaining_without_it: remaining,
            own_logged: own,
            left: remaining.map(|r| r.saturating_sub(own)),
        })
    }
}
