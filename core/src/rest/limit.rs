//! Workload limits: who set them, from when to when, and what they ask.
use super::Code;
use crate::calendar::Day;
use crate::units::Centimetres;
use serde::{Deserialize, Serialize};
use std::num::NonZeroU32;

/// What a limit asks. Days are dates in the barn's zone; windows end on the day that is judged.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(tag = "kind", rename_all = "snake_case")]
pub enum Rule {
    /// Efforts of one session, judged on its last day; not of a competition.
    MaxEffortsPerSession {
        /// At most so many.
        value: u32,
    },
    /// Sessions in which the horse is ridden, flat work included.
    MaxSessionsPerDay {
        /// At most so many.
        value: u32,
    },
    /// Efforts of one day.
    MaxEffortsPerDay {
        /// At most so many.
        value: u32,
    },
    /// Efforts of seven days running.
    #[serde(rename = "max_efforts_per_7_days")]
    MaxEffortsPer7Days {
        /// At most so many.
        value: u32,
    },
    /// Efforts of twenty-eight days running.
    #[serde(rename = "max_efforts_per_28_days")]
    MaxEffortsPer28Days {
        /// At most so many.
        value: u32,
    },
    /// Days with efforts among seven days running.
    #[serde(rename = "max_jumping_days_per_7_days")]
    MaxJumpingDaysPer7Days {
        /// At most so many.
        value: u32,
    },
    /// The height of a session.
    MaxHeightCm {
        /// At most so high.
        value: Centimetres,
    },
    /// After a day of so many efforts, days without any.
    ClearDaysAfterEfforts {
        /// The sum of a day from which it asks for clear days.
        #[cfg_attr(feature = "utoipa", schema(value_type = u32, minimum = 1))]
        min_efforts: NonZeroU32,
        /// Whole days without efforts; the day after them is the first to jump again.
        clear_days: u32,
    },
    /// After a day of competition, days without efforts.
    ClearDaysAfterCompetition {
        /// Whole days without efforts.
        clear_days: u32,
    },
    /// An easy start after a break.
    ReturnRamp {
        /// A jumping day more than so many days after the one before is a return.
        after_gap_days: u32,
        /// Days of the easy start, the day of return being the first.
        ramp_days: u32,
        /// Efforts of one session within them, at most.
        max_per_session: u32,
        /// Efforts of seven days running within them, at most.
        max_per_7_days: u32,
    },
}

impl Rule {
    /// The code of a reason that this rule gives; a return ramp has two, and this is the session's.
    #[must_use]
    pub const fn code(&self) -> Code {
        match self {
            Self::MaxEffortsPerSession { .. } => Code::MaxEffortsPerSession,
            Self::MaxSessionsPerDay { .. } => Code::MaxSessionsPerDay,
            Self::MaxEffortsPerDay { .. } => Code::MaxEffortsPerDay,
            Self::MaxEffortsPer7Days { .. } => Code::MaxEffortsPer7Days,
            Self::MaxEffortsPer28Days { .. } => Code::MaxEffortsPer28Days,
            Self::MaxJumpingDaysPer7Days { .. } => Code::MaxJumpingDaysPer7Days,
            Self::MaxHeightCm { .. } => Code::MaxHeightCm,
            Self::ClearDaysAfterEfforts { .. } => Code::ClearDaysAfterEfforts,
            Self::ClearDaysAfterCompetition { .. } => Code::ClearDaysAfterCompetition,
            Self::ReturnRamp { .. } => Code::ReturnRampSession,
        }
    }

    /// The value of a `max_` rule.
    #[must_use]
    pub fn value(&self) -> Option<u32> {
        match *self {
            Self::MaxEffortsPerSession { value }
            | Self::MaxSessionsPerDay { value }
            | Self::MaxEffortsPerDay { value }
            | Self::MaxEffortsPer7Days { value }
            | Self::MaxEffortsPer28Days { value }
            | Self::MaxJumpingDaysPer7Days { value } => Some(value),
            Self::MaxHeightCm { value } => Some(value.get().into()),
            Self::ClearDaysAfterEfforts { .. } | Self::ClearDaysAfterCompetition { .. } | Self::ReturnRamp { .. } => {
                None
            }
        }
    }

    /// Whether a row of this kind may look only at efforts from a height on.
    #[must_use]
    pub const fn may_start_at_a_height(&self) -> bool {
        !matches!(self, Self::MaxEffortsPerSession { .. } | Self::MaxSessionsPerDay { .. } | Self::MaxHeightCm { .. })
    }
}

/// Who set a limit.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Source {
    /// The barn's convention; always soft.
    BarnDefault,
    /// A trainer.
    Trainer,
    /// An owner of the horse; nobody else overrides it.
    Owner,
    /// A vet; nobody overrides it.
    Vet,
}

/// One row of a horse's limits. `K` is the type of ids.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize)]
pub struct Limit<K> {
    /// Its id.
    pub id: K,
    /// What it asks.
    #[serde(flatten)]
    pub rule: Rule,
    /// Who set it.
    pub source: Source,
    /// Whether not even a trainer with a reason may pass it.
    pub hard: bool,
    /// The first day it is valid; open where none.
    #[serde(default)]
    pub valid_from: Option<Day>,
    /// The last day it is valid; open where none.
    #[serde(default)]
    pub valid_to: Option<Day>,
    /// It sees only efforts at or above this height, and those of unknown height.
    #[serde(default, rename = "from_height_cm")]
    pub from_height: Option<Centimetres>,
}

/// Why a row may not stand.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum Faulty {
    /// The barn's defaults are soft.
    #[error("must not be hard: a barn's defaults are soft")]
    HardDefault,
    /// This kind looks at all efforts.
    #[error("must not start at a height: this kind looks at all efforts")]
    StartsAtAHeight,
}

impl<K> Limit<K> {
    /// Checks the row before it is stored. One that ends before it begins is never valid and does no harm.
    ///
    /// # Errors
    /// [`Faulty`], the first that is found.
    pub fn check(&self) -> Result<(), Faulty> {
        if self.hard && self.source == Source::BarnDefault {
            return Err(Faulty::HardDefault);
        }
        if self.from_height.is_some() && !self.rule.may_start_at_a_height() {
            return Err(Faulty::StartsAtAHeight);
        }
        Ok(())
    }

    /// Whether it is valid on the day.
    #[must_use]
    pub fn valid_on(&self, day: Day) -> bool {
        self.valid_from.is_none_or(|from| from <= day) && self.valid_to.is_none_or(|to| day <= to)
    }

    /// Whether a reason from it bars overriding: a hard row, or an owner's or vet's whether hard or not.
    #[must_use]
    pub const fn binds(&self) -> bool {
        self.hard || matches!(self.source, Source::Owner | Source::Vet)
    }

    /// Whether it sees an effort of that height.
    #[must_use]
    pub fn sees(&self, height: Option<Centimetres>) -> bool {
        match (self.from_height, height) {
            (Some(from), Some(height)) => height >= from,
            _ => true,
        }
    }
}
