//! What a ride says, with everything counted and filled in: pure, so that it can be compared and tested.
use super::faults::Faults;
use super::shown::AttemptOut;
use super::wire::{AttemptIn, FenceIn, FencePassed, LogKind, RideIn, RideKind};
use crate::exercises::layout::{Distance, Layout, LayoutLine};
use crate::wire::leaf::Count;
use crate::wire::text::{FenceLabel, Label};
use stridewright_core::adjustability::Fault;
use stridewright_core::calendar::Instant;
use stridewright_core::units::{Centimetres, Metres};
use stridewright_core::workload::{Outcome, efforts, pole_passes};

/// A ride without its id, its number and its standing.
#[derive(Debug, Clone, PartialEq)]
pub struct Content {
    pub kind: RideKind,
    pub at: Option<Instant>,
    pub fences: Vec<FencePassed>,
    pub attempts: Vec<AttemptOut>,
    pub efforts: i32,
    pub pole_passes: i32,
    pub height_cm: Option<Centimetres>,
    pub note: Option<String>,
}

impl Content {
    /// Whether both tell of the same jumps, whatever they say of the time and in the note.
    pub fn same_jumps(&self, other: &Self) -> bool {
        let bare = |content: &Self| Self { at: None, note: None, ..content.clone() };
        bare(self) == bare(other)
    }
}

/// Where what is left out comes from.
#[derive(Debug, Default)]
pub struct Known {
    /// The layout of the session's exercise.
    pub layout: Option<Layout>,
    /// The ride as it was stored under this id: a repetition means what it meant then.
    pub stored: Option<Content>,
    /// Whether the session's day lies ahead: then its planned start says nothing of when it was ridden.
    pub ahead: bool,
}

/// The measures of a line.
#[derive(Debug, Clone, Copy)]
struct Measures {
    distance: Metres,
    heights: (Centimetres, Centimetres),
    poles: bool,
    combination: bool,
    circle: bool,
}

impl Known {
    fn line(&self, name: &Label) -> Option<&LayoutLine> {
        let joined = |line: &LayoutLine| format!("{}-{}", line.from.as_str(), line.to.as_str());
        let lines = || self.layout.iter().flat_map(|layout| layout.lines.0.iter());
        lines().find(|line| line.name() == name.as_str()).or_else(|| lines().find(|line| joined(line) == name.as_str()))
    }

    fn measures(&self, n: usize, name: &Label) -> Option<Measures> {
        if let Some(then) = self.stored.as_ref().and_then(|s| s.attempts.get(n)).filter(|then| then.line == *name) {
            return Some(Measures {
                distance: then.distance_m,
                heights: (then.first_height_cm, then.second_height_cm),
                poles: then.poles,
                combination: then.combination,
                circle: then.circle,
            });
        }
        let (layout, line) = (self.layout.as_ref()?, self.line(name)?);
        let (first, second) = (layout.fence(&line.from)?, layout.fence(&line.to)?);
        Some(Measures {
            distance: line.distance_m.whole(),
            heights: (first.height_cm, second.height_cm),
            poles: first.is_pole() && second.is_pole(),
            combination: layout.in_combination(line),
            circle: line.kind == crate::exercises::layout::LineKind::WithCircle,
        })
    }

    /// Whether a fence of the attempt's line, as far as the layout knows it, is not among those passed.
    fn misses_a_fence_of(&self, attempt: &AttemptOut, passed: &[FencePassed]) -> bool {
        let (Some(layout), Some(line)) = (&self.layout, self.line(&attempt.line)) else { return false };
        [&line.from, &line.to].into_iter().filter_map(|end| layout.fence(end)).any(|fence| {
            let part_of = fence.combination.as_ref().map(|c| &c.label);
            !passed.iter().any(|p| p.fence == fence.label || Some(&p.fence) == part_of)
        })
    }

    /// The height of a fence as ridden: an attempt's where one tells it, else the layout's.
    fn height(&self, fence: &FencePassed, attempts: &[AttemptOut]) -> Option<Centimetres> {
        let layout = self.layout.as_ref()?;
        let element = |f: &&crate::exercises::layout::Fence| {
            f.combination.as_ref().is_some_and(|c| c.label == fence.fence && Some(c.element) == fence.element)
        };
        let stands = layout.fences.0.iter().find(element).or_else(|| layout.fence(&fence.fence))?;
        let told = |label: &FenceLabel| {
            attempts.iter().find_map(|attempt| {
                let line = self.line(&attempt.line)?;
                let first = (line.from == *label).then_some(attempt.first_height_cm);
                first.or((line.to == *label).then_some(attempt.second_height_cm))
            })
        };
        Some(told(&stands.label).unwrap_or(stands.height_cm))
    }

    /// The greatest height jumped, as far as it is known.
    fn greatest(&self, fences: &[FencePassed], attempts: &[AttemptOut]) -> Option<Centimetres> {
        if self.stored.is_some() {
            return self.stored.as_ref().and_then(|stored| stored.height_cm);
        }
        let jumped = fences.iter().filter(|f| matches!(f.counts_as(), Outcome::Jumped | Outcome::Rail));
        let ridden = attempts.iter().filter(|a| !a.poles).flat_map(|a| [a.first_height_cm, a.second_height_cm]);
        jumped.clone().next()?;
        jumped.filter_map(|fence| self.height(fence, attempts)).chain(ridden).max()
    }
}

/// A line shared out over its strides and a jump: less than half a stride of a walk over poles, or more than twice one of
/// a gallop, is a slip of the pen. A single one would move the range that the horse is judged by.
const LEAST_M: f64 = 0.3;
const MOST_M: f64 = 8.0;
/// A clock that is wrong by more than this is not believed.
const AHEAD_S: i64 = 24 * 3600;

/// Reads a ride that stands at the pointer; `None` where a fault was found.
pub fn read(ride: RideIn, known: &Known, now: Instant, at: &str, faults: &mut Faults) -> Option<Content> {
    let before = faults.count();
    let kind = ride.kind.unwrap_or(LogKind::Go);
    if ride.at.is_some_and(|when| when > now.plus_seconds(AHEAD_S)) {
        faults.invalid(format!("{at}/at"), "must not lie in the future");
    }
    if ride.at.is_none() && known.ahead && known.stored.is_none() {
        faults.required(format!("{at}/at"), "is required: the session lies ahead, so say when it was ridden");
    }
    if kind != LogKind::Go {
        for (name, given) in
            [("go", ride.go.is_some()), ("fences", ride.fences.is_some()), ("attempts", ride.attempts.is_some())]
        {
            if given {
                faults.invalid(format!("{at}/{name}"), "belongs to a go");
            }
        }
    }
    let fences = passed(ride.fences.map(|list| list.0).unwrap_or_default(), at, faults);
    let attempts = attempted(ride.attempts.map(|list| list.0).unwrap_or_default(), known, at, faults);
    if fences.is_empty() && attempts.iter().any(|a| !a.poles && a.ridden.is_some()) {
        faults.required(format!("{at}/fences"), "must name the fences of the lines that were completed");
    }
    for (n, attempt) in attempts.iter().enumerate().filter(|(_, a)| a.ridden.is_some() && a.fault.is_none()) {
        if !fences.is_empty() && known.misses_a_fence_of(attempt, &fences) {
            faults.invalid(format!("{at}/attempts/{n}/line"), "was completed, so both its fences stand in fences");
        }
    }
    let new = known.stored.is_none();
    if new
        && kind == LogKind::Go
        && fences.is_empty()
        && attempts.is_empty()
        && ride.pole_passes.is_none_or(|n| n.get() == 0)
    {
        faults.required(format!("{at}/fences"), "is required: a go passes a fence, a line or a pole");
    }
    let outcomes = || fences.iter().map(FencePassed::counts_as);
    let efforts = match (kind, ride.efforts.map(Count::get)) {
        (LogKind::About, Some(efforts)) => efforts,
        (LogKind::About, None) => {
            faults.required(format!("{at}/efforts"), "is required: about how many");
            0
        }
        (_, Some(_)) => {
            faults.invalid(format!("{at}/efforts"), "belongs to about; a go's efforts are counted from its fences");
            0
        }
        (LogKind::ExtraFence, None) => 1,
        (LogKind::Go, None) => i32::try_from(efforts(outcomes())).unwrap_or(0),
    };
    let poles = i32::try_from(pole_passes(outcomes())).unwrap_or(0) + ride.pole_passes.map_or(0, Count::get);
    if poles > 500 {
        faults.invalid(format!("{at}/pole_passes"), "must not come to more than 500 with those among the fences");
    }
    let height_cm = ride.height_cm.or_else(|| known.greatest(&fences, &attempts));
    let note = ride.note.map(crate::wire::text::Note::into_string);
    let content =
        Content { kind: kind.into(), at: ride.at, fences, attempts, efforts, pole_passes: poles, height_cm, note };
    (faults.count() == before).then_some(content)
}

/// A fall ends the ride.
fn passed(fences: Vec<FenceIn>, at: &str, faults: &mut Faults) -> Vec<FencePassed> {
    let fences: Vec<FencePassed> = fences
        .into_iter()
        .map(|FenceIn { fence, element, outcome, ground_pole }| FencePassed {
            fence,
            element,
            outcome,
            ground_pole: ground_pole.unwrap_or(false),
        })
        .collect();
    if let Some(fall) = fences.iter().position(|f| f.counts_as() == Outcome::Fall)
        && fall + 1 < fences.len()
    {
        faults.invalid(format!("{at}/fences/{}", fall + 1), "must not follow a fall: a fall ends the ride");
    }
    fences
}

fn attempted(attempts: Vec<AttemptIn>, known: &Known, at: &str, faults: &mut Faults) -> Vec<AttemptOut> {
    let attempts: Vec<AttemptOut> = attempts
        .into_iter()
        .enumerate()
        .filter_map(|(n, attempt)| one(attempt, n, known, &format!("{at}/attempts/{n}"), faults))
        .collect();
    if let Some(fall) = attempts.iter().position(|a| a.fault == Some(Fault::Fall))
        && fall + 1 < attempts.len()
    {
        faults.invalid(format!("{at}/attempts/{}", fall + 1), "must not follow a fall: a fall ends the ride");
    }
    attempts
}

fn one(a: AttemptIn, n: usize, known: &Known, at: &str, faults: &mut Faults) -> Option<AttemptOut> {
    let m = known.measures(n, &a.line);
    let poles = a.poles.or(m.map(|m| m.poles)).unwrap_or(false);
    let ground = poles.then_some(Centimetres::GROUND);
    let distance = a.distance_m.map(Distance::whole).or(m.map(|m| m.distance));
    let first = a.first_height_cm.or(m.map(|m| m.heights.0)).or(ground);
    let second = a.second_height_cm.or(m.map(|m| m.heights.1)).or(ground);
    for (name, absent) in [
        ("distance_m", distance.is_none()),
        ("first_height_cm", first.is_none()),
        ("second_height_cm", second.is_none()),
    ] {
        if absent {
            faults.required(format!("{at}/{name}"), "is required: no exercise of the session knows this line");
        }
    }
    let circle = a.circle.or(m.map(|m| m.circle)).unwrap_or(false);
    if let (Some(distance), Some(ridden), false, None) = (distance, a.ridden, circle, &known.stored)
        && !(LEAST_M..=MOST_M).contains(&(distance.get() / f64::from(ridden.get() + 1)))
    {
        let rule =
            "no horse covers that in so many strides: give the distance in metres, fence to fence, and the count";
        faults.invalid(format!("{at}/distance_m"), rule);
    }
    Some(AttemptOut {
        line: a.line,
        asked: a.asked,
        ridden: a.ridden,
        distance_m: distance?,
        first_height_cm: first?,
        second_height_cm: second?,
        poles,
        combination: a.combination.or(m.map(|m| m.combination)).unwrap_or(false),
        circle,
        fault: a.fault,
        approach: a.approach,
        lost_first: a.lost_first,
        seconds: a.seconds,
    })
}

#[cfg(test)]
mod tests;
