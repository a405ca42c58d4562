//! Whether one more session is allowed.
use super::bars::Bar;
use super::book::Book;
use super::{Code, Reason, Rule};
use crate::calendar::Day;
use crate::units::Centimetres;
use serde::Serialize;

/// A session that is asked for.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Candidate<K> {
    /// Its day.
    pub day: Day,
    /// Efforts planned.
    pub efforts: u32,
    /// The height planned, where stated.
    pub height: Option<Centimetres>,
    /// Whether it is a competition.
    pub competition: bool,
    /// The show it belongs to.
    pub show_id: Option<String>,
    /// Its rider.
    pub rider_id: Option<K>,
    /// Poles on the ground planned.
    pub pole_passes: u32,
    /// Jumping elsewhere: warned about, refused only under a stand-down.
    pub outing: bool,
}

impl<K> Candidate<K> {
    /// An ordinary session of that day of which nothing else is known yet.
    #[must_use]
    pub const fn on(day: Day) -> Self {
        Self {
            day,
            efforts: 0,
            height: None,
            competition: false,
            show_id: None,
            rider_id: None,
            pole_passes: 0,
            outing: false,
        }
    }
}

/// What the book says to a candidate.
#[derive(Debug, Clone, PartialEq, Eq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Decision<K> {
    /// No reason stands against it, or it is an outing without a stand-down.
    pub allowed: bool,
    /// There are reasons, and a trainer may pass them all.
    pub overridable: bool,
    /// Every reason, in order.
    pub reasons: Vec<Reason<K>>,
}

impl<K> Decision<K> {
    /// The reasons that bar overriding: hard rows, an owner's or a vet's, stand-downs.
    pub fn binding(&self) -> impl Iterator<Item = &Reason<K>> {
        self.reasons.iter().filter(|r| r.binding)
    }
}

impl<K: Clone + Ord> Book<K> {
    /// Every reason against the candidate, in order; none of them is about a booking elsewhere that is
    /// broken anyway.
    #[must_use]
    pub fn reasons(&self, candidate: &Candidate<K>) -> Vec<Reason<K>> {
        let mut reasons = if candidate.efforts == 0 { self.without_efforts(candidate) } else { self.broken(candidate) };
        reasons.sort();
        reasons
    }

    /// Allowed, overridable, and every reason.
    #[must_use]
    pub fn decision(&self, candidate: &Candidate<K>) -> Decision<K> {
        let reasons = self.reasons(candidate);
        let stands_down = reasons.iter().any(|r| r.code == Code::StandDown);
        Decision {
            allowed: reasons.is_empty() || (candidate.outing && !stands_down),
            overridable: !reasons.is_empty() && reasons.iter().all(|r| !r.binding),
            reasons,
        }
    }

    fn broken(&self, candidate: &Candidate<K>) -> Vec<Reason<K>> {
        let bars = self.bars(candidate);
        let broken = bars.iter().filter(|b| candidate.efforts > b.at_most).map(Bar::reason);
        broken.chain(self.height_unknown(candidate)).collect()
    }

    /// Flat work and poles know stand-downs and the number of sessions only.
    fn without_efforts(&self, candidate: &Candidate<K>) -> Vec<Reason<K>> {
        let day = candidate.day.number();
        self.standing_down(candidate)
            .filter(|s| s.forbids(false, candidate.pole_passes > 0))
            .map(|s| self.stand_down_bar(s, candidate, day))
            .chain(self.rows.iter().filter_map(|row| self.sessions_bar(row, day)))
            .map(|bar| bar.reason())
            .collect()
    }

    /// Rows that ask for a height where none is stated.
    fn height_unknown(&self, candidate: &Candidate<K>) -> impl Iterator<Item = Reason<K>> {
        let rows = self.rows.iter().filter(|_| candidate.height.is_none()).map(|r| &r.limit);
        rows.filter(|l| l.valid_on(candidate.day)).filter_map(|limit| {
            let height = match limit.rule {
                Rule::MaxHeightCm { value } => value,
                _ => limit.from_height?,
            };
            Some(Reason {
                day: candidate.day,
                code: Code::HeightUnknown,
                limit_id: limit.id.clone(),
                other: None,
                figure: None,
                limit: height.get().into(),
                binding: limit.binds(),
            })
        })
    }
}
