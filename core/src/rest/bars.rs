//! What each row and stand-down has to say to a candidate. Reasons and ceilings are both read off it.
use super::book::{Book, Row, date};
use super::seen::{JumpingDay, SHOW_DAYS};
use super::{Candidate, Code, Other, Reason, Rule, StandDown, Subject};

/// What one row or stand-down has to say on one day: more efforts than `at_most` break it.
pub(super) struct Bar<'a, K> {
    pub limit_id: &'a K,
    pub code: Code,
    pub at_most: u32,
    binding: bool,
    day: i32,
    trigger: Option<i32>,
    figure: u32,
    limit: u32,
}

impl<K: Clone> Bar<'_, K> {
    pub fn reason(&self) -> Reason<K> {
        Reason {
            day: date(self.day),
            code: self.code,
            limit_id: self.limit_id.clone(),
            other: self.trigger.map(|t| Other::Day(date(t))),
            figure: Some(self.figure),
            limit: self.limit,
            binding: self.binding,
        }
    }
}

impl<K: Clone + Ord> Book<K> {
    /// The stand-downs of the horse and the rider that cover the day.
    pub(super) fn standing_down(&self, candidate: &Candidate<K>) -> impl Iterator<Item = &StandDown<K>> {
        self.stand_downs.iter().filter(|s| s.covers(candidate.day)).filter(|s| match &s.subject {
            Subject::Horse => true,
            Subject::Rider(rider) => candidate.rider_id.as_ref() == Some(rider),
        })
    }

    pub(super) fn stand_down_bar<'a>(
        &self,
        stand_down: &'a StandDown<K>,
        candidate: &Candidate<K>,
        day: i32,
    ) -> Bar<'a, K> {
        let others = if stand_down.subject == Subject::Horse { self.all.efforts_on(day) } else { 0 };
        Bar {
            limit_id: &stand_down.id,
            code: Code::StandDown,
            at_most: 0,
            binding: true,
            day,
            trigger: None,
            figure: others.saturating_add(candidate.efforts),
            limit: 0,
        }
    }

    pub(super) fn sessions_bar<'a>(&self, row: &'a Row<K>, day: i32) -> Option<Bar<'a, K>> {
        let Rule::MaxSessionsPerDay { value } = row.limit.rule else { return None };
        let rides = self.rides.get(&day).copied().unwrap_or(0).saturating_add(1);
        (row.valid_on(day) && rides > value).then(|| row.bar(row.limit.rule.code(), day, 0, rides, value))
    }

    /// Everything that bounds the candidate's efforts; `figure` is what its own efforts make of it.
    pub(super) fn bars(&self, candidate: &Candidate<K>) -> Vec<Bar<'_, K>> {
        let day = candidate.day.number();
        let mut bars: Vec<_> = self.standing_down(candidate).map(|s| self.stand_down_bar(s, candidate, day)).collect();
        bars.extend(self.rows.iter().filter_map(|row| self.sessions_bar(row, day)));
        for row in self.rows.iter().filter(|row| row.limit.sees(candidate.height)) {
            let here = row.seen.on(day);
            Trial { row, candidate, day, here, long_ends: &self.long_ends }.bars(&mut bars);
        }
        bars
    }
}

impl<K> Row<K> {
    pub const fn bar(&self, code: Code, day: i32, at_most: u32, figure: u32, limit: u32) -> Bar<'_, K> {
        Bar { limit_id: &self.limit.id, code, at_most, binding: self.limit.binds(), day, trigger: None, figure, limit }
    }
}

/// A candidate with at least one effort before a row that counts it.
struct Trial<'a, 'c, K> {
    row: &'a Row<K>,
    candidate: &'c Candidate<K>,
    day: i32,
    /// The day as it is without the candidate; none where there is no effort on it yet.
    here: Option<&'a JumpingDay>,
    long_ends: &'a [i32],
}

impl<'a, K> Trial<'a, '_, K> {
    fn bars(&self, bars: &mut Vec<Bar<'a, K>>) {
        let Self { row, candidate, day, here, .. } = *self;
        let (code, efforts) = (row.limit.rule.code(), candidate.efforts);
        let valid_here = row.valid_on(day);
        match row.limit.rule {
            Rule::MaxSessionsPerDay { .. } => {}
            Rule::MaxEffortsPerSession { value } => {
                if valid_here && !candidate.competition {
                    bars.push(row.bar(code, day, value, efforts, value));
                }
            }
            Rule::MaxEffortsPerDay { value } => {
                if valid_here {
                    bars.push(self.sum(code, day, here.map_or(0, |h| h.efforts), value));
                }
            }
            Rule::MaxHeightCm { value } => {
                if let Some(height) = candidate.height.filter(|h| valid_here && *h > value) {
                    bars.push(row.bar(code, day, 0, height.get().into(), value.get().into()));
                }
            }
            Rule::MaxEffortsPer7Days { value } => {
                bars.extend(self.onwards(7).map(|x| self.sum(code, x, row.seen.window(x, 7), value)));
            }
            Rule::MaxEffortsPer28Days { value } => {
                bars.extend(self.onwards(28).map(|x| self.sum(code, x, row.seen.window(x, 28), value)));
            }
            Rule::MaxJumpingDaysPer7Days { value } => {
                // a day that is one already is judged on itself only, later ones are no worse for it
                let (new, reach) = if here.is_none() { (1, 7) } else { (0, 1) };
                let counts = self.onwards(reach).map(|x| (x, row.seen.jumping_days(x, 7).saturating_add(new)));
                bars.extend(counts.filter(|(_, n)| *n > value).map(|(x, n)| row.bar(code, x, 0, n, value)));
            }
            Rule::ClearDaysAfterEfforts { min_efforts, clear_days } => {
                let k = min_efforts.get();
                let own = (k - 1).saturating_sub(here.map_or(0, |h| h.efforts));
                self.clear_days(bars, clear_days, Some(own), |t| t.efforts >= k);
            }
            Rule::ClearDaysAfterCompetition { clear_days } => {
                let own = (candidate.competition || here.is_some_and(|h| h.competition)).then_some(0);
                self.clear_days(bars, clear_days, own, |t| t.competition);
            }
            Rule::ReturnRamp { after_gap_days, ramp_days, max_per_session, max_per_7_days } => {
                let in_ramp = |x| row.seen.in_ramp(x, (after_gap_days, ramp_days), self.long_ends, Some(day));
                if valid_here && in_ramp(day) {
                    bars.push(row.bar(code, day, max_per_session, efforts, max_per_session));
                }
                bars.extend(
                    self.onwards(7)
                        .filter(|x| in_ramp(*x))
                        .map(|x| self.sum(Code::ReturnRamp7Days, x, row.seen.window(x, 7), max_per_7_days)),
                );
            }
        }
    }

    /// The candidate's day and the later jumping days whose window of that length holds it, where the row is valid.
    fn onwards(&self, length: i32) -> impl Iterator<Item = i32> {
        let row = self.row;
        let later = row.seen.between(self.day.saturating_add(1), self.day.saturating_add(length - 1));
        std::iter::once(self.day).chain(later.iter().map(|x| x.day)).filter(|x| row.valid_on(*x))
    }

    /// A sum that the candidate raises.
    const fn sum(&self, code: Code, day: i32, others: u32, limit: u32) -> Bar<'a, K> {
        let figure = others.saturating_add(self.candidate.efforts);
        self.row.bar(code, day, limit.saturating_sub(others), figure, limit)
    }

    /// Days that ask the candidate's for rest, and later days that it asks for rest. `own`: so many efforts
    /// of the candidate make no trigger of its day; none where no number does.
    fn clear_days(
        &self,
        bars: &mut Vec<Bar<'a, K>>,
        clear: u32,
        own: Option<u32>,
        triggers: impl Fn(&JumpingDay) -> bool,
    ) {
        let Self { row, day, here, .. } = *self;
        let code = row.limit.rule.code();
        let pair = |trigger: i32, judged: i32, at_most| {
            let had = (judged - trigger - 1).unsigned_abs();
            Bar { trigger: Some(trigger), ..row.bar(code, judged, at_most, had, clear) }
        };
        if row.valid_on(day) {
            let before = row.seen.between(day.saturating_sub_unsigned(clear), day.saturating_sub(1));
            let asking = before.iter().filter(|t| triggers(t) && !self.spared(t));
            bars.extend(asking.map(|t| pair(t.day, day, 0)));
        }
        let Some(own) = own else { return };
        let after = row.seen.between(day.saturating_add(1), day.saturating_add_unsigned(clear));
        let broken_already = |x: &JumpingDay| here.is_some_and(|h| triggers(h) && !h.spares(x, row.knows_shows()));
        let asked = after.iter().filter(|x| row.valid_on(x.day) && !self.spared(x) && !broken_already(x));
        bars.extend(asked.map(|x| pair(day, x.day, own)));
    }

    /// Whether the candidate's day, with the candidate, and the other are days of one show.
    fn spared(&self, other: &JumpingDay) -> bool {
        let candidate = self.candidate;
        self.row.knows_shows()
            && candidate.competition
            && candidate.show_id.is_some()
            && candidate.show_id == other.show
            && self.here.is_none_or(|h| h.show == candidate.show_id)
            && (other.day - self.day).abs() <= SHOW_DAYS
    }
}
