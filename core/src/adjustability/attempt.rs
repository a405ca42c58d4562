//! What was ridden on a line, and what it says about the horse's stride.
use super::Settings;
use crate::calendar::Day;
use crate::units::Metres;
use serde::{Deserialize, Serialize};

/// What went wrong in an attempt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Fault {
    /// A rail came down. The stride was ridden all the same.
    Rail,
    /// The horse stopped.
    Refusal,
    /// The horse ran past the fence.
    RunOut,
    /// The canter was lost between the fences.
    Break,
    /// Horse or rider fell.
    Fall,
    /// The count was reached only by a last short or long scramble.
    Chip,
}

impl Fault {
    /// Whether the attempt shows nothing of the stride asked for.
    #[must_use]
    pub const fn spoils(self) -> bool {
        !matches!(self, Self::Rail)
    }

    /// The one fault that stands for several: the first that spoils, else the first.
    #[must_use]
    pub fn of(faults: &[Self]) -> Option<Self> {
        faults.iter().copied().find(|fault| fault.spoils()).or(faults.first().copied())
    }
}

/// The canter in which the line was approached.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Approach {
    /// Slower than the ask needs.
    Slow,
    /// As the ask needs.
    Right,
    /// Faster than the ask needs.
    Fast,
}

/// What the line is made of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Kind {
    /// At least one fence.
    Fence,
    /// Poles on the ground, both.
    Pole,
}

/// One line as it was ridden. `K` tells riders apart.
///
/// Within a day attempts are listed in the order ridden. Where two faults happened, see [`Fault::of`].
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Attempt<K> {
    /// The day on the barn's calendar.
    pub day: Day,
    /// Who rode; none when loose or on the lunge.
    pub rider: Option<K>,
    /// The distance between the fences as ridden, along the track.
    pub distance: Metres,
    /// The part of it that belongs to landing and take-off.
    pub allowance: Metres,
    /// Strides asked for; none means "as it comes".
    pub asked: Option<u8>,
    /// Strides ridden; none where the line was not completed.
    pub ridden: Option<u8>,
    /// What went wrong.
    pub fault: Option<Fault>,
    /// The canter in which the line was approached.
    pub approach: Option<Approach>,
    /// The higher of the two heights.
    pub height: Metres,
    /// Fences or poles.
    pub kind: Kind,
    /// Part of a combination. Such an attempt counts like any other.
    pub combination: bool,
    /// A circle was ridden between the fences, so the distance says nothing of the stride.
    pub circle: bool,
}

/// What would explain a miss: the other canter.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ApproachHint {
    /// Too few strides out of a fast canter.
    Slower,
    /// Too many strides out of a slow canter.
    Faster,
}

impl ApproachHint {
    /// The words shown.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Slower => "again, from a slower canter",
            Self::Faster => "again, from a faster canter",
        }
    }
}

/// An attempt that enters a fit, reduced to what the rules ask of it.
#[derive(Debug, Clone, Copy)]
pub(super) struct Used {
    pub day: Day,
    /// Whole local days before the day of the question.
    pub age: i32,
    /// The stretch asked for.
    pub x: f64,
    /// The count asked for was ridden, unspoiled.
    pub met: bool,
    /// The horse showed at least the stretch asked for.
    pub shown: bool,
    /// What the canter would explain, before the side of the ask is looked at.
    pub hint: Option<ApproachHint>,
    pub height: f64,
    pub kind: Kind,
}

impl Used {
    /// `None` where the attempt says nothing of the stride or lies outside the window.
    pub fn of<K>(
        attempt: &Attempt<K>,
        as_of: Day,
        normal_stride: Metres,
        window_d: u16,
        settings: &Settings,
    ) -> Option<Self> {
        let age = as_of.since(attempt.day);
        if attempt.circle || !(0..=i32::from(window_d)).contains(&age) {
            return None;
        }
        let asked = attempt.asked?;
        let x = stretch(attempt.distance, attempt.allowance, asked, normal_stride)?;
        let same = settings.same_x.get();
        let spoiled = attempt.fault.is_some_and(Fault::spoils);
        let ridden = attempt.ridden.filter(|_| !spoiled);
        let met = ridden == Some(asked);
        let further = ridden.is_some_and(|m| (x < -same && m > asked) || (x > same && m < asked));
        let hint = ridden.and_then(|m| match attempt.approach? {
            Approach::Fast if m < asked => Some(ApproachHint::Slower),
            Approach::Slow if m > asked => Some(ApproachHint::Faster),
            _ => None,
        });
        Some(Self {
            day: attempt.day,
            age,
            x,
            met,
            shown: met || further,
            hint,
            height: attempt.height.get(),
            kind: attempt.kind,
        })
    }
}

/// ln(stride / normal stride) of a count on a distance; `None` without room, count or normal stride.
pub(super) fn stretch(distance: Metres, allowance: Metres, count: u8, normal_stride: Metres) -> Option<f64> {
    let room = distance.get() - allowance.get();
    if count < 1 || room <= 0.0 {
        return None;
    }
    let x = (room / f64::from(count) / normal_stride.get()).ln();
    x.is_finite().then_some(x)
}

#[cfg(test)]
mod tests {
    use super::*;

    #[test]
    fn the_fault_that_stands_for_several_is_the_first_that_spoils() {
        assert_eq!(Fault::of(&[]), None);
        assert_eq!(Fault::of(&[Fault::Rail]), Some(Fault::Rail));
        assert_eq!(Fault::of(&[Fault::Rail, Fault::Chip, Fault::Refusal]), Some(Fault::Chip));
    }
}
