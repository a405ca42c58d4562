//! What a barn holds, in plain vectors, and what the rules say of it: every question counts everything again.
//!
//! Written from the rules in words. Limits, stand-downs and flags are judged by the slow and obvious program that
//! core's own tests have (`core/tests/rest_slowly`); who may is read from the printed policy.
//! Compared between the databases only, byte for byte: words and cautions, versions, load figures, the effective
//! limits of a day, the figures of adjustability, next asks, lines and group distances, and the document itself.
pub mod booking;
pub mod diary;
pub mod flags;
pub mod life;
pub mod people;
pub mod policy;
pub mod presets;
pub mod rides;
pub mod rows;
pub mod sessions;
pub mod work;

use jiff::civil::Date;
use jiff::tz::TimeZone;
use rows::{
    Arena, Exercise, Guardian, Horse, Invitation, Limit, Link, Outing, Ownership, Pairing, Person, StandDown, Thing,
};
use sessions::{Entry, Session};
use stridewright_tests::{Value, json};

#[derive(Clone, Default)]
pub struct Barn {
    pub id: String,
    /// Its settings as they are shown.
    pub shown: Value,
    pub now: i64,
    pub people: Vec<Person>,
    pub guardians: Vec<Guardian>,
    pub invitations: Vec<Invitation>,
    pub arenas: Vec<Arena>,
    pub sets: Vec<Thing>,
    pub exercises: Vec<Exercise>,
    pub horses: Vec<Horse>,
    pub pairings: Vec<Pairing>,
    pub ownerships: Vec<Ownership>,
    pub limits: Vec<Limit>,
    pub downs: Vec<StandDown>,
    pub outings: Vec<Outing>,
    pub sessions: Vec<Session>,
    pub entries: Vec<Entry>,
    pub rides: Vec<rides::Ride>,
    pub links: Vec<Link>,
    /// Rows of the audit log: one a write, and one for each 403 and 409 of a member.
    pub audited: usize,
}

/// An instant as it is shown.
pub fn text(seconds: i64) -> String {
    jiff::Timestamp::from_second(seconds).unwrap().to_string()
}

impl Barn {
    pub fn zone(&self) -> TimeZone {
        TimeZone::get(self.shown["time_zone"].as_str().unwrap_or("Europe/Lisbon")).unwrap()
    }

    /// The date in the barn.
    pub fn day(&self, seconds: i64) -> Date {
        self.zone().to_datetime(jiff::Timestamp::from_second(seconds).unwrap()).date()
    }

    pub fn today(&self) -> Date {
        self.day(self.now)
    }

    pub fn instant(&self) -> String {
        text(self.now)
    }

    pub fn riders_confirm(&self) -> bool {
        self.shown["riders_confirm"] == true
    }

    pub fn person(&self, id: &str) -> Option<&Person> {
        self.people.iter().find(|p| p.id == id && !p.removed)
    }

    pub fn horse(&self, id: &str) -> Option<&Horse> {
        self.horses.iter().find(|h| h.id == id && !h.removed)
    }

    pub fn session(&self, id: &str) -> &Session {
        self.sessions.iter().find(|s| s.id == id).unwrap()
    }

    pub fn entry(&self, id: &str) -> &Entry {
        self.entries.iter().find(|e| e.id == id).unwrap()
    }

    pub fn entry_mut(&mut self, id: &str) -> &mut Entry {
        self.entries.iter_mut().find(|e| e.id == id).unwrap()
    }

    pub fn entries_of(&self, session: &str) -> Vec<&Entry> {
        let mut entries: Vec<&Entry> = self.entries.iter().filter(|e| e.session == session).collect();
        entries.sort_by(|a, b| a.id.cmp(&b.id));
        entries
    }

    pub fn minor(&self, id: &str) -> bool {
        self.person(id).is_some_and(|p| p.is_minor(self.today()))
    }

    /// Whether the horse or the person that an address goes through is there.
    pub fn is_there(&self, path: &str) -> bool {
        let parts: Vec<&str> = path.split('/').collect();
        parts.windows(3).all(|part| match (part[0], part[2]) {
            ("horses", _) => self.horse(part[1]).is_some(),
            ("people", _) => self.person(part[1]).is_some(),
            _ => true,
        })
    }
}

/// Shown in the order of their ids.
pub fn sorted(mut shown: Vec<Value>) -> Vec<Value> {
    shown.sort_by_key(|thing| thing["id"].to_string());
    shown
}

/// Roles as they are shown.
pub fn roles(trainer: bool, rider: bool, owner: bool) -> Value {
    let all = [(trainer, "trainer"), (rider, "rider"), (owner, "owner")];
    json!(all.iter().filter(|(held, _)| *held).map(|(_, role)| role).collect::<Vec<_>>())
}
