//! A horse's jumping days as one row sees them: all efforts, or those from a height on.
use super::Limit;
use crate::workload::Counted;
use std::collections::BTreeMap;
use std::sync::Arc;

/// One jumping day.
#[derive(Debug)]
pub(super) struct JumpingDay {
    /// Days since 1970-01-01.
    pub day: i32,
    pub efforts: u32,
    /// Efforts of all days before.
    before: u64,
    pub competition: bool,
    /// The show, where every session of the day is a competition of that one show.
    pub show: Option<String>,
    /// The session, where it is the only one.
    sole: Option<usize>,
    last: usize,
}

/// A session with at least one effort.
#[derive(Debug)]
pub(super) struct JumpingSession<K> {
    pub session: Arc<Counted<K>>,
    pub efforts: u32,
    pub last_day: i32,
}

/// The jumping days, oldest first, and the sessions.
#[derive(Debug)]
pub(super) struct Seen<K> {
    pub days: Vec<JumpingDay>,
    pub sessions: Vec<JumpingSession<K>>,
}

impl<K> Seen<K> {
    pub fn new(row: Option<&Limit<K>>, counted: &[Arc<Counted<K>>]) -> Self {
        let mut days = BTreeMap::<i32, JumpingDay>::new();
        let mut sessions = Vec::new();
        for (index, counted) in counted.iter().enumerate() {
            let session = &counted.session;
            let show = session.show_id.as_ref().filter(|_| session.competition);
            let (mut sum, mut last_day) = (0_u32, i32::MIN);
            for part in counted.parts.iter().filter(|p| row.is_none_or(|row| row.sees(p.height))) {
                sum = sum.saturating_add(part.efforts);
                last_day = last_day.max(part.day);
                let day = days.entry(part.day).or_insert_with(|| JumpingDay {
                    day: part.day,
                    efforts: 0,
                    before: 0,
                    competition: false,
                    show: show.cloned(),
                    sole: Some(index),
                    last: index,
                });
                day.efforts = day.efforts.saturating_add(part.efforts);
                day.competition |= session.competition;
                if day.last != index {
                    day.last = index;
                    day.sole = None;
                    day.show = day.show.take().filter(|s| Some(s) == show);
                }
            }
            if sum > 0 {
                sessions.push(JumpingSession { session: Arc::clone(counted), efforts: sum, last_day });
            }
        }
        let mut days: Vec<_> = days.into_values().collect();
        let mut before = 0;
        for day in &mut days {
            day.before = before;
            before += u64::from(day.efforts);
        }
        Self { days, sessions }
    }

    /// The jumping days from `first` to `last`, both included.
    pub fn between(&self, first: i32, last: i32) -> &[JumpingDay] {
        let from = self.days.partition_point(|d| d.day < first);
        let to = self.days.partition_point(|d| d.day <= last);
        self.days.get(from..to).unwrap_or_default()
    }

    pub fn on(&self, day: i32) -> Option<&JumpingDay> {
        self.between(day, day).first()
    }

    pub fn efforts_on(&self, day: i32) -> u32 {
        self.on(day).map_or(0, |d| d.efforts)
    }

    /// The efforts of the `length` days that end on `last`.
    pub fn window(&self, last: i32, length: i32) -> u32 {
        let days = self.between(last.saturating_sub(length - 1), last);
        let sum = days.first().zip(days.last()).map_or(0, |(a, b)| b.before + u64::from(b.efforts) - a.before);
        u32::try_from(sum).unwrap_or(u32::MAX)
    }

    /// How many of the `length` days that end on `last` are jumping days.
    pub fn jumping_days(&self, last: i32, length: i32) -> u32 {
        u32::try_from(self.between(last.saturating_sub(length - 1), last).len()).unwrap_or(u32::MAX)
    }

    fn before(&self, day: i32) -> Option<i32> {
        let from = self.days.partition_point(|d| d.day < day);
        from.checked_sub(1).and_then(|i| self.days.get(i)).map(|d| d.day)
    }

    /// Whether the jumping day is a return: after a gap, or the first since a long stand-down ended.
    /// `extra` counts as a jumping day besides.
    fn is_return(&self, day: i32, gap: u32, ends: &[i32], extra: Option<i32>) -> bool {
        let previous = self.before(day).max(extra.filter(|e| *e < day));
        previous.is_some_and(|p| i64::from(day) - i64::from(p) > i64::from(gap))
            || ends.iter().any(|&free| free <= day && previous.is_none_or(|p| p < free))
    }

    pub fn returns(&self, gap: u32, ends: &[i32]) -> impl Iterator<Item = i32> {
        self.days.iter().map(|d| d.day).filter(move |d| self.is_return(*d, gap, ends, None))
    }

    /// Whether a return lies on the day or less than `length` days before.
    pub fn in_ramp(&self, day: i32, (gap, length): (u32, u32), ends: &[i32], extra: Option<i32>) -> bool {
        let Some(reach) = length.checked_sub(1) else { return false };
        let first = day.saturating_sub_unsigned(reach);
        extra.filter(|e| (first..=day).contains(e)).is_some_and(|e| self.is_return(e, gap, ends, extra))
            || self.between(first, day).iter().any(|d| self.is_return(d.day, gap, ends, extra))
    }
}

/// Days of one show reach no further than this.
pub(super) const SHOW_DAYS: i32 = 5;

impl JumpingDay {
    /// Whether this day asks nothing of the later one: both of one show, where the row knows shows, or both
    /// made by one session over midnight.
    pub fn spares(&self, later: &Self, knows_shows: bool) -> bool {
        let one_session = self.sole.is_some() && self.sole == later.sole;
        let one_show = self.show.is_some() && self.show == later.show && later.day - self.day <= SHOW_DAYS;
        one_session || (knows_shows && one_show)
    }
}
