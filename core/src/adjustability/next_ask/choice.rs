//! The counts that may be asked for, and the one picked.
use super::seen::Seen;
use super::{Ask, Line, Side};
use crate::adjustability::attempt::stretch;
use crate::adjustability::{Range, Settings};
use crate::units::{LogStretch, Metres};

/// Slack in comparing stretches that tie.
const TIE: f64 = 1e-12;
/// Nominal strides below which a line's count is fixed.
const FIXED_BELOW: f64 = 2.5;

/// A line, put to a horse.
pub(super) struct Question<'a> {
    pub line: &'a Line,
    pub range: &'a Range,
    pub settings: &'a Settings,
    /// Stretch at a count of one.
    x_of_one: f64,
}

impl<'a> Question<'a> {
    /// `None` without room for a stride.
    pub fn new(line: &'a Line, range: &'a Range, settings: &'a Settings) -> Option<Self> {
        let x_of_one = stretch(line.distance, line.allowance, 1, range.normal_stride())?;
        Some(Self { line, range, settings, x_of_one })
    }

    pub fn room(&self) -> f64 {
        self.line.distance.get() - self.line.allowance.get()
    }

    /// The stretch of a count.
    pub fn x(&self, count: u8) -> f64 {
        if count <= 1 { self.x_of_one } else { self.x_at(self.line.distance.get(), count) }
    }

    /// The same on another distance.
    pub fn x_at(&self, distance: f64, count: u8) -> f64 {
        ((distance - self.line.allowance.get()) / f64::from(count) / self.range.normal_stride().get()).ln()
    }

    /// The distance on which a count takes that stretch.
    pub fn distance_at(&self, x: f64, count: u8) -> f64 {
        self.line.allowance.get() + f64::from(count) * self.range.normal_stride().get() * x.exp()
    }

    /// Whether a stretch may be asked for at all.
    fn allowed(&self, x: f64) -> bool {
        self.settings.ask_x_min.get() <= x && x <= self.settings.ask_x_max.get()
    }

    fn passes(&self, x: f64, limit: f64) -> bool {
        self.allowed(x) && self.range.lower(x) >= limit
    }

    /// The normal count: the nearest, or on about half a stride its neighbour where only that passes.
    pub fn natural(&self) -> Option<u8> {
        let least = counts_of(self.settings).map(|n| self.x(n).abs()).fold(f64::INFINITY, f64::min);
        let nearest = counts_of(self.settings).rev().find(|n| self.x(*n).abs() <= least + TIE)?;
        let x = self.x(nearest);
        let limit = self.settings.min_success.get();
        if x.abs() <= self.settings.same_x.get() || self.passes(x, limit) {
            return Some(nearest);
        }
        let neighbour = if x > 0.0 { nearest.saturating_add(1) } else { nearest.saturating_sub(1) };
        let takes_over = counts_of(self.settings).contains(&neighbour) && self.passes(self.x(neighbour), limit);
        Some(if takes_over { neighbour } else { nearest })
    }

    /// Whether the line is ridden in its normal count and no other.
    pub fn fixed(&self, natural: u8) -> bool {
        self.line.combination || natural <= 2 || self.room() / self.settings.nominal_stride_m.get() < FIXED_BELOW
    }

    pub fn ask(&self, seen: &Seen, count: u8, distance: Metres) -> Ask {
        let x = self.x_at(distance.get(), count);
        let stretch = LogStretch::nearest(x);
        Ask {
            count,
            distance_m: distance,
            stride_m: Metres::nearest((distance.get() - self.line.allowance.get()) / f64::from(count)),
            stretch,
            chance: self.range.chance(stretch),
            cautious_chance: self.range.cautious_chance(stretch),
            forecast_chance: self.range.forecast_chance(stretch),
            approach_hint: seen.hint(x),
        }
    }
}

fn counts_of(settings: &Settings) -> std::ops::RangeInclusive<u8> {
    1..=settings.max_count
}

/// A count that may be asked for.
#[derive(Debug, Clone, Copy)]
pub(super) struct Candidate {
    pub count: u8,
    pub x: f64,
    pub achieved: bool,
}

/// The counts left to choose from.
pub(super) struct Choice {
    pub natural: Candidate,
    pub remaining: Vec<Candidate>,
    /// A candidate was missed twice today.
    pub blocked: bool,
}

impl Choice {
    pub fn new(question: &Question<'_>, seen: &Seen, natural: u8) -> Self {
        let candidate = |count: u8| {
            let x = question.x(count);
            Candidate { count, x, achieved: seen.achieved(x) }
        };
        let mut candidates: Vec<Candidate> = counts(question, natural, |n| candidate(n).achieved)
            .map(candidate)
            .filter(|c| c.count == natural || question.allowed(c.x))
            .collect();
        let barriers = seen.barriers();
        let is_blocked = |c: &Candidate| c.count != natural && barriers.iter().any(|b| b.bars(c.x));
        let more = candidates.iter().any(|c| c.count > natural && is_blocked(c));
        let fewer = candidates.iter().any(|c| c.count < natural && is_blocked(c));
        let beyond = |c: &Candidate| (more && c.count < natural) || (fewer && c.count > natural);
        candidates.retain(|c| !is_blocked(c) && !beyond(c));
        Self { natural: candidate(natural), remaining: candidates, blocked: more || fewer }
    }

    /// Whether the horse is likely enough to meet it; new ground needs more.
    pub fn passes(&self, question: &Question<'_>, candidate: &Candidate) -> bool {
        let known = candidate.achieved || candidate.count == self.natural.count;
        let limit = if known { question.settings.min_success } else { question.settings.new_success };
        question.passes(candidate.x, limit.get())
    }

    /// The furthest that passes; of two equally far the larger count, collecting being the gentler error.
    pub fn pick(&self, question: &Question<'_>) -> Option<Candidate> {
        let passing = || self.remaining.iter().filter(|c| self.passes(question, c));
        let furthest = passing().map(|c| c.x.abs()).fold(0.0, f64::max);
        passing().filter(|c| c.x.abs() >= furthest - TIE).max_by_key(|c| c.count).copied()
    }
}

/// The counts from the normal one to one past the furthest achieved, on the side or sides schooled.
fn counts(question: &Question<'_>, natural: u8, achieved: impl Fn(u8) -> bool) -> std::ops::RangeInclusive<u8> {
    if question.fixed(natural) {
        return natural..=natural;
    }
    let most = question.settings.max_count;
    let largest = (natural..=most).rev().find(|n| achieved(*n));
    let upwards = question.line.side != Side::Long;
    let downwards = match question.line.side {
        Side::Short => false,
        Side::Long => true,
        Side::Either => largest.is_some_and(|n| n > natural),
    };
    let last = largest.filter(|_| upwards).map_or(natural, |n| n.saturating_add(1).min(most));
    let smallest = (1..=natural).find(|n| achieved(*n));
    let first = smallest.filter(|_| downwards).map_or(natural, |n| n.saturating_sub(1).max(1));
    first..=last
}
