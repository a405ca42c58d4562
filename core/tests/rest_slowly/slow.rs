//! Limits and stand-downs judged the slow and obvious way: every day, every row, with the candidate and without.
use super::judge::Judge;
use stridewright_core::calendar::{Day, Zone};
use stridewright_core::rest::{Candidate, Code, Limit, Other, Reason, Scope, StandDown, StandDownSource, Subject};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{Planned, Session, Status};

pub const CANDIDATE: u32 = u32::MAX;

/// A horse's diary.
#[derive(Debug, Clone)]
pub struct Diary {
    pub sessions: Vec<Session<u32>>,
    pub limits: Vec<Limit<u32>>,
    pub stand_downs: Vec<StandDown<u32>>,
    pub zone: Zone,
}

/// Efforts of one session that count on one day, an attempt or a remainder.
pub struct Efforts<'a> {
    pub session: &'a Session<u32>,
    pub day: Day,
    pub height: Option<Centimetres>,
    pub number: u32,
}

impl Diary {
    fn efforts(&self, row: Option<&Limit<u32>>) -> Vec<Efforts<'_>> {
        let mut all = Vec::new();
        for session in &self.sessions {
            let planned = session.planned.day(&self.zone);
            let mut logged = 0;
            for attempt in session.attempts.iter().filter(|a| !a.superseded) {
                let day = attempt.at.map_or(planned, |at| at.day(&self.zone));
                all.push(Efforts { session, day, height: attempt.height, number: attempt.efforts });
                logged += attempt.efforts;
            }
            if counts_plan(session) && session.planned_efforts > logged {
                let number = session.planned_efforts - logged;
                all.push(Efforts { session, day: planned, height: session.planned_height, number });
            }
        }
        all.retain(|e| e.number > 0);
        let from = row.and_then(|r| r.from_height);
        all.retain(|e| from.is_none_or(|from| e.height.is_none_or(|h| h >= from)));
        all
    }

    fn holds_plan(&self, session: &Session<u32>) -> bool {
        let mut live = session.attempts.iter().filter(|a| !a.superseded);
        let logged: u32 = live.clone().map(|a| a.efforts).sum();
        counts_plan(session) && (session.planned_efforts > logged || live.next().is_none())
    }

    pub fn rides(&self, session: &Session<u32>, day: Day) -> bool {
        let planned = session.planned.day(&self.zone);
        let mut live = session.attempts.iter().filter(|a| !a.superseded).peekable();
        let flat_work_done = session.status == Status::Closed && live.peek().is_none();
        live.any(|a| a.at.map_or(planned, |at| at.day(&self.zone)) == day)
            || (planned == day && (self.holds_plan(session) || flat_work_done))
    }

    fn poles(&self, session: &Session<u32>, day: Day) -> bool {
        let planned = session.planned.day(&self.zone);
        let mut live = session.attempts.iter().filter(|a| !a.superseded && a.pole_passes > 0);
        live.any(|a| a.at.map_or(planned, |at| at.day(&self.zone)) == day)
            || (planned == day && self.holds_plan(session) && session.planned_pole_passes > 0)
    }

    /// Every violation on the days from `first` to `last`, with the session's id as `other` where it is one's own.
    pub fn violations(&self, first: Day, last: Day) -> Vec<Reason<u32>> {
        let mut found = Vec::new();
        for row in &self.limits {
            let efforts = self.efforts(Some(row));
            let judge = Judge { diary: self, row, efforts: &efforts };
            let mut day = first;
            while day <= last {
                if row.valid_from.is_none_or(|f| f <= day) && row.valid_to.is_none_or(|t| day <= t) {
                    judge.day(day, &mut found);
                }
                day = day.plus(1);
            }
        }
        for stand_down in &self.stand_downs {
            let mut day = first;
            while day <= last {
                self.stand_down(stand_down, day, &mut found);
                day = day.plus(1);
            }
        }
        found
    }

    fn stand_down(&self, stand_down: &StandDown<u32>, day: Day, found: &mut Vec<Reason<u32>>) {
        if day < stand_down.from_date || free_day(stand_down).is_some_and(|free| free <= day) {
            return;
        }
        let all = self.efforts(None);
        let on_day = |s: &Session<u32>| -> u32 {
            all.iter().filter(|e| e.session.id == s.id && e.day == day).map(|e| e.number).sum()
        };
        let forbidden: Vec<_> = self
            .sessions
            .iter()
            .filter(|s| match stand_down.subject {
                Subject::Horse => true,
                Subject::Rider(rider) => s.rider_id == Some(rider),
            })
            .filter(|s| match stand_down.scope {
                Scope::Jumping => on_day(s) > 0,
                Scope::JumpingAndPoles => on_day(s) > 0 || self.poles(s, day),
                Scope::Riding => self.rides(s, day),
            })
            .collect();
        let mut push = |other, figure| {
            found.push(reason(Code::StandDown, stand_down.id, day, other, figure, 0, true));
        };
        match stand_down.subject {
            Subject::Horse if !forbidden.is_empty() => push(None, self.sessions.iter().map(on_day).sum()),
            Subject::Horse => {}
            Subject::Rider(_) => forbidden.iter().for_each(|s| push(Some(Other::Session(s.id)), on_day(s))),
        }
    }

    /// The diary with the candidate entered.
    pub fn with(&self, candidate: &Candidate<u32>) -> Self {
        let mut diary = self.clone();
        diary.sessions.push(Session {
            id: CANDIDATE,
            status: Status::Booked,
            planned: Planned::On(candidate.day),
            planned_efforts: candidate.efforts,
            planned_height: candidate.height,
            planned_pole_passes: candidate.pole_passes,
            competition: candidate.competition,
            show_id: candidate.show_id.clone(),
            rider_id: candidate.rider_id,
            outing: candidate.outing,
            attempts: vec![],
        });
        diary
    }

    /// The reasons against a candidate, a missing height aside: violations with it, less those it has no part in.
    pub fn reasons(
        &self,
        candidate: &Candidate<u32>,
        without: &[Reason<u32>],
        first: Day,
        last: Day,
    ) -> Vec<Reason<u32>> {
        let day = candidate.day;
        let row = |id| self.limits.iter().find(|l| l.id == id);
        let counts = |id| row(id).is_none_or(|l| l.from_height.is_none_or(|f| candidate.height.is_none_or(|h| h >= f)));
        let mut found = Vec::new();
        for mut with in self.with(candidate).violations(first, last) {
            let own = with.other == Some(Other::Session(CANDIDATE));
            let of_another = matches!(with.other, Some(Other::Session(_))) && !own;
            let horse_stands_down = with.code == Code::StandDown && !own && !of_another;
            let before = without
                .iter()
                .find(|w| (w.code, w.limit_id, w.day, &w.other) == (with.code, with.limit_id, with.day, &with.other));
            let worse = match with.code {
                Code::ClearDaysAfterCompetition | Code::ClearDaysAfterEfforts => before.is_none(),
                _ => before.is_none_or(|b| b.figure < with.figure),
            };
            let reach = with.code != Code::ReturnRamp7Days || (1..7).contains(&with.day.since(day));
            let part = if own {
                true
            } else if of_another || !counts(with.limit_id) {
                false
            } else if horse_stands_down || with.day == day {
                with.day == day
            } else {
                worse && reach
            };
            let rides_only = match with.code {
                Code::MaxSessionsPerDay => true,
                Code::StandDown => self.stand_downs.iter().any(|s| {
                    s.id == with.limit_id
                        && match s.scope {
                            Scope::Jumping => false,
                            Scope::JumpingAndPoles => candidate.pole_passes > 0,
                            Scope::Riding => true,
                        }
                }),
                _ => false,
            };
            if part && (candidate.efforts > 0 || rides_only) {
                if own {
                    with.other = None;
                }
                found.push(with);
            }
        }
        found.sort();
        found
    }
}

fn counts_plan(session: &Session<u32>) -> bool {
    matches!(session.status, Status::Booked | Status::Open | Status::Unresolved)
}

pub fn free_day(s: &StandDown<u32>) -> Option<Day> {
    if s.source == StandDownSource::Vet || s.subject != Subject::Horse {
        match (s.cleared_on, s.free_from_date) {
            (None, _) => None,
            (Some(cleared), None) => Some(cleared),
            (Some(cleared), Some(free)) => Some(if cleared > free { cleared } else { free }),
        }
    } else {
        s.free_from_date
    }
}

pub fn reason(
    code: Code,
    id: u32,
    day: Day,
    other: Option<Other<u32>>,
    figure: u32,
    limit: u32,
    binding: bool,
) -> Reason<u32> {
    Reason { day, code, limit_id: id, other, figure: Some(figure), limit, binding }
}
