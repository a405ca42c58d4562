//! What to ask next on a line: the normal count first, then more strides, then fewer, and never beyond
//! what the horse has shown.
mod choice;
mod roll_out;
mod seen;

use super::attempt::Used;
use super::{ApproachHint, Attempt, Kind, Range, Settings};
use crate::calendar::Day;
use crate::units::{LogStretch, Metres, Probability};
use choice::{Choice, Question};
use roll_out::{RollOut, next_line, roll_out, rungs};
use seen::Seen;
use serde::{Deserialize, Serialize};

/// The way a horse is to be made more adjustable.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// Shortening: more strides.
    Short,
    /// Lengthening: fewer strides, or the same over a longer distance.
    Long,
    /// Shortening first, then lengthening.
    Either,
}

/// The line the next ask is for.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
pub struct Line {
    /// The distance between the fences, along the track.
    pub distance: Metres,
    /// The part of it that belongs to landing and take-off.
    pub allowance: Metres,
    /// What is to be schooled.
    pub side: Side,
    /// The higher of the two heights.
    pub height: Metres,
    /// Fences or poles.
    pub kind: Kind,
    /// Part of a combination, whose count is fixed.
    pub combination: bool,
}

/// How the ask was come by.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema), schema(as = NextAskStatus))]
#[serde(rename_all = "snake_case")]
pub enum Status {
    /// Nothing is asked on this line.
    Settle,
    /// The count of the line is fixed.
    Fixed,
    /// Something further was missed twice today.
    Nearer,
    /// The normal count over a longer distance.
    Open,
    /// The normal count.
    Natural,
    /// A count met before.
    Repeat,
    /// A count not yet achieved.
    Step,
}

impl Status {
    /// The words shown.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::Settle => "no ask: an easier distance, lower, poles, or a shorter programme",
            Self::Fixed => "the count of this line is fixed",
            Self::Nearer => "nearer to the normal count: missed twice today",
            Self::Open => "the normal count, the fence rolled out",
            Self::Natural => "the normal count",
            Self::Repeat => "a count ridden before, once more",
            Self::Step => "one step further",
        }
    }
}

/// Why nothing is asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum SettleReason {
    /// The normal stride itself was missed lately.
    NaturalMissed,
    /// No count is likely enough to succeed.
    NoCountPasses,
}

impl SettleReason {
    /// The words shown.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::NaturalMissed => "the normal count was missed lately",
            Self::NoCountPasses => "no count is likely enough to succeed",
        }
    }
}

/// The count to ask for and how likely it is to be met.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Ask {
    /// Strides.
    pub count: u8,
    /// The distance it is asked on: the line's, or that of the last rung.
    pub distance_m: Metres,
    /// The stride it takes.
    pub stride_m: Metres,
    /// ln(stride / normal stride).
    pub stretch: LogStretch,
    /// The chance at the estimate.
    pub chance: Probability,
    /// The lower 80 % limit of the chance, by which the ask was judged.
    pub cautious_chance: Probability,
    /// The chance averaged over what is not known.
    pub forecast_chance: Probability,
    /// The canter to ride it from, where the last attempt points to it.
    pub approach_hint: Option<ApproachHint>,
}

/// A proposal for a line. See [`next_ask`].
#[derive(Debug, Clone, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct NextAsk {
    /// The normal count of the line for this horse.
    pub natural: u8,
    /// How the ask was come by.
    pub status: Status,
    /// Why nothing is asked; only with [`Status::Settle`].
    pub reason: Option<SettleReason>,
    /// The ask; none with [`Status::Settle`].
    pub ask: Option<Ask>,
    /// The counts of the session, in order.
    pub ladder: Vec<u8>,
    /// Where the second fence stands, go by go, when it is rolled out; a missed rung ends the climb.
    pub rungs_m: Vec<Metres>,
    /// How long the line may be set from the start of the next session, where longer than now.
    pub next_line_m: Option<Metres>,
}

/// Proposes the next ask on a line.
///
/// `attempts` are those `range` was fitted to: the horse's, or for a pair that rider's
/// ([`of_rider`](super::of_rider)). `None` where the distance leaves no room for a stride. A proposal
/// only: the trainer on the ground decides.
pub fn next_ask<'a, K: 'a>(
    line: &Line,
    range: &Range,
    attempts: impl IntoIterator<Item = &'a Attempt<K>>,
    as_of: Day,
    settings: &Settings,
) -> Option<NextAsk> {
    let question = Question::new(line, range, settings)?;
    let used = attempts
        .into_iter()
        .filter_map(|a| Used::of(a, as_of, range.normal_stride(), settings.window_d, settings))
        .collect();
    let seen = Seen::new(used, line, settings);
    let natural = question.natural()?;
    let x0 = question.x(natural);
    let settle = |reason| NextAsk {
        natural,
        status: Status::Settle,
        reason: Some(reason),
        ask: None,
        ladder: Vec::new(),
        rungs_m: Vec::new(),
        next_line_m: None,
    };
    if seen.natural_missed(x0, settings.settle_last) {
        return Some(settle(SettleReason::NaturalMissed));
    }
    let choice = Choice::new(&question, &seen, natural);
    let Some(pick) = choice.pick(&question) else {
        return Some(settle(SettleReason::NoCountPasses));
    };
    let rolled = roll_out(&question, &seen, &choice, pick);
    let (status, count, distance) = match &rolled {
        _ if question.fixed(natural) => (Status::Fixed, natural, line.distance),
        _ if choice.blocked => (Status::Nearer, pick.count, line.distance),
        Some(_) if seen.missed_in_a_row() => (Status::Nearer, natural, line.distance),
        Some(RollOut { to, .. }) => (Status::Open, natural, Metres::nearest(*to)),
        None if pick.count == natural => (Status::Natural, natural, line.distance),
        None if pick.achieved => (Status::Repeat, pick.count, line.distance),
        None => (Status::Step, pick.count, line.distance),
    };
    let rungs_m = match &rolled {
        Some(rolled) if status == Status::Open => rungs(&question, rolled),
        _ => Vec::new(),
    };
    Some(NextAsk {
        natural,
        status,
        reason: None,
        ask: Some(question.ask(&seen, count, distance)),
        ladder: ladder(natural, count, status, rungs_m.len()),
        rungs_m,
        next_line_m: rolled.filter(|_| status == Status::Open).and_then(|r| next_line(&question, natural, &r)),
    })
}

/// From the normal count to the ask and back; after two misses straight to the ask.
fn ladder(natural: u8, ask: u8, status: Status, rungs: usize) -> Vec<u8> {
    if status == Status::Open {
        return vec![natural; rungs + 1];
    }
    if ask == natural {
        return vec![natural];
    }
    let mut counts = Vec::new();
    if status != Status::Nearer {
        counts.push(natural);
        let between = natural.min(ask) + 1..natural.max(ask);
        if ask > natural {
            counts.extend(between);
        } else {
            counts.extend(between.rev());
        }
    }
    counts.extend([ask, natural]);
    counts
}
