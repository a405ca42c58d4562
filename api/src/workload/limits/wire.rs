//! A workload limit as it crosses the wire.
use crate::problem::FieldError;
use crate::{choice, whole};
use serde::Deserialize;
use serde_json::{Map, Value};
use stridewright_core::rest::Rule;

choice! {
    /// What a workload limit asks.
    pub enum LimitKind {
        /// Efforts of one session; `value`.
        MaxEffortsPerSession,
        /// Sessions in which the horse is ridden on one day; `value`.
        MaxSessionsPerDay,
        /// Efforts of one day; `value`.
        MaxEffortsPerDay,
        /// Efforts of seven days running; `value`.
        #[serde(rename = "max_efforts_per_7_days")]
        MaxEffortsPer7Days,
        /// Efforts of twenty-eight days running; `value`.
        #[serde(rename = "max_efforts_per_28_days")]
        MaxEffortsPer28Days,
        /// Days with efforts among seven running; `value`.
        #[serde(rename = "max_jumping_days_per_7_days")]
        MaxJumpingDaysPer7Days,
        /// The height of a session; `value`, in cm.
        MaxHeightCm,
        /// Days without efforts after a day of many; `min_efforts`, `clear_days`.
        ClearDaysAfterEfforts,
        /// Days without efforts after a day of competition; `clear_days`.
        ClearDaysAfterCompetition,
        /// An easy start after a break; `after_gap_days`, `ramp_days`, `max_per_session`, `max_per_7_days`.
        ReturnRamp,
    }
}

impl LimitKind {
    /// The numbers that a limit of this kind has, and no others.
    pub const fn needs(self) -> &'static [&'static str] {
        match self {
            Self::MaxEffortsPerSession
            | Self::MaxSessionsPerDay
            | Self::MaxEffortsPerDay
            | Self::MaxEffortsPer7Days
            | Self::MaxEffortsPer28Days
            | Self::MaxJumpingDaysPer7Days
            | Self::MaxHeightCm => &["value"],
            Self::ClearDaysAfterEfforts => &["min_efforts", "clear_days"],
            Self::ClearDaysAfterCompetition => &["clear_days"],
            Self::ReturnRamp => &["after_gap_days", "ramp_days", "max_per_session", "max_per_7_days"],
        }
    }
}

whole! {
    /// Efforts, sessions or days, or centimetres.
    pub struct LimitValue(0 ..= 5000), example 35
}
whole! {
    /// The sum of a day from which it asks for clear days.
    pub struct MinEfforts(1 ..= 500), example 20
}
whole! {
    /// Whole days without efforts.
    pub struct ClearDays(0 ..= 60), example 1
}
whole! {
    /// A jumping day more than so many days after the one before is a return.
    pub struct GapDays(1 ..= 365), example 28
}
whole! {
    /// Days of the easy start.
    pub struct RampDays(1 ..= 90), example 14
}

/// The numbers of a limit, by name; which of them there are depends on its kind.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default, Deserialize)]
#[serde(default)]
pub struct Numbers {
    pub value: Option<i32>,
    pub min_efforts: Option<i32>,
    pub clear_days: Option<i32>,
    pub after_gap_days: Option<i32>,
    pub ramp_days: Option<i32>,
    pub max_per_session: Option<i32>,
    pub max_per_7_days: Option<i32>,
}

impl Numbers {
    const fn named(&self) -> [(&'static str, Option<i32>); 7] {
        [
            ("value", self.value),
            ("min_efforts", self.min_efforts),
            ("clear_days", self.clear_days),
            ("after_gap_days", self.after_gap_days),
            ("ramp_days", self.ramp_days),
            ("max_per_session", self.max_per_session),
            ("max_per_7_days", self.max_per_7_days),
        ]
    }

    /// The kind and numbers of a rule.
    pub fn of(rule: &Rule) -> Option<(LimitKind, Self)> {
        let fields = serde_json::to_value(rule).ok()?;
        let kind = serde_json::from_value(fields.get("kind")?.clone()).ok()?;
        Some((kind, serde_json::from_value(fields).ok()?))
    }

    /// The rule that they and the kind make, or every fault of them.
    pub fn rule(&self, kind: LimitKind) -> Result<Rule, Vec<FieldError>> {
        let needs = kind.needs();
        let mut errors = Vec::new();
        let mut fields = Map::new();
        for (name, number) in self.named() {
            let pointer = format!("/{name}");
            match (needs.contains(&name), number) {
                (true, Some(number)) => {
                    fields.insert(name.to_owned(), number.into());
                }
                (true, None) => errors.push(FieldError::new(pointer, "required", "is required for this kind of limit")),
                (false, Some(_)) => {
                    errors.push(FieldError::new(pointer, "unknown", "is no number of this kind of limit"))
                }
                (false, None) => {}
            }
        }
        if !errors.is_empty() {
            return Err(errors);
        }
        fields.insert("kind".to_owned(), serde_json::to_value(kind).unwrap_or_default());
        serde_json::from_value(Value::Object(fields)).map_err(|e| {
            vec![FieldError::new(format!("/{}", needs.first().unwrap_or(&"value")), "invalid", e.to_string())]
        })
    }
}
