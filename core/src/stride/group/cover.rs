//! The smallest set of distances that serves all, by exact dynamic programming over the members' bit masks.
//!
//! In a smallest set no distance is idle, so it splits the members into as many blocks as it has
//! distances. Each criterion is the least of a sum (or maximum) over blocks, found for all subsets at once.
use crate::stride::SLACK;
use std::collections::BTreeMap;

/// One distance that could be set.
pub(super) struct Candidate {
    /// How far it is from the distance wanted, 0 where none is.
    pub off_wanted: f64,
    /// Each member's key there, where it is served.
    pub keys: Vec<Option<f64>>,
}

/// One bit a member.
type Mask = u16;

/// Rounding differs with the order of a sum; limits that were reached once must be reached again.
const ROUNDING: f64 = 1e-12;

/// A figure for every subset of the members, infinite where there is none.
struct Table(Vec<f64>);

impl Table {
    fn new(members: usize) -> Self {
        Self(vec![f64::INFINITY; 1 << members])
    }

    fn get(&self, mask: Mask) -> f64 {
        self.0.get(usize::from(mask)).copied().unwrap_or(f64::INFINITY)
    }

    fn lower(&mut self, mask: Mask, value: f64) {
        if let Some(held) = self.0.get_mut(usize::from(mask)) {
            *held = held.min(value);
        }
    }
}

/// Every block of members that a candidate can take with keys within the limit, and its figure.
fn blocks(candidate: &Candidate, limit: f64, join: fn(f64, f64) -> f64) -> Vec<(Mask, f64)> {
    let mut blocks = vec![(0, 0.0)];
    for (member, key) in candidate.keys.iter().enumerate() {
        if let Some(key) = key.filter(|key| *key <= limit) {
            for at in 0..blocks.len() {
                let (mask, figure) = blocks.get(at).copied().unwrap_or_default();
                blocks.push((mask | 1 << member, join(figure, key)));
            }
        }
    }
    blocks.remove(0);
    blocks
}

/// For 0, 1, 2, ... blocks the least figure with which each subset splits into that many; until `universe` does, or
/// for `size` blocks.
fn splits(
    blocks: &Table,
    universe: Mask,
    join: fn(f64, f64) -> f64,
    size: Option<usize>,
    members: usize,
) -> Vec<Table> {
    let mut none = Table::new(members);
    none.lower(0, 0.0);
    let mut levels = vec![none];
    for level in 1..=size.unwrap_or(members) {
        let mut next = Table::new(members);
        if let Some(last) = levels.last() {
            for mask in (1..=universe).filter(|mask| mask & universe == *mask) {
                let lowest = mask & mask.wrapping_neg();
                let others = mask ^ lowest;
                let mut part = others;
                // all subsets of the others, each with the lowest member
                loop {
                    next.lower(mask, join(blocks.get(part | lowest), last.get(others ^ part)));
                    if part == 0 {
                        break;
                    }
                    part = (part - 1) & others;
                }
            }
        }
        let done = size.map_or(next.get(universe).is_finite(), |size| level == size);
        levels.push(next);
        if done {
            break;
        }
    }
    levels
}

/// Fills the table of all blocks.
fn block_table(candidates: &[Candidate], limit: f64, join: fn(f64, f64) -> f64, members: usize) -> Table {
    let mut table = Table::new(members);
    for candidate in candidates {
        for (mask, figure) in blocks(candidate, limit, join) {
            table.lower(mask, figure);
        }
    }
    table
}

/// A candidate with those of its blocks that belong to a set of the least sum.
struct Choice {
    at: usize,
    off_wanted: f64,
    blocks: Vec<(Mask, f64)>,
}

/// Members covered by how many of the later choices, with the sums of keys and of distances from the wanted one
/// that are not both beaten.
type Fronts = BTreeMap<(Mask, usize), Vec<(f64, f64)>>;

/// The indices of the best set, ascending; empty where nobody is served. Candidates are in ascending order of
/// distance and serve at least one member each.
pub(super) fn least_cover(candidates: &[Candidate]) -> Vec<usize> {
    let members = candidates.iter().map(|candidate| candidate.keys.len()).max().unwrap_or(0);
    let served = |candidate: &Candidate| {
        candidate.keys.iter().enumerate().fold(0, |mask, (member, key)| mask | Mask::from(key.is_some()) << member)
    };
    let universe = candidates.iter().fold(0, |mask, candidate| mask | served(candidate));
    if universe == 0 {
        return Vec::new();
    }
    let worst = block_table(candidates, f64::INFINITY, f64::max, members);
    let worst = splits(&worst, universe, f64::max, None, members);
    let size = worst.len() - 1;
    let limit = worst.last().map_or(f64::INFINITY, |table| table.get(universe)) + SLACK;

    let sums = block_table(candidates, limit, |a, b| a + b, members);
    let sums = splits(&sums, universe, |a, b| a + b, Some(size), members);
    let least = |count: usize, mask: Mask| sums.get(count).map_or(f64::INFINITY, |table| table.get(mask));
    let most_total = least(size, universe) + SLACK;

    let mut choices = Vec::new();
    for (at, candidate) in candidates.iter().enumerate() {
        let mut blocks = blocks(candidate, limit, |a, b| a + b);
        blocks.retain(|(mask, sum)| sum + least(size - 1, universe ^ mask) <= most_total);
        if !blocks.is_empty() {
            choices.push(Choice { at, off_wanted: candidate.off_wanted, blocks });
        }
    }
    // what the choices from each one on can cover, the last of them first
    let mut fronts = vec![Fronts::from([((0, 0), vec![(0.0, 0.0)])])];
    for choice in choices.iter().rev() {
        let mut front = fronts.last().cloned().unwrap_or_default();
        for (&(covered, count), held) in fronts.last().into_iter().flatten() {
            for &(mask, sum) in choice.blocks.iter().filter(|(mask, _)| mask & covered == 0) {
                let room = most_total + ROUNDING - least(size.saturating_sub(count + 1), universe ^ (covered | mask));
                if count < size {
                    let longer = held.iter().map(|(total, off)| (total + sum, off + choice.off_wanted));
                    let entry = front.entry((covered | mask, count + 1)).or_default();
                    entry.extend(longer.filter(|(total, _)| *total <= room));
                    drop_beaten(entry);
                }
            }
        }
        fronts.push(front);
    }
    fronts.reverse();
    first_in_order(&choices, &fronts, universe, size, most_total)
}

/// Keeps the entries that no other equals or beats in both sums.
fn drop_beaten(entries: &mut Vec<(f64, f64)>) {
    entries.sort_by(|a, b| a.0.total_cmp(&b.0).then(a.1.total_cmp(&b.1)));
    let mut best = f64::INFINITY;
    entries.retain(|(_, off)| {
        let kept = *off < best;
        best = best.min(*off);
        kept
    });
}

/// Among the sets within both limits the first in ascending order of distances: from the shortest distance on, each
/// is taken that still leaves a way to finish.
fn first_in_order(choices: &[Choice], fronts: &[Fronts], universe: Mask, size: usize, most_total: f64) -> Vec<usize> {
    let whole = fronts.first().and_then(|front| front.get(&(universe, size)));
    let most_total = most_total + ROUNDING;
    let nearest = whole.into_iter().flatten().filter(|(total, _)| *total <= most_total).map(|(_, off)| *off);
    let most_off = nearest.fold(f64::INFINITY, f64::min) + SLACK + ROUNDING;
    let mut chosen = Vec::new();
    let mut prefixes: Vec<(Mask, f64, f64)> = vec![(0, 0.0, 0.0)];
    for (choice, later) in choices.iter().zip(fronts.iter().skip(1)) {
        let left = size - chosen.len();
        if left == 0 {
            break;
        }
        let mut next = Vec::new();
        for &(covered, total, off) in &prefixes {
            for (mask, sum) in choice.blocks.iter().filter(|(mask, _)| mask & covered == 0) {
                let (covered, total, off) = (covered | mask, total + sum, off + choice.off_wanted);
                let ends = later.get(&(universe ^ covered, left - 1)).into_iter().flatten();
                if ends.into_iter().any(|(t, o)| total + t <= most_total && off + o <= most_off) {
                    next.push((covered, total, off));
                }
            }
        }
        if !next.is_empty() {
            chosen.push(choice.at);
            prefixes = next;
        }
    }
    chosen
}
