//! Whether a booking may stand: everything that objects, counted afresh.
use super::Barn;
use super::diary::Candidate;
use super::sessions::{Entry, Session, Told};
use crate::differential::should::Should;
use jiff::civil::Date;

/// What holds what: the kinds in the order in which they are said.
type Held = (u8, String);
const KINDS: [&str; 4] = ["arena_taken", "fence_set_taken", "horse_taken", "person_taken"];
const LEVELS: [&str; 3] = ["novice", "usual", "schooled"];

/// Who confirms.
#[derive(Debug, Clone)]
pub enum Leave {
    Trainer(Option<String>),
    Rider,
}

/// One thing that objects.
#[derive(Debug, Clone)]
pub struct Objection {
    pub told: Told,
    pub binding: bool,
}

fn plain(code: &str, binding: bool) -> Objection {
    Objection { told: (code.to_owned(), None, None), binding }
}

impl Barn {
    /// What a session holds as it stands; an unresolved entry of one that is closed still holds its own.
    fn held(&self, session: &Session) -> Vec<Held> {
        let mut held = if session.occupies() { of_itself(session) } else { Vec::new() };
        for entry in self.entries_of(&session.id).into_iter().filter(|e| e.occupies()) {
            held.extend(entry.horse.iter().map(|id| (2, id.clone())));
            held.extend(entry.rider.iter().map(|id| (3, id.clone())));
        }
        held.sort();
        held.dedup();
        held
    }

    /// What the session names by itself and is elsewhere at that time.
    pub fn taken(&self, session: &Session) -> Vec<Objection> {
        self.elsewhere(session, &of_itself(session))
    }

    fn elsewhere(&self, session: &Session, held: &[Held]) -> Vec<Objection> {
        let others: Vec<&Session> =
            self.sessions.iter().filter(|s| s.id != session.id && s.overlaps(session)).collect();
        let full = |(kind, id): &Held| {
            let holding: Vec<&&Session> =
                others.iter().filter(|other| self.held(other).contains(&(*kind, id.clone()))).collect();
            let at_once = if *kind == 0 { self.at_once(id) } else { 1 };
            // the most that are there at one moment: at the beginning of one of them, or of the session
            let moments = holding.iter().map(|s| s.starts.max(session.starts));
            moments.map(|t| holding.iter().filter(|s| s.starts <= t && t < s.ends).count()).max().unwrap_or(0)
                >= at_once
        };
        held.iter().filter(|held| full(held)).map(|(kind, _)| plain(KINDS[usize::from(*kind)], true)).collect()
    }

    pub fn at_once(&self, arena: &str) -> usize {
        let arena = self.arenas.iter().find(|a| a.id == arena);
        arena.and_then(|a| a.shown["sessions_at_once"].as_u64()).and_then(|n| usize::try_from(n).ok()).unwrap_or(1)
    }

    /// Whether an adult is named who does not ride in the session.
    pub fn adult_on_the_ground(&self, session: &Session) -> bool {
        let adult = session.adult.as_ref().or(session.trainer.as_ref());
        let entries = self.entries_of(&session.id);
        let mut riders = entries.iter().filter(|e| e.occupies()).filter_map(|e| e.rider.as_ref());
        adult.is_some_and(|adult| riders.all(|rider| rider != adult))
    }

    pub fn minor_jumps(&self, session: &Session) -> bool {
        let entries = self.entries_of(&session.id);
        let mut riders = entries.iter().filter(|e| e.occupies() && e.efforts > 0).filter_map(|e| e.rider.as_ref());
        riders.any(|rider| self.minor(rider))
    }

    /// How the entry is weighed.
    pub fn candidate(&self, session: &Session, entry: &Entry) -> Candidate {
        Candidate {
            day: self.day(session.starts),
            efforts: entry.efforts,
            height: entry.height,
            poles: entry.poles,
            rider: entry.rider.clone(),
            ..Candidate::default()
        }
    }

    /// Everything that objects to the entry, which stands in the session as it would be booked.
    pub fn objections(&self, session: &Session, entry: &Entry) -> Vec<Objection> {
        let horse = entry.horse.iter().map(|id| (2, id.clone()));
        let mut held: Vec<Held> = horse.chain(entry.rider.iter().map(|id| (3, id.clone()))).collect();
        held.retain(|held| !of_itself(session).contains(held));
        let mut list = self.elsewhere(session, &held);
        let appointment = session.kind == "appointment";
        let riding = self.entries_of(&session.id).iter().filter(|e| e.occupies()).count();
        // who joins needs a place; what the session's maker entered does not
        if session.places > 0 && entry.by != session.by && riding > session.places {
            list.push(plain("no_place", true));
        }
        if self.minor_jumps(session) && !self.adult_on_the_ground(session) {
            list.push(plain("no_adult", true));
        }
        let horse = entry.horse.as_ref().filter(|_| !appointment);
        if let Some(horse) = horse {
            let reasons = self.diary(horse).without(&entry.id).reasons(&self.candidate(session, entry));
            list.extend(reasons.into_iter().map(|r| Objection { binding: r.binding, told: r.told() }));
        }
        if let (Some(horse), Some(rider)) = (horse, &entry.rider) {
            list.extend(self.of_pair(horse, rider, session, entry));
        }
        if !self.is_open(session) {
            list.push(plain("arena_closed", false));
        }
        list
    }

    fn of_pair(&self, horse: &str, rider: &str, session: &Session, entry: &Entry) -> Vec<Objection> {
        let pair = self.pairings.iter().find(|p| !p.ended && p.horse == horse && p.rider == rider);
        let Some(pair) = pair else { return vec![plain("not_paired", false)] };
        let mut list = Vec::new();
        if entry.efforts > 0 && entry.height.is_some_and(|height| height > pair.up_to) {
            list.push(plain("above_pair_height", false));
        }
        let rank = |level: &str| LEVELS.iter().position(|l| *l == level);
        let exercise = self.exercises.iter().find(|e| Some(&e.id) == session.exercise.as_ref());
        let level = exercise.zip(session.revision).map(|(e, n)| e.revisions[n - 1]["level"].clone());
        if level.is_some_and(|level| rank(level.as_str().unwrap()) > rank(pair.level)) {
            list.push(plain("above_level", false));
        }
        list
    }

    /// Whether the arena is open all the time, minute by minute on the barn's clock.
    pub fn is_open(&self, session: &Session) -> bool {
        let arena = self.arenas.iter().find(|a| Some(&a.id) == session.arena.as_ref());
        let hours = arena.and_then(|a| a.shown["hours"].as_array().cloned()).unwrap_or_default();
        let minutes = (session.starts..session.ends).step_by(60);
        hours.is_empty()
            || minutes.map(|t| self.zone().to_datetime(jiff::Timestamp::from_second(t).unwrap())).all(|time| {
                let (weekday, clock) = (weekday(time.date()), time.strftime("%H:%M").to_string());
                let text = |value: &stridewright_tests::Value| value.as_str().unwrap().to_owned();
                hours
                    .iter()
                    .any(|h| h["weekday"] == weekday && text(&h["opens"]) <= clock && clock < text(&h["closes"]))
            })
    }

    /// Confirms the entry, or leaves it as it was and says what speaks against it.
    pub fn confirm(&mut self, id: &str, leave: &Leave, against: &mut Vec<Objection>) -> Result<(), Should> {
        let mut session = self.session(&self.entry(id).session).clone();
        if session.status == "requested" {
            session.status = "booked";
        }
        if !session.occupies() {
            return Err(Should::wrong_state());
        }
        *self.sessions.iter_mut().find(|s| s.id == session.id).unwrap() = session.clone();
        let before = self.entry(id).clone();
        self.entry_mut(id).status = session.status;
        let entry = self.entry(id).clone();
        let found = self.objections(&session, &entry);
        let soft = found.iter().all(|o| !o.binding);
        let told: Vec<Told> = found.iter().map(|o| o.told.clone()).collect();
        let passes = match leave {
            Leave::Trainer(reason) => soft && (reason.is_some() || passed_before(&entry, &told)),
            Leave::Rider => false,
        };
        let mut refused = if passes { Vec::new() } else { found };
        if matches!(leave, Leave::Rider) && !self.riders_confirm() {
            refused.push(plain("trainer_confirms", true));
        }
        if !refused.is_empty() {
            *self.entry_mut(id) = before;
            // of the whole session: said once
            let once = ["no_adult", "arena_closed"];
            for objection in refused {
                let code = &objection.told.0;
                if !once.contains(&code.as_str()) || against.iter().all(|said| said.told.0 != *code) {
                    against.push(objection);
                }
            }
            return Ok(());
        }
        let entry = self.entry_mut(id);
        entry.flags = Vec::new();
        match leave {
            _ if told.is_empty() => entry.override_reason = None,
            Leave::Trainer(Some(reason)) => entry.override_reason = Some(reason.clone()),
            _ => {}
        }
        entry.overridden = told;
        Ok(())
    }

    /// Confirms one entry in its session, or refuses.
    pub fn decide(&mut self, id: &str, leave: &Leave) -> Result<(), Should> {
        let session = self.session(&self.entry(id).session);
        let mut against = if session.occupies() { Vec::new() } else { self.taken(session) };
        self.confirm(id, leave, &mut against)?;
        refuse(&against)
    }

    /// What speaks against a request, were it confirmed now; of one that is over, what broke it.
    pub fn flags(&self, entry: &Entry) -> Vec<Told> {
        let session = self.session(&entry.session);
        if entry.status != "requested" || session.ends <= self.now {
            return entry.flags.clone();
        }
        let mut then = self.clone();
        let mut found = if session.occupies() { Vec::new() } else { then.taken(session) };
        let status = if session.status == "requested" { "booked" } else { session.status };
        let session = Session { status, ..session.clone() };
        let entry = Entry { status: "booked", ..entry.clone() };
        *then.entry_mut(&entry.id) = entry.clone();
        *then.sessions.iter_mut().find(|s| s.id == session.id).unwrap() = session.clone();
        found.extend(then.objections(&session, &entry));
        found.into_iter().map(|o| o.told).collect()
    }
}

/// What a session holds without its entries.
fn of_itself(session: &Session) -> Vec<Held> {
    let mut held: Vec<Held> = session.arena.iter().map(|id| (0, id.clone())).collect();
    held.extend(session.set.iter().map(|id| (1, id.clone())));
    held.extend([&session.trainer, &session.adult].into_iter().flatten().map(|id| (3, id.clone())));
    held.sort();
    held.dedup();
    held
}

/// The refusal, where anything speaks against it.
pub fn refuse(found: &[Objection]) -> Result<(), Should> {
    if found.is_empty() {
        return Ok(());
    }
    let taken = found.iter().any(|o| o.told.0.ends_with("_taken"));
    let reasons = found.iter().map(|o| o.told.0.clone()).collect();
    Err(Should::rules(if taken { "occupied" } else { "rule_refused" }, reasons))
}

/// Whether all of it was passed before, and is no worse now.
fn passed_before(entry: &Entry, told: &[Told]) -> bool {
    let no_worse = |(code, limit, figure): &Told, (then, limit_then, figure_then): &Told| {
        let fewer_are_worse = code.starts_with("clear_days");
        let no_worse = if fewer_are_worse { figure >= figure_then } else { figure <= figure_then };
        code == then && limit == limit_then && no_worse
    };
    entry.override_reason.is_some() && told.iter().all(|now| entry.overridden.iter().any(|then| no_worse(now, then)))
}

fn weekday(day: Date) -> String {
    day.strftime("%A").to_string().to_lowercase()
}
