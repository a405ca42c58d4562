//! What is kept of each thing.
use jiff::civil::Date;
use stridewright_tests::{Value, json};

#[derive(Debug, Clone)]
pub struct Person {
    pub id: String,
    /// Which of the cast, or somebody beyond it.
    pub account: Option<usize>,
    pub name: String,
    pub trainer: bool,
    pub rider: bool,
    pub owner: bool,
    pub birth: Option<Date>,
    /// Said of somebody whose birth date is not known.
    pub said: bool,
    pub step: Option<f64>,
    pub removed: bool,
    pub at: String,
}

#[derive(Debug, Clone)]
pub struct Guardian {
    pub minor: String,
    pub adult: String,
    pub at: String,
}

#[derive(Debug, Clone)]
pub struct Invitation {
    pub id: String,
    pub secret: String,
    pub roles: [bool; 3],
    pub person: Option<String>,
    pub minor: Option<String>,
    pub expires: i64,
    /// When, and who came of it.
    pub accepted: Option<(String, String)>,
    pub revoked: Option<String>,
    pub shown: Value,
}

impl Invitation {
    pub fn show(&self) -> Value {
        let mut shown = self.shown.clone();
        shown["accepted_at"] = json!(self.accepted.as_ref().map(|(at, _)| at));
        shown["accepted_by"] = json!(self.accepted.as_ref().map(|(_, by)| by));
        shown["revoked_at"] = json!(self.revoked);
        shown
    }
}

/// What is shown as it was written: a fence set.
#[derive(Debug, Clone)]
pub struct Thing {
    pub id: String,
    pub shown: Value,
}

impl Thing {
    pub fn removed(&self) -> bool {
        !self.shown["removed_at"].is_null()
    }
}

pub type Arena = Thing;

#[derive(Debug, Clone)]
pub struct Exercise {
    pub id: String,
    pub shown: Value,
    pub revisions: Vec<Value>,
}

impl Exercise {
    pub fn removed(&self) -> bool {
        !self.shown["removed_at"].is_null()
    }

    pub fn show(&self) -> Value {
        let mut shown = self.shown.clone();
        shown["revision"] = self.revisions.last().cloned().unwrap_or_default();
        shown
    }
}

#[derive(Debug, Clone)]
pub struct Horse {
    pub id: String,
    pub shown: Value,
    /// What was measured, and on which day.
    pub strides: Vec<(Date, Value)>,
    pub removed: bool,
}

#[derive(Debug, Clone)]
pub struct Pairing {
    pub id: String,
    pub horse: String,
    pub rider: String,
    pub level: &'static str,
    pub up_to: i64,
    pub ended: bool,
    pub at: String,
}

impl Pairing {
    pub fn show(&self) -> Value {
        json!({"id": self.id, "horse_id": self.horse, "rider_id": self.rider, "level": self.level,
            "up_to_height_cm": self.up_to, "created_at": self.at})
    }
}

#[derive(Debug, Clone)]
pub struct Ownership {
    pub id: String,
    pub horse: String,
    pub person: String,
    pub kind: &'static str,
    pub ended: bool,
    pub at: String,
}

impl Ownership {
    pub fn show(&self) -> Value {
        json!({"id": self.id, "horse_id": self.horse, "person_id": self.person, "kind": self.kind,
            "created_at": self.at})
    }
}

/// A limit of a horse. Its numbers stand under their names on the wire.
#[derive(Debug, Clone)]
pub struct Limit {
    pub id: String,
    pub horse: String,
    /// `{"kind": …, "value": …}`.
    pub rule: Value,
    pub source: &'static str,
    pub hard: bool,
    pub from: Option<Date>,
    pub to: Option<Date>,
    pub from_height: Option<i64>,
}

impl Limit {
    pub fn valid_on(&self, day: Date) -> bool {
        self.from.is_none_or(|from| from <= day) && self.to.is_none_or(|to| day <= to)
    }

    pub fn binds(&self) -> bool {
        self.hard || self.source == "owner" || self.source == "vet"
    }

    pub fn show(&self) -> Value {
        let mut shown = self.rule.clone();
        let rest = json!({"id": self.id, "horse_id": self.horse, "source": self.source, "hard": self.hard,
            "binding": self.binds(), "valid_from": self.from.map(|d| d.to_string()),
            "valid_to": self.to.map(|d| d.to_string()), "from_height_cm": self.from_height});
        rest.as_object().unwrap().iter().for_each(|(name, value)| shown[name] = value.clone());
        shown
    }
}

/// A stand-down of a horse or of a rider.
#[derive(Debug, Clone)]
pub struct StandDown {
    pub id: String,
    pub horse: Option<String>,
    pub rider: Option<String>,
    pub source: &'static str,
    pub scope: &'static str,
    pub from: Date,
    pub free: Option<Date>,
    pub cleared: Option<Date>,
    pub reason: String,
}

impl StandDown {
    /// A vet's, and every rider's, ends only with a recorded clearance.
    pub fn needs_clearance(&self) -> bool {
        self.source == "vet" || self.rider.is_some()
    }

    /// The first day free of it.
    pub fn free_from(&self) -> Option<Date> {
        if !self.needs_clearance() {
            return self.free;
        }
        self.cleared.map(|cleared| self.free.map_or(cleared, |free| free.max(cleared)))
    }

    pub fn show(&self) -> Value {
        let day = |day: Option<Date>| day.map(|d| d.to_string());
        let mut shown = json!({"id": self.id, "source": self.source, "scope": self.scope,
            "from_date": self.from.to_string(), "free_from_date": day(self.free), "cleared_on": day(self.cleared),
            "needs_clearance": self.needs_clearance(), "free_from": day(self.free_from()), "reason": self.reason});
        if let Some(horse) = &self.horse {
            shown["horse_id"] = json!(horse);
        }
        if let Some(rider) = &self.rider {
            shown["rider_id"] = json!(rider);
        }
        shown
    }
}

/// Jumping elsewhere.
#[derive(Debug, Clone)]
pub struct Outing {
    pub id: String,
    pub horse: String,
    pub rider: Option<String>,
    pub kind: &'static str,
    pub show_id: Option<String>,
    pub at: Option<i64>,
    pub on: Option<Date>,
    pub status: &'static str,
    pub planned: i64,
    pub planned_height: Option<i64>,
    /// Efforts, and how high.
    pub done: Option<(i64, Option<i64>)>,
    pub superseded_by: Option<String>,
    /// Who recorded it, or said what counts.
    pub by: String,
}

impl Outing {
    pub fn competition(&self) -> bool {
        self.kind == "competition_round" || self.kind == "warm_up"
    }

    pub fn show(&self) -> Value {
        let done = self.done.map(|(efforts, height)| json!({"efforts": efforts, "height_cm": height}));
        json!({"id": self.id, "horse_id": self.horse, "kind": self.kind, "show_id": self.show_id,
            "at": self.at.map(super::text), "on_date": self.on.map(|d| d.to_string()), "status": self.status,
            "planned_efforts": self.planned, "planned_height_cm": self.planned_height, "done": done,
            "superseded_by": self.superseded_by})
    }
}

/// A helper's link to one session.
#[derive(Debug, Clone)]
pub struct Link {
    pub id: String,
    pub session: String,
    pub secret: String,
    pub label: String,
    pub expires: i64,
    pub revoked: Option<String>,
    pub by: String,
    pub at: String,
}

impl Link {
    pub fn show(&self) -> Value {
        json!({"id": self.id, "session_id": self.session, "label": self.label, "expires_at": super::text(self.expires),
            "revoked_at": self.revoked, "created_by": self.by, "created_at": self.at})
    }
}
