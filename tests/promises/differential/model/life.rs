//! The states of sessions and entries, and how they pass from one to the next.
use super::Barn;
use super::policy::Eyes;
use super::sessions::Entry;
use crate::differential::should::Should;
use stridewright_tests::Value;

impl Barn {
    fn status_of(&mut self, session: &str, status: &'static str) {
        self.sessions.iter_mut().filter(|s| s.id == session).for_each(|s| s.status = status);
    }

    /// Tests again what the horses and riders of a session are booked for.
    pub fn test_parties(&mut self, session: &str) {
        let entries = self.entries_of(session);
        let horses: Vec<_> = entries.iter().map(|e| e.horse.clone()).collect();
        let riders: Vec<_> = entries.iter().map(|e| e.rider.clone()).collect();
        self.test_again(&horses, &riders);
    }

    /// Opens, closes or calls off.
    pub fn step(&mut self, id: &str, to: &'static str) -> Result<(), Should> {
        match (self.session(id).status, to) {
            ("booked", "open") => {
                self.test_parties(id);
                let session = self.session(id).clone();
                if self.minor_jumps(&session) && !self.adult_on_the_ground(&session) {
                    return Err(Should::rules("rule_refused", vec!["no_adult".to_owned()]));
                }
                let booked = self.entries.iter_mut().filter(|e| e.session == id && e.status == "booked");
                booked.for_each(|e| e.status = "open");
            }
            ("booked" | "open", "closed") => {
                for n in 0..self.entries.len() {
                    let entry = &self.entries[n];
                    let status = match entry.status {
                        _ if entry.session != id => continue,
                        // what was planned and not logged is asked about
                        "booked" | "open" if entry.efforts > self.logged(&entry.id) => "unresolved",
                        "booked" | "open" => "closed",
                        "requested" => "cancelled",
                        other => other,
                    };
                    self.entries[n].status = status;
                }
            }
            ("requested" | "booked", "cancelled") => {
                let there = self.entries.iter_mut().filter(|e| e.session == id && e.there());
                there.for_each(|e| e.status = "cancelled");
            }
            _ => return Err(Should::wrong_state()),
        }
        self.status_of(id, to);
        Ok(())
    }

    /// Declines an entry, or calls it off. A rider's session ends with its only entry.
    pub fn end(&mut self, eyes: &Eyes, before: &Entry, to: &'static str, reason: &Value) -> Result<(), Should> {
        let declines = to == "declined";
        if declines && !eyes.trainer {
            return Err(Should::no(403, "forbidden"));
        }
        if declines && before.status != "requested" {
            return Err(Should::wrong_state());
        }
        if declines && reason.is_null() {
            return Err(Should::at_odds("/reason"));
        }
        if !["requested", "booked"].contains(&before.status) {
            return Err(Should::wrong_state());
        }
        let entry = self.entry_mut(&before.id);
        (entry.status, entry.reason) = (to, reason.as_str().map(str::to_owned));
        let session = self.session(&before.session);
        let over = |e: &Entry| ["declined", "cancelled"].contains(&e.status);
        let none_left = self.entries_of(&session.id).iter().all(|e| over(e));
        let asked =
            session.status == "requested" || (session.status == "booked" && !eyes.trainer && eyes.is_own(&session.by));
        if none_left && asked {
            let id = session.id.clone();
            self.status_of(&id, to);
        }
        Ok(())
    }
}
