//! What earlier attempts say about a line of that kind and height.
use super::Line;
use crate::adjustability::attempt::Used;
use crate::adjustability::{ApproachHint, Settings};

/// Slack in comparing heights, m.
const HEIGHT: f64 = 1e-9;

pub(super) struct Seen {
    /// Of the line's kind, about as high or higher; by day, then as ridden.
    high: Vec<Used>,
    /// Those of them that are about as high.
    level: Vec<Used>,
    /// What was asked today beyond the normal stride.
    today: Vec<Used>,
    same: f64,
    min_met: usize,
}

/// From this stretch on, on this side of the normal stride, nothing more is asked today.
pub(super) struct Barrier {
    long: bool,
    from: f64,
}

impl Barrier {
    pub fn bars(&self, x: f64) -> bool {
        on_side(x, self.long) && x.abs() >= self.from
    }
}

fn on_side(x: f64, long: bool) -> bool {
    if long { x > 0.0 } else { x < 0.0 }
}

impl Seen {
    pub fn new(mut used: Vec<Used>, line: &Line, settings: &Settings) -> Self {
        let (height, same_height, same) =
            (line.height.get(), settings.same_height_m.get() + HEIGHT, settings.same_x.get());
        used.retain(|a| a.kind == line.kind && a.height >= height - same_height);
        used.sort_by_key(|a| a.day);
        let level: Vec<Used> = used.iter().copied().filter(|a| a.height <= height + same_height).collect();
        let today = level.iter().copied().filter(|a| a.age == 0 && a.x.abs() > same).collect();
        Self { high: used, level, today, same, min_met: settings.min_met as usize }
    }

    /// Attempts about as high at about this stretch.
    fn at(&self, x: f64) -> impl DoubleEndedIterator<Item = &Used> {
        self.level.iter().filter(move |a| (a.x - x).abs() <= self.same)
    }

    /// Met often enough, as far or further, and not missed here the last time.
    pub fn achieved(&self, x: f64) -> bool {
        let reaches = |a: &&Used| x.abs() <= self.same || (on_side(a.x, x > 0.0) && a.x.abs() >= x.abs() - self.same);
        self.high.iter().filter(|a| a.met).filter(reaches).count() >= self.min_met
            && self.at(x).next_back().is_none_or(|a| a.met)
    }

    pub fn met_today(&self, x: f64) -> bool {
        self.at(x).any(|a| a.met && a.age == 0)
    }

    /// The second longest stretch met, so that one lucky attempt does not set the mark.
    pub fn second_longest_met(&self) -> Option<f64> {
        let mut met: Vec<f64> = self.high.iter().filter(|a| a.met).map(|a| a.x).collect();
        met.sort_by(|a, b| b.total_cmp(a));
        met.get(1).copied()
    }

    /// Whether what lies between the normal stride and the line's own count went wrong lately.
    pub fn natural_missed(&self, x0: f64, last: usize) -> bool {
        let (from, to) = (x0.min(0.0) - self.same, x0.max(0.0) + self.same);
        let asked: Vec<bool> = self.level.iter().filter(|a| from <= a.x && a.x <= to).map(|a| a.met).collect();
        if matches!(asked.as_slice(), [.., false, false]) {
            return true;
        }
        let recent = asked.iter().rev().take(last);
        let missed = recent.clone().filter(|met| !**met).count();
        missed >= 2 && 2 * missed >= recent.count()
    }

    /// For each miss of today, whether each attempt that was as hard or harder was met.
    fn rows(&self) -> impl Iterator<Item = (&Used, Vec<bool>)> {
        self.today.iter().filter(|t| !t.met).map(|t| {
            let harder = |a: &&Used| on_side(a.x, t.x > 0.0) && a.x.abs() >= t.x.abs() - self.same;
            (t, self.today.iter().filter(harder).map(|a| a.met).collect())
        })
    }

    /// Where today's last two were missed.
    pub fn barriers(&self) -> Vec<Barrier> {
        self.rows()
            .filter(|(_, row)| matches!(row.as_slice(), [.., false, false]))
            .map(|(t, _)| Barrier { long: t.x > 0.0, from: t.x.abs() - self.same })
            .collect()
    }

    /// Whether two in a row were missed today, whatever came after.
    pub fn missed_in_a_row(&self) -> bool {
        self.rows().any(|(_, row)| row.windows(2).any(|two| matches!(two, [false, false])))
    }

    /// The canter that would explain the last miss at this stretch, unless it was named the time before.
    pub fn hint(&self, x: f64) -> Option<ApproachHint> {
        let holds = |a: &Used| {
            a.hint.filter(|hint| match hint {
                ApproachHint::Slower => x <= self.same,
                ApproachHint::Faster => x >= -self.same,
            })
        };
        let mut backwards = self.at(x).rev();
        let last = backwards.next().and_then(holds)?;
        backwards.next().and_then(holds).is_none().then_some(last)
    }
}
