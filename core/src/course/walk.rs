//! A sequence of fences walked as a course.
use super::rules::{RuleSet, time_allowed, time_limit};
use crate::stride::{HorseStride, Line, MOST_RELATED, NaturalCount, SLACK, StrideError, natural_count};
use crate::track::{GroundLine, Jump, Track, TrackError, TrackRules, track};
use crate::units::{Metres, MetresPerMinute, Seconds};

/// One effort of a course, in the order of riding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourseJump {
    /// The fence, or an element of one.
    pub jump: Jump,
    /// A further element of the combination that the jump before belongs to.
    pub same_obstacle: bool,
}

/// What is asked of a course.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CourseTerms {
    /// The rule book to check by.
    pub rules: RuleSet,
    /// The speed of the class.
    pub speed: MetresPerMinute,
    /// From the start to the first fence.
    pub start: Metres,
    /// From the last fence to the finish.
    pub finish: Metres,
    /// Of the turns of the normal track.
    pub turn_radius: Metres,
}

/// The way from one jump to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct Leg {
    /// The track, from the landing to the take-off; `None` where it cannot be ridden.
    pub track: Option<Track>,
    /// The count that comes by itself.
    pub natural: Option<NaturalCount>,
    /// Near enough to be counted: a related distance.
    pub related: bool,
    /// Within one obstacle.
    pub combination: bool,
}

/// Where a course does not keep to the rule book; jumps and legs by their places, from 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum CourseFinding {
    /// There is no track from this jump to the next.
    NotRidable(usize),
    /// The elements of a combination stand nearer, or further apart, than one may.
    CombinationGap(usize),
    /// Two obstacles stand as near as elements of one.
    NearAsCombination(usize),
    /// The start lies too near the first fence or too far from it.
    StartLine,
    /// The finish does so behind the last.
    FinishLine,
    /// The course is longer than its obstacles allow.
    TooLong,
}

/// A course as it was walked.
#[derive(Debug, Clone, PartialEq)]
pub struct CourseWalk {
    /// From start to finish along the normal track, over the middle of every fence, to the metre; `None` where a leg
    /// cannot be ridden.
    pub length: Option<Metres>,
    /// At the speed of the class.
    pub time_allowed: Option<Seconds>,
    /// After which one is out.
    pub time_limit: Option<Seconds>,
    /// A combination is one.
    pub obstacles: u32,
    /// Each element is one.
    pub efforts: u32,
    /// Between the jumps.
    pub legs: Vec<Leg>,
    /// Where the rule book is not kept.
    pub findings: Vec<CourseFinding>,
}

/// Walks the course.
///
/// # Errors
/// Refuses a course without a jump, a first jump that continues another, and a radius, speed or stride of 0.
pub fn walk(
    jumps: &[CourseJump],
    horse: &HorseStride,
    terms: &CourseTerms,
    rules: &TrackRules,
) -> Result<CourseWalk, TrackError> {
    let Some((first, rest)) = jumps.split_first() else { return Err(TrackError::NoJumps) };
    if first.same_obstacle {
        return Err(TrackError::NoJumps);
    }
    if terms.speed.get() <= 0.0 {
        return Err(StrideError::NotPositive("speed").into());
    }
    let mut legs = Vec::with_capacity(rest.len());
    for (one, other) in jumps.iter().zip(rest) {
        legs.push(leg(one, other, horse, terms, rules)?);
    }
    let spreads: f64 = jumps.iter().map(|jump| jump.jump.fence.spread.get()).sum();
    let ridden: Option<f64> = legs.iter().map(|leg| leg.track.as_ref().map(|track| track.length.get())).sum();
    let length = ridden.map(|legs| Metres::nearest((terms.start.get() + legs + spreads + terms.finish.get()).round()));
    let obstacles = count(jumps.iter().filter(|jump| !jump.same_obstacle).count());
    let allowed = length.and_then(|length| time_allowed(length, terms.speed));
    let mut walk = CourseWalk {
        length,
        time_allowed: allowed,
        time_limit: allowed.map(time_limit),
        obstacles,
        efforts: count(jumps.len()),
        legs,
        findings: Vec::new(),
    };
    walk.findings = findings(&walk, terms);
    Ok(walk)
}

fn count(of: usize) -> u32 {
    u32::try_from(of).unwrap_or(u32::MAX)
}

fn leg(
    one: &CourseJump,
    other: &CourseJump,
    horse: &HorseStride,
    terms: &CourseTerms,
    rules: &TrackRules,
) -> Result<Leg, TrackError> {
    let line = GroundLine { first: one.jump, second: other.jump };
    let track = track(&line, rules, terms.turn_radius, Metres::MIN)?;
    let natural = match &track {
        Some(track) => {
            let line = Line {
                distance: track.length,
                first: one.jump.fence.height.metres(),
                second: other.jump.fence.height.metres(),
            };
            Some(natural_count(&line, horse.normal_stride(), horse.profile_stride())?)
        }
        None => None,
    };
    let related = natural.is_some_and(|natural| natural.n <= MOST_RELATED);
    Ok(Leg { track, natural, related, combination: other.same_obstacle })
}

fn findings(walk: &CourseWalk, terms: &CourseTerms) -> Vec<CourseFinding> {
    let within = |value: Metres, (least, most): (Metres, Metres)| {
        value.get() >= least.get() - SLACK && value.get() <= most.get() + SLACK
    };
    let mut list = Vec::new();
    let combination = terms.rules.combination();
    for (i, leg) in walk.legs.iter().enumerate() {
        list.extend(match &leg.track {
            None => Some(CourseFinding::NotRidable(i)),
            Some(track) if leg.combination => {
                (!within(track.length, combination)).then_some(CourseFinding::CombinationGap(i))
            }
            Some(track) => {
                let near = track.length.get() <= combination.1.get() + SLACK;
                near.then_some(CourseFinding::NearAsCombination(i))
            }
        });
    }
    if !within(terms.start, terms.rules.start_line()) {
        list.push(CourseFinding::StartLine);
    }
    if !within(terms.finish, terms.rules.finish_line()) {
        list.push(CourseFinding::FinishLine);
    }
    if walk.length.is_some_and(|length| length.get() > terms.rules.longest(walk.obstacles).get() + SLACK) {
        list.push(CourseFinding::TooLong);
    }
    list
}
