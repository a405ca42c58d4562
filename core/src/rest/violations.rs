//! Where what is logged and booked breaks a limit already. Logs are facts and never refused, so it can.
use super::book::{Book, Row, date};
use super::seen::JumpingDay;
use super::{Code, Other, Reason, Rule, Subject};
use crate::calendar::Day;
use crate::workload::Counted;
use std::collections::{BTreeMap, BTreeSet};

impl<K: Clone + Ord> Book<K> {
    /// Every limit and stand-down broken on the days from `since` to today and on the days that hold an
    /// unridden plan, in order. Without `since`: the last 28 days.
    #[must_use]
    pub fn existing_violations(&self, since: Option<Day>) -> Vec<Reason<K>> {
        let since = since.unwrap_or_else(|| self.today.plus(-27)).number();
        let today = self.today.number();
        let planned: BTreeSet<i32> =
            self.sessions.iter().filter(|s| s.session.holds_unridden_plan()).map(|s| s.planned_day).collect();
        let judged = |day: i32| (since <= day && day <= today) || planned.contains(&day);
        let mut reasons = Vec::new();
        for row in &self.rows {
            self.broken_row(row, &|day| judged(day) && row.valid_on(day), &mut reasons);
        }
        self.broken_stand_downs(&judged, &mut reasons);
        reasons.sort();
        reasons
    }

    /// The return days of each return ramp.
    #[must_use]
    pub fn return_days(&self) -> Vec<(K, Vec<Day>)> {
        let ramps = self.rows.iter().filter_map(|row| match row.limit.rule {
            Rule::ReturnRamp { after_gap_days, .. } => Some((row, after_gap_days)),
            _ => None,
        });
        ramps
            .map(|(row, gap)| (row.limit.id.clone(), row.seen.returns(gap, &self.long_ends).map(date).collect()))
            .collect()
    }

    fn broken_row(&self, row: &Row<K>, judged: &dyn Fn(i32) -> bool, reasons: &mut Vec<Reason<K>>) {
        let code = row.limit.rule.code();
        let days = || row.seen.days.iter().filter(|x| judged(x.day));
        match row.limit.rule {
            Rule::MaxEffortsPerSession { value } => {
                let sessions = row.seen.sessions.iter().filter(|s| !s.session.session.competition);
                let broken = sessions.filter(|s| s.efforts > value && judged(s.last_day));
                reasons.extend(broken.map(|s| row.own(code, s.last_day, &s.session, s.efforts, value)));
            }
            Rule::MaxSessionsPerDay { value } => {
                let broken = self.rides.iter().filter(|(x, n)| **n > value && judged(**x));
                reasons.extend(broken.map(|(x, n)| row.broken(code, *x, None, *n, value)));
            }
            Rule::MaxEffortsPerDay { value } => {
                row.above(code, days().map(|x| (x.day, x.efforts)), value, reasons);
            }
            Rule::MaxEffortsPer7Days { value } => {
                row.above(code, days().map(|x| (x.day, row.seen.window(x.day, 7))), value, reasons);
            }
            Rule::MaxEffortsPer28Days { value } => {
                row.above(code, days().map(|x| (x.day, row.seen.window(x.day, 28))), value, reasons);
            }
            Rule::MaxJumpingDaysPer7Days { value } => {
                row.above(code, days().map(|x| (x.day, row.seen.jumping_days(x.day, 7))), value, reasons);
            }
            Rule::MaxHeightCm { value } => {
                let value = u32::from(value.get());
                for session in &self.sessions {
                    let broken = heights(session).into_iter().filter(|(x, height)| *height > value && judged(*x));
                    reasons.extend(broken.map(|(x, height)| row.own(code, x, session, height, value)));
                }
            }
            Rule::ClearDaysAfterEfforts { min_efforts, clear_days } => {
                row.unrested(days(), clear_days, |t| t.efforts >= min_efforts.get(), reasons);
            }
            Rule::ClearDaysAfterCompetition { clear_days } => {
                row.unrested(days(), clear_days, |t| t.competition, reasons);
            }
            Rule::ReturnRamp { after_gap_days, ramp_days, max_per_session, max_per_7_days } => {
                let in_ramp = |x| row.seen.in_ramp(x, (after_gap_days, ramp_days), &self.long_ends, None);
                let long = row.seen.sessions.iter().filter(|s| s.efforts > max_per_session);
                let broken = long.filter(|s| judged(s.last_day) && in_ramp(s.last_day));
                reasons.extend(broken.map(|s| row.own(code, s.last_day, &s.session, s.efforts, max_per_session)));
                let sums = days().filter(|x| in_ramp(x.day)).map(|x| (x.day, row.seen.window(x.day, 7)));
                row.above(Code::ReturnRamp7Days, sums, max_per_7_days, reasons);
            }
        }
    }

    fn broken_stand_downs(&self, judged: &dyn Fn(i32) -> bool, reasons: &mut Vec<Reason<K>>) {
        for stand_down in self.stand_downs.iter() {
            let from = stand_down.from_date.number();
            let covers = |x: i32| from <= x && stand_down.free_from().is_none_or(|free| x < free.number());
            let mut forbidden = BTreeMap::<(i32, Option<&K>), u32>::new();
            for counted in &self.sessions {
                let own = match &stand_down.subject {
                    Subject::Horse => None,
                    Subject::Rider(rider) if counted.session.rider_id.as_ref() == Some(rider) => {
                        Some(&counted.session.id)
                    }
                    Subject::Rider(_) => continue,
                };
                for &x in counted.rides.iter().filter(|x| covers(**x) && judged(**x)) {
                    let efforts = counted.efforts_on(x);
                    if stand_down.forbids(efforts > 0, counted.poles.contains(&x)) {
                        forbidden.insert((x, own), own.map_or_else(|| self.all.efforts_on(x), |_| efforts));
                    }
                }
            }
            reasons.extend(forbidden.into_iter().map(|((x, own), efforts)| Reason {
                day: date(x),
                code: Code::StandDown,
                limit_id: stand_down.id.clone(),
                other: own.map(|id| Other::Session(id.clone())),
                figure: Some(efforts),
                limit: 0,
                binding: true,
            }));
        }
    }
}

/// The greatest known height by day, in cm, of a session's efforts.
fn heights<K>(session: &Counted<K>) -> BTreeMap<i32, u32> {
    let mut heights = BTreeMap::new();
    for part in &session.parts {
        if let Some(height) = part.height {
            let greatest = heights.entry(part.day).or_insert(0);
            *greatest = u32::from(height.get()).max(*greatest);
        }
    }
    heights
}

impl<K: Clone> Row<K> {
    fn broken(&self, code: Code, day: i32, other: Option<Other<K>>, figure: u32, value: u32) -> Reason<K> {
        Reason {
            day: date(day),
            code,
            limit_id: self.limit.id.clone(),
            other,
            figure: Some(figure),
            limit: value,
            binding: self.limit.binds(),
        }
    }

    fn own(&self, code: Code, day: i32, session: &Counted<K>, figure: u32, value: u32) -> Reason<K> {
        self.broken(code, day, Some(Other::Session(session.session.id.clone())), figure, value)
    }

    fn above(&self, code: Code, sums: impl Iterator<Item = (i32, u32)>, value: u32, reasons: &mut Vec<Reason<K>>) {
        let broken = sums.filter(|(_, sum)| *sum > value);
        reasons.extend(broken.map(|(x, sum)| self.broken(code, x, None, sum, value)));
    }

    fn unrested<'a>(
        &self,
        days: impl Iterator<Item = &'a JumpingDay>,
        clear: u32,
        triggers: impl Fn(&JumpingDay) -> bool,
        reasons: &mut Vec<Reason<K>>,
    ) {
        for x in days {
            let before = self.seen.between(x.day.saturating_sub_unsigned(clear), x.day.saturating_sub(1));
            let asking = before.iter().filter(|t| triggers(t) && !t.spares(x, self.knows_shows()));
            reasons.extend(asking.map(|t| {
                let (other, had) = (Some(Other::Day(date(t.day))), (x.day - t.day - 1).unsigned_abs());
                self.broken(self.limit.rule.code(), x.day, other, had, clear)
            }));
        }
    }
}
