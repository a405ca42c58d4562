//! Whether a booking may stand: everything that objects, and who may pass it.
//!
//! The facts are gathered elsewhere, under the barn's lock; here they are only weighed.
pub mod places;

use crate::calendar::Instant;
use crate::rest;
use crate::stride::Pair as Level;
use crate::units::Centimetres;

/// What cannot be in two places at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Kind {
    /// An arena, or one of its places.
    Arena,
    /// A set of fences.
    FenceSet,
    /// A horse.
    Horse,
    /// A trainer, rider or helper on the ground.
    Person,
}

/// Something that is elsewhere at that time.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Taken<K> {
    /// What it is.
    pub kind: Kind,
    /// Which one.
    pub id: K,
    /// From when.
    pub from: Instant,
    /// Until when.
    pub to: Instant,
}

/// The pair's standing, where horse and rider are known.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Pair {
    /// Horse or rider is not chosen yet, or the horse goes loose.
    None,
    /// The rider is not paired with the horse.
    Unknown,
    /// How the pair is schooled, and the height it may jump.
    Known {
        /// How far it is schooled.
        level: Level,
        /// At most so high.
        up_to: Centimetres,
    },
}

/// What a booking is weighed by.
#[derive(Debug, Clone)]
pub struct Facts<K> {
    /// Whatever is elsewhere at that time.
    pub taken: Vec<Taken<K>>,
    /// What the horse's and the rider's limits say; none where no horse is chosen.
    pub rest: Option<rest::Decision<K>>,
    /// The pair.
    pub pair: Pair,
    /// The level of the exercise.
    pub exercise_level: Option<Level>,
    /// Efforts planned.
    pub efforts: u32,
    /// The height planned.
    pub height: Option<Centimetres>,
    /// Whether a minor jumps in the session as it would stand.
    pub minor_jumps: bool,
    /// Whether an adult on the ground is named who does not ride in the session.
    pub adult: bool,
    /// Whether the arena is open all the time.
    pub arena_open: bool,
    /// Whether the session has a place for one more.
    pub place_free: bool,
}

/// One thing that objects.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Objection<K> {
    /// It is elsewhere.
    Taken(Taken<K>),
    /// The session is full.
    Full,
    /// A minor jumps only with a named adult on the ground.
    NoAdult,
    /// A limit or a stand-down.
    Rest(rest::Reason<K>),
    /// The rider is not paired with the horse.
    NotPaired,
    /// Higher than the pair may jump.
    AbovePairHeight {
        /// At most so high.
        limit: Centimetres,
    },
    /// The exercise is above the pair's level.
    AboveLevel,
    /// Outside the arena's hours.
    ArenaClosed,
}

impl<K> Objection<K> {
    /// Whether nobody may pass it.
    #[must_use]
    pub const fn binding(&self) -> bool {
        match self {
            Self::Taken(_) | Self::Full | Self::NoAdult => true,
            Self::Rest(reason) => reason.binding,
            Self::NotPaired | Self::AbovePairHeight { .. } | Self::AboveLevel | Self::ArenaClosed => false,
        }
    }
}

/// What is said to people beside a booking that may stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Caution {
    /// Nobody is named who stands on the ground while an adult jumps.
    NoAdultNamed,
}

/// Everything that objects, hardest walls first; none is a yes.
///
/// ```
/// use stridewright_core::booking::{Facts, Objection, Pair, objections};
/// let facts = Facts::<u32> {
///     taken: vec![], rest: None, pair: Pair::Unknown, exercise_level: None, efforts: 12, height: None,
///     minor_jumps: true, adult: false, arena_open: true, place_free: true,
/// };
/// assert_eq!(objections(&facts), [Objection::NoAdult, Objection::NotPaired]);
/// ```
#[must_use]
pub fn objections<K: Clone>(facts: &Facts<K>) -> Vec<Objection<K>> {
    let mut list: Vec<Objection<K>> = facts.taken.iter().cloned().map(Objection::Taken).collect();
    if !facts.place_free {
        list.push(Objection::Full);
    }
    if facts.minor_jumps && !facts.adult {
        list.push(Objection::NoAdult);
    }
    if let Some(rest) = &facts.rest {
        list.extend(rest.reasons.iter().cloned().map(Objection::Rest));
    }
    match facts.pair {
        Pair::None => {}
        Pair::Unknown => list.push(Objection::NotPaired),
        Pair::Known { level, up_to } => {
            if facts.efforts > 0 && facts.height.is_some_and(|height| height > up_to) {
                list.push(Objection::AbovePairHeight { limit: up_to });
            }
            if facts.exercise_level.is_some_and(|asked| rank(asked) > rank(level)) {
                list.push(Objection::AboveLevel);
            }
        }
    }
    if !facts.arena_open {
        list.push(Objection::ArenaClosed);
    }
    list
}

/// What to say although the booking may stand.
#[must_use]
pub fn cautions<K>(facts: &Facts<K>) -> Vec<Caution> {
    if facts.efforts > 0 && !facts.adult { vec![Caution::NoAdultNamed] } else { Vec::new() }
}

const fn rank(level: Level) -> u8 {
    match level {
        Level::Novice => 0,
        Level::Usual => 1,
        Level::Schooled => 2,
    }
}
