//! A horse's sessions, limits and stand-downs together.
use super::seen::Seen;
use super::stand_down::long_ends;
use super::{Code, Limit, Source, StandDown};
use crate::calendar::{Day, Zone};
use crate::workload::{Counted, Session};
use std::collections::BTreeMap;
use std::sync::Arc;

/// A limit with the jumping days it sees.
#[derive(Debug, Clone)]
pub(super) struct Row<K> {
    pub limit: Limit<K>,
    pub seen: Arc<Seen<K>>,
    /// First and last day it is valid.
    valid: (i32, i32),
}

impl<K> Row<K> {
    /// Whether days of one show do not break each other for it.
    pub const fn knows_shows(&self) -> bool {
        matches!(self.limit.source, Source::BarnDefault | Source::Trainer)
    }

    pub const fn valid_on(&self, day: i32) -> bool {
        self.valid.0 <= day && day <= self.valid.1
    }
}

/// One horse's sessions, the limits on it, and the stand-downs of it and of those who ride it, as of today.
///
/// ```
/// use stridewright_core::calendar::{Day, Zone};
/// use stridewright_core::rest::{Book, Candidate, Limit, Rule, Source};
/// let limit = Limit {
///     id: 1,
///     rule: Rule::MaxEffortsPerDay { value: 30 },
///     source: Source::Owner,
///     hard: false,
///     valid_from: None,
///     valid_to: None,
///     from_height: None,
/// };
/// let today: Day = "2026-06-01".parse()?;
/// let book = Book::new(&[], vec![limit], vec![], &Zone::new("Europe/Lisbon")?, today);
/// let lesson = Candidate { efforts: 31, ..Candidate::on(today) };
/// let decision = book.decision(&lesson);
/// assert!(!decision.allowed && !decision.overridable);
/// assert_eq!(decision.reasons[0].figure, Some(31));
/// assert_eq!(book.remaining(&lesson).at_most, Some(30));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone)]
pub struct Book<K> {
    pub(super) sessions: Vec<Arc<Counted<K>>>,
    pub(super) rows: Vec<Row<K>>,
    pub(super) stand_downs: Arc<[StandDown<K>]>,
    /// First free days of long stand-downs of the horse.
    pub(super) long_ends: Arc<[i32]>,
    /// Sessions that ride, by day.
    pub(super) rides: BTreeMap<i32, u32>,
    /// Every effort.
    pub(super) all: Arc<Seen<K>>,
    pub(super) today: Day,
}

impl<K: Clone + Ord> Book<K> {
    /// Counts the sessions once; everything else is asked of the book. Stand-downs of riders who do not
    /// ride this horse do no harm.
    #[must_use]
    pub fn new(
        sessions: &[Session<K>],
        limits: Vec<Limit<K>>,
        stand_downs: Vec<StandDown<K>>,
        zone: &Zone,
        today: Day,
    ) -> Self {
        let counted = sessions.iter().map(|s| Arc::new(Counted::new(s, zone))).collect();
        let long_ends = long_ends(&stand_downs).into();
        Self::of(counted, limits, stand_downs.into(), long_ends, today)
    }

    fn of(
        sessions: Vec<Arc<Counted<K>>>,
        limits: Vec<Limit<K>>,
        stand_downs: Arc<[StandDown<K>]>,
        long_ends: Arc<[i32]>,
        today: Day,
    ) -> Self {
        let all = Arc::new(Seen::new(None, &sessions));
        let mut by_height = BTreeMap::new();
        let rows = limits
            .into_iter()
            .map(|limit| {
                let seen = match limit.from_height {
                    None => &all,
                    Some(height) => {
                        by_height.entry(height).or_insert_with(|| Arc::new(Seen::new(Some(&limit), &sessions)))
                    }
                };
                let first = limit.valid_from.map_or(i32::MIN, Day::number);
                let last = limit.valid_to.map_or(i32::MAX, Day::number);
                Row { seen: Arc::clone(seen), valid: (first, last), limit }
            })
            .collect();
        let mut rides = BTreeMap::new();
        for day in sessions.iter().flat_map(|s| &s.rides) {
            *rides.entry(*day).or_default() += 1;
        }
        Self { sessions, rows, stand_downs, long_ends, rides, all, today }
    }

    /// The same book with one session taken out, so that it can be tested as a candidate.
    #[must_use]
    pub fn without(&self, id: &K) -> Self {
        let sessions = self.sessions.iter().filter(|s| s.session.id != *id).cloned().collect();
        let limits = self.rows.iter().map(|r| r.limit.clone()).collect();
        Self::of(sessions, limits, Arc::clone(&self.stand_downs), Arc::clone(&self.long_ends), self.today)
    }

    /// The limit of that id.
    pub fn limit(&self, id: &K) -> Option<&Limit<K>> {
        self.limits().find(|l| l.id == *id)
    }

    /// The limits, in the order they came.
    pub fn limits(&self) -> impl Iterator<Item = &Limit<K>> {
        self.rows.iter().map(|r| &r.limit)
    }

    /// The stand-down of that id.
    pub fn stand_down(&self, id: &K) -> Option<&StandDown<K>> {
        self.stand_downs.iter().find(|s| s.id == *id)
    }

    pub(super) fn session(&self, id: &K) -> Option<&Arc<Counted<K>>> {
        self.sessions.iter().find(|s| s.session.id == *id)
    }

    /// The strictest value of each `max_` kind among the rows valid on the day that look at all efforts.
    #[must_use]
    pub fn strictest(&self, day: Day) -> BTreeMap<Code, u32> {
        let mut strictest = BTreeMap::new();
        for limit in self.rows.iter().map(|r| &r.limit).filter(|l| l.from_height.is_none() && l.valid_on(day)) {
            if let Some(value) = limit.rule.value() {
                strictest
                    .entry(limit.rule.code())
                    .and_modify(|least: &mut u32| *least = value.min(*least))
                    .or_insert(value);
            }
        }
        strictest
    }
}

/// The day of a number counted from 1970-01-01.
pub(super) fn date(number: i32) -> Day {
    Day::EPOCH.plus(number)
}
