//! Why a session may not be, with the figure and the limit it meets.
use crate::calendar::Day;
use serde::{Deserialize, Serialize};
use std::fmt;

/// What stands against a session; a stable word on the wire. In alphabetical order, as reasons are listed.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Code {
    /// Too soon after a competition.
    ClearDaysAfterCompetition,
    /// Too soon after a day of many efforts.
    ClearDaysAfterEfforts,
    /// A limit asks for the height and none is stated.
    HeightUnknown,
    /// Too many efforts in 28 days.
    #[serde(rename = "max_efforts_per_28_days")]
    MaxEffortsPer28Days,
    /// Too many efforts in 7 days.
    #[serde(rename = "max_efforts_per_7_days")]
    MaxEffortsPer7Days,
    /// Too many efforts in a day.
    MaxEffortsPerDay,
    /// Too many efforts in a session.
    MaxEffortsPerSession,
    /// Too high.
    MaxHeightCm,
    /// Too many jumping days in 7.
    #[serde(rename = "max_jumping_days_per_7_days")]
    MaxJumpingDaysPer7Days,
    /// Ridden too often in a day.
    MaxSessionsPerDay,
    /// Too many efforts in 7 days of an easy start.
    #[serde(rename = "return_ramp_7_days")]
    ReturnRamp7Days,
    /// Too many efforts in a session of an easy start.
    ReturnRampSession,
    /// The horse or the rider stands down.
    StandDown,
}

impl Code {
    /// The word on the wire.
    #[must_use]
    pub const fn as_str(self) -> &'static str {
        match self {
            Self::ClearDaysAfterCompetition => "clear_days_after_competition",
            Self::ClearDaysAfterEfforts => "clear_days_after_efforts",
            Self::HeightUnknown => "height_unknown",
            Self::MaxEffortsPer28Days => "max_efforts_per_28_days",
            Self::MaxEffortsPer7Days => "max_efforts_per_7_days",
            Self::MaxEffortsPerDay => "max_efforts_per_day",
            Self::MaxEffortsPerSession => "max_efforts_per_session",
            Self::MaxHeightCm => "max_height_cm",
            Self::MaxJumpingDaysPer7Days => "max_jumping_days_per_7_days",
            Self::MaxSessionsPerDay => "max_sessions_per_day",
            Self::ReturnRamp7Days => "return_ramp_7_days",
            Self::ReturnRampSession => "return_ramp_session",
            Self::StandDown => "stand_down",
        }
    }
}

impl fmt::Display for Code {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str(self.as_str())
    }
}

/// What else a reason is about.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(untagged)]
pub enum Other<K> {
    /// The day that asks for clear days.
    Day(Day),
    /// The session that breaks the limit by itself.
    Session(K),
}

/// One reason. The order is that of a list of them: day, code, row, other with none first.
#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Reason<K> {
    /// The day on which the limit is broken.
    pub day: Day,
    /// What it is.
    pub code: Code,
    /// The limit or stand-down.
    pub limit_id: K,
    /// The day that triggers it or the session; none for a sum, and where the session is the candidate.
    pub other: Option<Other<K>>,
    /// The sum or count with the candidate, the session's efforts or height in cm, or the clear days there
    /// are; none where a height is not stated.
    pub figure: Option<u32>,
    /// The limit that the figure meets: efforts, days, sessions or cm; 0 for a stand-down.
    pub limit: u32,
    /// Whether it bars overriding.
    #[serde(skip)]
    pub binding: bool,
}
