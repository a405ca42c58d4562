//! A workload limit as it crosses the wire.
use crate::problem::FieldError;
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::Note;
use crate::{choice, input, query, whole};
use serde::{Deserialize, Serialize};
use serde_json::{Map, Value};
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Horse, Id, Person, WorkloadLimit};
use stridewright_core::rest::{Rule, Source};
use stridewright_core::units::Centimetres;
use utoipa::ToSchema;

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

input! {
    /// A new workload limit. Which numbers it has depends on its kind.
    #[schema(example = json!({"kind": "clear_days_after_efforts", "min_efforts": 20, "clear_days": 1,
        "source": "trainer", "hard": false, "valid_from": "2026-06-04"}))]
    pub struct LimitIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<WorkloadLimit>>,
        pub kind: LimitKind,
        pub value: Option<LimitValue>,
        pub min_efforts: Option<MinEfforts>,
        pub clear_days: Option<ClearDays>,
        pub after_gap_days: Option<GapDays>,
        pub ramp_days: Option<RampDays>,
        pub max_per_session: Option<LimitValue>,
        pub max_per_7_days: Option<LimitValue>,
        /// `trainer`, `owner` or `vet`; an owner's and a vet's limits are always strict.
        pub source: Source,
        /// Whether not even a trainer with a reason may pass it; it may where this is absent.
        pub hard: Option<bool>,
        /// The first day it is valid; always where absent.
        pub valid_from: Option<Day>,
        /// The last day it is valid; open where absent.
        pub valid_to: Option<Day>,
        /// It sees only efforts from this height on, and those of unknown height.
        pub from_height_cm: Option<Centimetres>,
        pub note: Option<Note>,
    }
}

input! {
    /// What to change of a workload limit.
    #[schema(example = json!({"clear_days": 2, "valid_to": "2026-08-31", "note": "Until the autumn."}))]
    pub struct LimitPatch {
        pub value: Patch<LimitValue>,
        pub min_efforts: Patch<MinEfforts>,
        pub clear_days: Patch<ClearDays>,
        pub after_gap_days: Patch<GapDays>,
        pub ramp_days: Patch<RampDays>,
        pub max_per_session: Patch<LimitValue>,
        pub max_per_7_days: Patch<LimitValue>,
        pub hard: Patch<bool>,
        pub valid_from: PatchNull<Day>,
        pub valid_to: PatchNull<Day>,
        pub from_height_cm: PatchNull<Centimetres>,
        pub note: PatchNull<Note>,
    }
}

/// A rule about a horse's efforts. Limits are editable conventions, not veterinary advice.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LimitOut {
    pub id: Id<WorkloadLimit>,
    pub horse_id: Id<Horse>,
    pub kind: LimitKind,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 5000)]
    pub value: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 500)]
    pub min_efforts: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 60)]
    pub clear_days: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 365)]
    pub after_gap_days: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 1, maximum = 90)]
    pub ramp_days: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 5000)]
    pub max_per_session: Option<i32>,
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(minimum = 0, maximum = 5000)]
    pub max_per_7_days: Option<i32>,
    pub source: Source,
    pub hard: bool,
    /// Whether nobody may override it: a hard one, an owner's or a vet's.
    pub binding: bool,
    /// The rule in words.
    #[schema(max_length = 200)]
    pub words: String,
    pub valid_from: Option<Day>,
    pub valid_to: Option<Day>,
    pub from_height_cm: Option<Centimetres>,
    pub note: Option<Note>,
    pub set_by: Id<Person>,
    pub created_at: Instant,
}

query! {
    /// Which of a horse's limits.
    pub struct LimitQuery {
        /// Those valid on this day only; without it those that are over too.
        pub on: Option<Day>,
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
