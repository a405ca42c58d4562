//! Sessions and entries, and who sees what of them.
use super::policy::{Access, Act, Eyes};
use super::{Barn, sorted, text};
use stridewright_tests::{Value, json};

#[derive(Debug, Clone, PartialEq)]
pub struct Session {
    pub id: String,
    pub kind: &'static str,
    pub title: String,
    pub arena: Option<String>,
    pub trainer: Option<String>,
    pub set: Option<String>,
    pub exercise: Option<String>,
    pub revision: Option<usize>,
    pub adult: Option<String>,
    pub starts: i64,
    pub ends: i64,
    pub places: usize,
    pub status: &'static str,
    pub note: Option<String>,
    pub by: String,
    pub at: String,
}

/// What a trainer passed, or what broke a booking: the code, the limit and the figure.
pub type Told = (String, Option<i64>, Option<i64>);

#[derive(Debug, Clone, PartialEq)]
pub struct Entry {
    pub id: String,
    pub session: String,
    pub horse: Option<String>,
    pub rider: Option<String>,
    pub status: &'static str,
    pub efforts: i64,
    pub height: Option<i64>,
    pub poles: i64,
    pub asks: Value,
    pub reason: Option<String>,
    pub override_reason: Option<String>,
    pub overridden: Vec<Told>,
    pub flags: Vec<Told>,
    pub by: String,
    pub at: String,
}

impl Session {
    pub fn occupies(&self) -> bool {
        self.status == "booked" || self.status == "open"
    }

    pub fn overlaps(&self, other: &Self) -> bool {
        self.starts < other.ends && other.starts < self.ends
    }
}

impl Entry {
    /// Whether it holds its horse and rider, and its plan counts.
    pub fn occupies(&self) -> bool {
        ["booked", "open", "unresolved"].contains(&self.status)
    }

    /// Whether it is asked for, or held.
    pub fn there(&self) -> bool {
        self.occupies() || self.status == "requested"
    }
}

impl Barn {
    pub fn to_session(&self, eyes: &Eyes, session: &Session) -> Vec<&'static str> {
        if let Some(rail) = &eyes.rail {
            return if *rail == session.id { vec!["own"] } else { vec![] };
        }
        let entries = self.entries_of(&session.id);
        let leads = [&session.trainer, &session.adult].into_iter().flatten().any(|p| eyes.is_own(p));
        let rides = entries.iter().filter_map(|e| e.rider.as_ref()).any(|p| eyes.is_own(p));
        let owned = entries.iter().filter_map(|e| e.horse.as_ref()).any(|h| eyes.owns(h));
        let open = session.places > 0 && session.status == "booked";
        let held = [("own", leads || rides), ("owned", owned), ("open", open)];
        held.iter().filter(|(_, held)| *held).map(|(name, _)| *name).collect()
    }

    pub fn to_entry(&self, eyes: &Eyes, entry: &Entry) -> Vec<&'static str> {
        if let Some(rail) = &eyes.rail {
            return if *rail == entry.session { vec!["own"] } else { vec![] };
        }
        let own = entry.rider.as_ref().is_some_and(|p| eyes.is_own(p));
        let owned = entry.horse.as_ref().is_some_and(|h| eyes.owns(h));
        [("own", own), ("owned", owned)].iter().filter(|(_, held)| *held).map(|(name, _)| *name).collect()
    }

    pub fn sees_entry(&self, eyes: &Eyes, entry: &Entry) -> bool {
        eyes.may("Entry", Act::Read, &self.to_entry(eyes, entry)) == Access::Fine
    }

    /// Places that nobody has taken.
    pub fn places_free(&self, session: &Session) -> usize {
        let taken = self.entries_of(&session.id).iter().filter(|e| e.occupies()).count();
        session.places.saturating_sub(taken)
    }

    pub fn show_entry(&self, entry: &Entry) -> Value {
        let logged = self.logged(&entry.id);
        let unanswered = (entry.status == "unresolved").then(|| (entry.efforts - logged).max(0));
        let codes = |told: &[Told]| -> Vec<Value> { told.iter().map(|(code, ..)| json!({"code": code})).collect() };
        json!({"id": entry.id, "session_id": entry.session, "horse_id": entry.horse, "rider_id": entry.rider,
            "status": entry.status, "planned_efforts": entry.efforts, "planned_height_cm": entry.height,
            "planned_pole_passes": entry.poles, "asks": entry.asks, "reason": entry.reason,
            "override_reason": entry.override_reason, "overridden": codes(&entry.overridden),
            "flags": codes(&self.flags(entry)), "unanswered_efforts": unanswered, "created_at": entry.at})
    }

    /// The session with those of its entries that they may see.
    pub fn show_session(&self, eyes: &Eyes, session: &Session) -> Value {
        let entries = self.entries_of(&session.id);
        let seen = entries.iter().filter(|e| self.sees_entry(eyes, e)).map(|e| self.show_entry(e)).collect();
        let free = if session.status == "booked" { self.places_free(session) } else { 0 };
        json!({"id": session.id, "kind": session.kind, "status": session.status, "title": session.title,
            "arena_id": session.arena, "trainer_id": session.trainer, "fence_set_id": session.set,
            "exercise_id": session.exercise, "revision": session.revision, "adult_id": session.adult,
            "starts_at": text(session.starts), "ends_at": text(session.ends), "places": session.places,
            "places_free": free, "note": session.note, "created_at": session.at, "entries": sorted(seen),
            "time_zone": self.shown["time_zone"]})
    }

    /// The sessions that they may see, in the order of their beginning. Who only could join sees those to come.
    pub fn sessions_seen(&self, eyes: &Eyes) -> Vec<&Session> {
        let mut seen: Vec<&Session> = self
            .sessions
            .iter()
            .filter(|session| {
                let to = self.to_session(eyes, session);
                let part: Vec<&str> = to.iter().copied().filter(|name| *name != "open").collect();
                let joins = session.starts > self.now && eyes.may("Session", Act::Read, &to) == Access::Fine;
                joins || eyes.may("Session", Act::Read, &part) == Access::Fine
            })
            .collect();
        seen.sort_by(|a, b| (a.starts, &a.id).cmp(&(b.starts, &b.id)));
        seen
    }
}
