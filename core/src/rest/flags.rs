//! Bookings that what came after them has broken.
use super::book::Book;
use super::{Candidate, Decision, Reason};
use crate::workload::{Counted, Status};
use serde::Serialize;

/// A booking, and what stands against it.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Flag<K> {
    /// The booked session.
    pub id: K,
    /// Every reason, in order.
    pub reasons: Vec<Reason<K>>,
}

/// What a write has done to the bookings from today on.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Flags<K> {
    /// Bookings with a binding reason, the latest first: they go back to requested.
    pub flagged: Vec<Flag<K>>,
    /// Bookings that stay and are warned about, the latest first.
    pub warned: Vec<Flag<K>>,
}

impl<K: Clone + Ord> Book<K> {
    /// The flags of a write, to be raised in the transaction that writes. No booking that stays has a binding
    /// reason, outings aside: a flagged one gives way, which may open a gap before one that was tested before
    /// it, so that the rest are tested again until none is flagged.
    #[must_use]
    pub fn flagged(&self) -> Flags<K> {
        let mut standing = self.clone();
        let mut flagged = Vec::new();
        loop {
            let flags = standing.flagged_once();
            if flags.flagged.is_empty() {
                return Flags { flagged, warned: flags.warned };
            }
            for flag in &flags.flagged {
                standing = standing.without(&flag.id);
            }
            flagged.extend(flags.flagged);
        }
    }

    /// Tests every booked session from today on without a live attempt, the latest first, against all others;
    /// one that is flagged counts no more for those tested after it.
    #[must_use]
    pub fn flagged_once(&self) -> Flags<K> {
        let today = self.today.number();
        let mut booked: Vec<_> = self
            .sessions
            .iter()
            .filter(|s| s.session.status == Status::Booked && s.planned_day >= today)
            .filter(|s| s.session.live().next().is_none())
            .collect();
        booked.sort_by_key(|s| (s.planned_day, s.session.planned.start(), &s.session.id));
        let mut flags = Flags { flagged: Vec::new(), warned: Vec::new() };
        let mut standing = self.clone();
        for counted in booked.into_iter().rev() {
            let others = standing.without(&counted.session.id);
            let decision = others.decision(&as_planned(counted));
            let flag = Flag { id: counted.session.id.clone(), reasons: decision.reasons };
            if flag.reasons.is_empty() {
                continue;
            }
            let binding = flag.reasons.iter().any(|r| r.binding);
            let refused = if counted.session.outing { !decision.allowed } else { binding };
            if refused {
                flags.flagged.push(flag);
                standing = others;
            } else {
                flags.warned.push(flag);
            }
        }
        flags
    }

    /// Takes a session out and tests it as planned against all others, as on opening it; none where the book
    /// does not hold it.
    #[must_use]
    pub fn retest(&self, id: &K) -> Option<Decision<K>> {
        Some(self.without(id).decision(&as_planned(self.session(id)?)))
    }
}

fn as_planned<K: Clone>(counted: &Counted<K>) -> Candidate<K> {
    let session = &counted.session;
    Candidate {
        day: super::book::date(counted.planned_day),
        efforts: session.planned_efforts,
        height: session.planned_height,
        competition: session.competition,
        show_id: session.show_id.clone(),
        rider_id: session.rider_id.clone(),
        pole_passes: session.planned_pole_passes,
        outing: session.outing,
    }
}
