//! A horse's entries, outings, limits and stand-downs as the slow and obvious judge of core's tests takes them.
use super::Barn;
use super::sessions::Told;
use jiff::civil::Date;
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::rest::{self, Code, Limit, Scope, StandDown, StandDownSource, Subject};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{Attempt, Planned, Session, Status};
use stridewright_tests::{Value, json};

#[path = "../../../../core/tests/rest_slowly/judge.rs"]
mod judge;
#[path = "../../../../core/tests/rest_slowly/slow.rs"]
mod slow;

/// A session that is asked for.
#[derive(Debug, Clone, Default)]
pub struct Candidate {
    pub day: Date,
    pub efforts: i64,
    pub height: Option<i64>,
    pub poles: i64,
    pub rider: Option<String>,
    pub competition: bool,
    pub show: Option<String>,
    pub outing: bool,
}

/// A diary whose ids are numbered in their order.
#[derive(Clone)]
pub struct Numbered {
    pub diary: slow::Diary,
    ids: Vec<String>,
    /// The first and the last day that can matter.
    span: (Day, Day),
}

/// A reason against a session.
#[derive(Debug, Clone)]
pub struct Reason(rest::Reason<u32>);

impl std::ops::Deref for Reason {
    type Target = rest::Reason<u32>;
    fn deref(&self) -> &rest::Reason<u32> {
        &self.0
    }
}

impl Reason {
    pub fn told(&self) -> Told {
        (self.code.as_str().to_owned(), Some(i64::from(self.limit)), self.figure.map(i64::from))
    }
}

fn number(n: i64) -> u32 {
    u32::try_from(n).unwrap()
}

pub fn height(cm: i64) -> Centimetres {
    Centimetres::new(u16::try_from(cm).unwrap()).unwrap()
}

/// A word of the wire as core has it.
fn word<T: words::Read>(word: &str) -> T {
    T::read(&json!(word))
}

mod words {
    use stridewright_core::rest::{Rule, Scope, Source, StandDownSource};
    use stridewright_core::workload::Status;
    use stridewright_tests::Value;

    pub trait Read {
        fn read(value: &Value) -> Self;
    }

    macro_rules! read {
        ($($name:ident),*) => { $(
            impl Read for $name {
                fn read(value: &Value) -> Self {
                    serde_json::from_value(value.clone()).unwrap()
                }
            }
        )* };
    }
    read!(Rule, Scope, Source, StandDownSource, Status);
}

impl Numbered {
    fn of(&self, id: &str) -> u32 {
        u32::try_from(self.ids.binary_search_by(|known| known.as_str().cmp(id)).unwrap()).unwrap()
    }

    /// The same with one entry or outing taken out.
    pub fn without(&self, id: &str) -> Self {
        let mut less = self.clone();
        let number = self.of(id);
        less.diary.sessions.retain(|s| s.id != number);
        less
    }

    /// Everything against the candidate, a height that is not stated too.
    pub fn reasons(&self, candidate: &Candidate) -> Vec<Reason> {
        let asked = rest::Candidate {
            day: candidate.day.into(),
            efforts: number(candidate.efforts),
            height: candidate.height.map(height),
            competition: candidate.competition,
            show_id: candidate.show.clone(),
            rider_id: candidate.rider.as_ref().map(|rider| self.of(rider)),
            pole_passes: number(candidate.poles),
            outing: candidate.outing,
        };
        let day = Day::from(candidate.day);
        let (first, last) = (self.span.0.min(day), self.span.1.max(day.plus(100)));
        let without = self.diary.violations(first, last);
        let mut reasons = self.diary.reasons(&asked, &without, first, last);
        if candidate.efforts > 0 && candidate.height.is_none() {
            reasons.extend(self.heights_asked(day));
        }
        reasons.sort();
        reasons.into_iter().map(Reason).collect()
    }

    /// What is broken already: in the last 28 days, and on days of a plan that nobody has ridden yet.
    pub fn violated(&self, today: Date) -> Vec<Reason> {
        let today = Day::from(today);
        let zone = &self.diary.zone;
        let unridden = |s: &&Session<u32>| {
            let logged: u32 = s.attempts.iter().map(|a| a.efforts).sum();
            let counts = matches!(s.status, Status::Booked | Status::Open | Status::Unresolved);
            counts && (s.planned_efforts > logged || s.attempts.is_empty())
        };
        let planned: Vec<Day> = self.diary.sessions.iter().filter(unridden).map(|s| s.planned.day(zone)).collect();
        let mut found = self.diary.violations(self.span.0.min(today.plus(-28)), self.span.1);
        found.retain(|r| (today.plus(-27) <= r.day && r.day <= today) || planned.contains(&r.day));
        found.sort();
        found.into_iter().map(Reason).collect()
    }

    /// Rows that ask for the height where none is stated.
    fn heights_asked(&self, day: Day) -> Vec<rest::Reason<u32>> {
        let valid = self.diary.limits.iter().filter(|limit| limit.valid_on(day));
        let asking = valid.filter_map(|limit| {
            let own = match limit.rule {
                rest::Rule::MaxHeightCm { value } => Some(value),
                _ => limit.from_height,
            };
            own.map(|height| {
                let limit_cm = u32::from(height.get());
                let reason = slow::reason(Code::HeightUnknown, limit.id, day, None, 0, limit_cm, limit.binds());
                rest::Reason { figure: None, ..reason }
            })
        });
        asking.collect()
    }
}

impl Barn {
    pub fn diary(&self, horse: &str) -> Numbered {
        let limits: Vec<_> = self.limits.iter().filter(|l| l.horse == horse).collect();
        let of_horse = |d: &&super::rows::StandDown| d.horse.as_deref() == Some(horse) || d.rider.is_some();
        let downs: Vec<_> = self.downs.iter().filter(of_horse).collect();
        let entries: Vec<_> = self.entries.iter().filter(|e| e.horse.as_deref() == Some(horse)).collect();
        let entries: Vec<_> = entries.into_iter().filter(|e| self.session(&e.session).kind != "appointment").collect();
        let outings: Vec<_> = self.outings.iter().filter(|o| o.horse == horse && o.status != "superseded").collect();
        let mut ids: Vec<String> = self.people.iter().map(|p| p.id.clone()).collect();
        ids.extend(limits.iter().map(|l| l.id.clone()));
        ids.extend(downs.iter().map(|d| d.id.clone()));
        ids.extend(self.entries.iter().map(|e| e.id.clone()));
        ids.extend(self.outings.iter().map(|o| o.id.clone()));
        ids.sort();
        ids.dedup();
        let zone = Zone::new(self.shown["time_zone"].as_str().unwrap()).unwrap();
        let empty = slow::Diary { sessions: Vec::new(), limits: Vec::new(), stand_downs: Vec::new(), zone };
        let today = Day::from(self.today());
        let mut numbered = Numbered { diary: empty, ids, span: (today, today) };
        let n = |id: &str| numbered.of(id);
        let sessions: Vec<Session<u32>> =
            entries.iter().map(|e| self.of_entry(e, &n)).chain(outings.iter().map(|o| of_outing(o, &n))).collect();
        let limits = limits.iter().map(|l| of_limit(l, &n)).collect();
        let stand_downs = downs.iter().map(|d| of_stand_down(d, &n)).collect();
        for session in &sessions {
            let days = session.attempts.iter().filter_map(|a| a.at).map(|at| at.day(&numbered.diary.zone));
            for day in days.chain([session.planned.day(&numbered.diary.zone)]) {
                numbered.span = (numbered.span.0.min(day), numbered.span.1.max(day.plus(70)));
            }
        }
        (numbered.diary.sessions, numbered.diary.limits, numbered.diary.stand_downs) = (sessions, limits, stand_downs);
        numbered
    }

    fn of_entry(&self, entry: &super::sessions::Entry, n: &dyn Fn(&str) -> u32) -> Session<u32> {
        let counted = self.rides.iter().filter(|r| r.entry == entry.id && r.standing == "counted");
        let attempts = counted.map(|ride| Attempt {
            at: ride.at.map(instant),
            efforts: number(ride.efforts),
            height: ride.height.map(height),
            pole_passes: number(ride.poles),
            superseded: false,
        });
        Session {
            id: n(&entry.id),
            status: word(entry.status),
            planned: Planned::At(instant(self.session(&entry.session).starts)),
            planned_efforts: number(entry.efforts),
            planned_height: entry.height.map(height),
            planned_pole_passes: number(entry.poles),
            competition: false,
            show_id: None,
            rider_id: entry.rider.as_ref().map(|rider| n(rider)),
            outing: false,
            attempts: attempts.collect(),
        }
    }
}

fn instant(seconds: i64) -> Instant {
    Instant::from_micros(seconds * 1_000_000).unwrap()
}

fn of_outing(outing: &super::rows::Outing, n: &dyn Fn(&str) -> u32) -> Session<u32> {
    let done = outing.done.map(|(efforts, cm)| Attempt {
        at: outing.at.map(instant),
        efforts: number(efforts),
        height: cm.map(height),
        pole_passes: 0,
        superseded: false,
    });
    Session {
        id: n(&outing.id),
        status: word::<Status>(outing.status),
        planned: outing.at.map_or_else(|| Planned::On(outing.on.unwrap().into()), |at| Planned::At(instant(at))),
        planned_efforts: number(outing.planned),
        planned_height: outing.planned_height.map(height),
        planned_pole_passes: 0,
        competition: outing.competition(),
        show_id: outing.show_id.clone(),
        rider_id: outing.rider.as_ref().map(|rider| n(rider)),
        outing: true,
        attempts: done.into_iter().collect(),
    }
}

fn of_limit(limit: &super::rows::Limit, n: &dyn Fn(&str) -> u32) -> Limit<u32> {
    let rule: &Value = &limit.rule;
    Limit {
        id: n(&limit.id),
        rule: words::Read::read(rule),
        source: word(limit.source),
        hard: limit.hard,
        valid_from: limit.from.map(Day::from),
        valid_to: limit.to.map(Day::from),
        from_height: limit.from_height.map(height),
    }
}

fn of_stand_down(down: &super::rows::StandDown, n: &dyn Fn(&str) -> u32) -> StandDown<u32> {
    StandDown {
        id: n(&down.id),
        subject: down.rider.as_ref().map_or(Subject::Horse, |rider| Subject::Rider(n(rider))),
        source: word::<StandDownSource>(down.source),
        scope: word::<Scope>(down.scope),
        from_date: down.from.into(),
        free_from_date: down.free.map(Day::from),
        cleared_on: down.cleared.map(Day::from),
    }
}
