//! One row judged on one day, by adding up the efforts afresh.
use super::slow::{Diary, Efforts, free_day, reason};
use std::collections::BTreeSet;
use stridewright_core::calendar::Day;
use stridewright_core::rest::{Code, Limit, Other, Reason, Rule, Source, Subject};
use stridewright_core::workload::Session;

/// One row on one day.
pub struct Judge<'a> {
    pub diary: &'a Diary,
    pub row: &'a Limit<u32>,
    pub efforts: &'a [Efforts<'a>],
}

impl Judge<'_> {
    fn sum(&self, first: Day, last: Day) -> u32 {
        self.efforts.iter().filter(|e| first <= e.day && e.day <= last).map(|e| e.number).sum()
    }

    fn jumping_days(&self) -> BTreeSet<Day> {
        self.efforts.iter().map(|e| e.day).collect()
    }

    fn on(&self, day: Day) -> Vec<&Session<u32>> {
        self.efforts.iter().filter(|e| e.day == day).map(|e| e.session).collect()
    }

    pub fn day(&self, x: Day, found: &mut Vec<Reason<u32>>) {
        let row = self.row;
        let binds = row.hard || row.source == Source::Owner || row.source == Source::Vet;
        let mut push = |code, other, figure, limit| found.push(reason(code, row.id, x, other, figure, limit, binds));
        if let Rule::MaxSessionsPerDay { value } = row.rule {
            let rides = self.diary.sessions.iter().filter(|s| self.diary.rides(s, x)).count() as u32;
            if rides > value {
                push(Code::MaxSessionsPerDay, None, rides, value);
            }
        }
        if self.sum(x, x) == 0 {
            return;
        }
        let sums = |code, length: i32, value, push: &mut dyn FnMut(Code, Option<Other<u32>>, u32, u32)| {
            let sum = self.sum(x.plus(1 - length), x);
            if sum > value {
                push(code, None, sum, value);
            }
        };
        match row.rule {
            Rule::MaxSessionsPerDay { .. } => {}
            Rule::MaxEffortsPerDay { value } => sums(Code::MaxEffortsPerDay, 1, value, &mut push),
            Rule::MaxEffortsPer7Days { value } => sums(Code::MaxEffortsPer7Days, 7, value, &mut push),
            Rule::MaxEffortsPer28Days { value } => sums(Code::MaxEffortsPer28Days, 28, value, &mut push),
            Rule::MaxJumpingDaysPer7Days { value } => {
                let n = (0..7).filter(|back| self.sum(x.plus(-back), x.plus(-back)) > 0).count() as u32;
                if n > value {
                    push(Code::MaxJumpingDaysPer7Days, None, n, value);
                }
            }
            Rule::MaxEffortsPerSession { value } => {
                self.long_sessions(x, value, false, |id, n| push(Code::MaxEffortsPerSession, Some(id), n, value));
            }
            Rule::MaxHeightCm { value } => {
                for session in &self.diary.sessions {
                    let of = self.efforts.iter().filter(|e| e.session.id == session.id && e.day == x);
                    if let Some(height) = of.filter_map(|e| e.height).max().filter(|h| *h > value) {
                        let (height, value) = (u32::from(height.get()), u32::from(value.get()));
                        push(Code::MaxHeightCm, Some(Other::Session(session.id)), height, value);
                    }
                }
            }
            Rule::ClearDaysAfterEfforts { min_efforts, clear_days } => {
                self.too_soon(
                    x,
                    clear_days,
                    |t| self.sum(t, t) >= min_efforts.get(),
                    |t, had| {
                        push(Code::ClearDaysAfterEfforts, Some(Other::Day(t)), had, clear_days);
                    },
                );
            }
            Rule::ClearDaysAfterCompetition { clear_days } => {
                let competed = |t| self.on(t).iter().any(|s| s.competition);
                self.too_soon(x, clear_days, competed, |t, had| {
                    push(Code::ClearDaysAfterCompetition, Some(Other::Day(t)), had, clear_days);
                });
            }
            Rule::ReturnRamp { after_gap_days, ramp_days, max_per_session, max_per_7_days } => {
                let in_ramp = |r: &Day| *r <= x && x.since(*r) < ramp_days as i32;
                if self.returns(after_gap_days as i32).iter().any(in_ramp) {
                    self.long_sessions(x, max_per_session, true, |id, n| {
                        push(Code::ReturnRampSession, Some(id), n, max_per_session);
                    });
                    sums(Code::ReturnRamp7Days, 7, max_per_7_days, &mut push);
                }
            }
        }
    }

    /// Sessions with more efforts than that whose last day it is.
    fn long_sessions(&self, x: Day, value: u32, competitions: bool, mut found: impl FnMut(Other<u32>, u32)) {
        for session in &self.diary.sessions {
            let own = || self.efforts.iter().filter(|e| e.session.id == session.id);
            let n: u32 = own().map(|e| e.number).sum();
            if n > value && own().map(|e| e.day).max() == Some(x) && (competitions || !session.competition) {
                found(Other::Session(session.id), n);
            }
        }
    }

    fn too_soon(&self, x: Day, clear: u32, triggers: impl Fn(Day) -> bool, mut found: impl FnMut(Day, u32)) {
        for back in 1..=clear as i32 {
            let t = x.plus(-back);
            if self.sum(t, t) > 0 && triggers(t) && !self.exempt(t, x) {
                found(t, (back - 1) as u32);
            }
        }
    }

    fn exempt(&self, t: Day, x: Day) -> bool {
        let both: Vec<_> = self.on(t).into_iter().chain(self.on(x)).collect();
        let one_session = both.iter().all(|s| s.id == both[0].id);
        let show = both[0].show_id.clone();
        let one_show = show.is_some() && both.iter().all(|s| s.competition && s.show_id == show);
        let lenient = self.row.source == Source::BarnDefault || self.row.source == Source::Trainer;
        one_session || (lenient && one_show && x.since(t) <= 5)
    }

    fn returns(&self, gap: i32) -> Vec<Day> {
        let days = self.jumping_days();
        let mut returns: Vec<Day> = days
            .iter()
            .filter(|r| days.range(..**r).next_back().is_some_and(|before| r.since(*before) > gap))
            .copied()
            .collect();
        // stand-downs of the horse, day by day: a run of 14 stood-down days or more, then the first jumping day
        let horses: Vec<_> = self.diary.stand_downs.iter().filter(|s| s.subject == Subject::Horse).collect();
        let covered = |day: Day| horses.iter().any(|s| s.from_date <= day && free_day(s).is_none_or(|f| day < f));
        for end in horses.iter().filter_map(|s| free_day(s)).filter(|f| !covered(*f)) {
            let run = (1..).take_while(|back| covered(end.plus(-back))).take(14).count();
            if run == 14 {
                returns.extend(days.range(end..).next());
            }
        }
        returns
    }
}
