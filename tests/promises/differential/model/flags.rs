//! What later facts break is flagged at once, the latest first, until nothing confirmed is broken.
use super::Barn;
use super::diary::{Candidate, Numbered, Reason};
use super::sessions::Told;
use std::collections::BTreeSet;
use stridewright_core::rest::Code;

/// A booking that may be flagged.
struct Booked {
    id: String,
    outing: bool,
    candidate: Candidate,
}

impl Barn {
    /// Tests again what is booked of these horses, and of those that these riders are booked on.
    pub fn test_again(&mut self, horses: &[Option<String>], riders: &[Option<String>]) {
        let mut concerned: BTreeSet<String> = horses.iter().flatten().cloned().collect();
        let ridden = |e: &&super::sessions::Entry| {
            let theirs = e.rider.is_some() && riders.contains(&e.rider);
            theirs && e.status == "booked" && self.day(self.session(&e.session).starts) >= self.today()
        };
        concerned.extend(self.entries.iter().filter(ridden).filter_map(|e| e.horse.clone()));
        concerned.iter().for_each(|horse| self.test_horse(horse));
    }

    fn test_horse(&mut self, horse: &str) {
        let mut standing = self.diary(horse);
        let mut booked = self.booked(horse);
        loop {
            let flagged = flagged_once(&standing, &booked);
            if flagged.is_empty() {
                return;
            }
            for (id, told) in flagged {
                standing = standing.without(&id);
                booked.retain(|b| b.id != id);
                if let Some(entry) = self.entries.iter_mut().find(|e| e.id == id) {
                    (entry.status, entry.flags) = ("requested", told);
                    (entry.override_reason, entry.overridden) = (None, Vec::new());
                }
            }
        }
    }

    /// Every booking of the horse from today on under which nothing is logged, the latest first.
    fn booked(&self, horse: &str) -> Vec<Booked> {
        let today = self.today();
        let mut found = Vec::new();
        for entry in self.entries.iter().filter(|e| e.horse.as_deref() == Some(horse) && e.status == "booked") {
            let session = self.session(&entry.session);
            let candidate = self.candidate(session, entry);
            let ridden = self.rides.iter().any(|r| r.entry == entry.id && r.standing == "counted");
            if session.kind != "appointment" && candidate.day >= today && !ridden {
                let key = (candidate.day, Some(session.starts), entry.id.clone());
                found.push((key, Booked { id: entry.id.clone(), outing: false, candidate }));
            }
        }
        for outing in self.outings.iter().filter(|o| o.horse == horse && o.status == "booked") {
            let candidate = self.outing_candidate(outing);
            if candidate.day >= today {
                let key = (candidate.day, outing.at, outing.id.clone());
                found.push((key, Booked { id: outing.id.clone(), outing: true, candidate }));
            }
        }
        found.sort_by(|a, b| b.0.cmp(&a.0));
        found.into_iter().map(|(_, booked)| booked).collect()
    }

    /// An outing as it is weighed.
    pub fn outing_candidate(&self, outing: &super::rows::Outing) -> Candidate {
        Candidate {
            day: outing.at.map_or_else(|| outing.on.unwrap(), |at| self.day(at)),
            efforts: outing.planned,
            height: outing.planned_height,
            poles: 0,
            rider: outing.rider.clone(),
            competition: outing.competition(),
            show: outing.show_id.clone(),
            outing: true,
        }
    }
}

/// One pass: a flagged one counts no more for those after it.
fn flagged_once(standing: &Numbered, booked: &[Booked]) -> Vec<(String, Vec<Told>)> {
    let (mut standing, mut flagged) = (standing.clone(), Vec::new());
    for one in booked {
        let others = standing.without(&one.id);
        let reasons = others.reasons(&one.candidate);
        let stood_down = reasons.iter().any(|r| r.code == Code::StandDown);
        let refused = if one.outing { stood_down } else { reasons.iter().any(|r| r.binding) };
        if refused {
            flagged.push((one.id.clone(), reasons.iter().map(Reason::told).collect()));
            standing = others;
        }
    }
    flagged
}
