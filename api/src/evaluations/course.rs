//! A course that is walked: its length, its time, and where it does not keep to the rule book.
use super::combinations;
use super::course_wire::{CourseFenceIn, CourseIn, CourseOut, LegOut, ToLine};
use super::judged::Asked;
use super::layout_wire::LayoutFindingOut;
use crate::exercises::layout::{Fence, Layout};
use crate::problem::FieldError;
use crate::wire::text::FenceLabel;
use stridewright_core::course::{CourseFinding, CourseJump, CourseTerms, CourseWalk, Leg, walk};
use stridewright_core::layout::Weight;
use stridewright_core::track::{TrackError, TrackRules};
use stridewright_core::units::{Metres, in_both_units};

/// Start and finish lie so far off where nothing is said: within both rule books.
const TO_LINE: Metres = Metres::nearest(15.0);

/// What of it does not fit the layout.
pub fn faults(wanted: &CourseIn, layout: &Layout, placed: bool) -> Vec<FieldError> {
    let mut errors = Vec::new();
    if !placed {
        errors.push(FieldError::new("/course", "invalid", "has a meaning only in an arena"));
    }
    for (i, part) in wanted.order.0.iter().enumerate() {
        let at = format!("/course/order/{i}/fence");
        match layout.fence(&part.fence) {
            None => errors.push(FieldError::new(at, "not_found", "names no fence of this layout")),
            Some(fence) if fence.is_pole() => {
                errors.push(FieldError::new(at, "invalid", "a ground pole is no jump of a course"));
            }
            Some(_) => {}
        }
    }
    errors
}

/// The course as it is walked.
pub fn walked(
    wanted: &CourseIn,
    asked: &Asked,
    rules: &TrackRules,
    turn_radius: Metres,
) -> Result<CourseOut, TrackError> {
    let parts: Vec<(&CourseFenceIn, &Fence)> =
        wanted.order.0.iter().filter_map(|part| Some((part, asked.layout.fence(&part.fence)?))).collect();
    let of = |fence: &Fence| fence.combination.as_ref().map(|part| part.label.clone());
    let mut jumps = Vec::with_capacity(parts.len());
    let mut before: Option<&Fence> = None;
    for (part, fence) in &parts {
        let Some(laid) = fence.laid() else { continue };
        let placed = if part.against == Some(true) { laid.placed.turned() } else { laid.placed };
        let same_obstacle = before.is_some_and(|before| of(before).is_some() && of(before) == of(fence));
        jumps.push(CourseJump { jump: placed.square(), same_obstacle });
        before = Some(fence);
    }
    let terms = CourseTerms {
        rules: wanted.rules,
        speed: wanted.speed_m_per_min.whole(),
        start: wanted.start_m.map_or(TO_LINE, ToLine::whole),
        finish: wanted.finish_m.map_or(TO_LINE, ToLine::whole),
        turn_radius,
    };
    let walked = walk(&jumps, &asked.stride.horse, &terms, rules)?;
    let labels: Vec<&FenceLabel> = parts.iter().map(|(part, _)| &part.fence).collect();
    Ok(shown(&walked, &terms, &labels))
}

fn shown(walked: &CourseWalk, terms: &CourseTerms, labels: &[&FenceLabel]) -> CourseOut {
    let ends = |i: usize| labels.get(i).zip(labels.get(i + 1)).map(|(from, to)| ((*from).clone(), (*to).clone()));
    let legs = walked.legs.iter().enumerate().filter_map(|(i, leg)| Some(shown_leg(leg, ends(i)?)));
    let findings = walked.findings.iter().map(|found| {
        let leg = |i: usize| walked.legs.get(i).and_then(|leg| leg.track.as_ref()).map(|track| track.length);
        finding(*found, terms, walked, ends, leg)
    });
    CourseOut {
        rules: terms.rules,
        speed_m_per_min: terms.speed,
        length_m: walked.length,
        time_allowed_s: walked.time_allowed,
        time_limit_s: walked.time_limit,
        obstacles: walked.obstacles,
        efforts: walked.efforts,
        legs: legs.collect(),
        findings: findings.collect(),
    }
}

fn shown_leg(leg: &Leg, (from, to): (FenceLabel, FenceLabel)) -> LegOut {
    let track = leg.track.as_ref();
    LegOut {
        from,
        to,
        length_m: track.map(|track| track.length),
        length_text: track.map(|track| track.length.into()),
        turn_deg: track.map(|track| track.turn),
        real_count: leg.natural.map(|natural| natural.real),
        natural_count: leg.natural.map(|natural| natural.n),
        related: leg.related,
        combination: leg.combination,
    }
}

fn finding(
    found: CourseFinding,
    terms: &CourseTerms,
    walked: &CourseWalk,
    ends: impl Fn(usize) -> Option<(FenceLabel, FenceLabel)>,
    leg: impl Fn(usize) -> Option<Metres>,
) -> LayoutFindingOut {
    let between = |(least, most): (Metres, Metres)| format!("{} to {}", in_both_units(least), in_both_units(most));
    let gap = |i| in_both_units(leg(i).unwrap_or(Metres::MIN));
    let combination = || combinations::span(terms.rules, in_both_units);
    let (code, weight, at, (words, cure)) = match found {
        CourseFinding::NotRidable(i) => (
            "not_ridable",
            Weight::Impossible,
            Some(i),
            (
                "No track leads on from here: the fences stand too close for the turn.".to_owned(),
                "Set them further apart or straighter, or ride another fence between them.".to_owned(),
            ),
        ),
        CourseFinding::CombinationGap(i) => {
            ("combination_gap", Weight::Advice, Some(i), combinations::gap_off(&gap(i), &combination()))
        }
        CourseFinding::NearAsCombination(i) => {
            ("near_as_combination", Weight::Advice, Some(i), combinations::as_near(&gap(i), &combination()))
        }
        CourseFinding::StartLine => (
            "start_line",
            Weight::Advice,
            None,
            (
                format!("The start lies {} before the first fence.", in_both_units(terms.start)),
                format!("The rule book asks for {}.", between(terms.rules.start_line())),
            ),
        ),
        CourseFinding::FinishLine => (
            "finish_line",
            Weight::Advice,
            None,
            (
                format!("The finish lies {} behind the last fence.", in_both_units(terms.finish)),
                format!("The rule book asks for {}.", between(terms.rules.finish_line())),
            ),
        ),
        CourseFinding::TooLong => (
            "too_long",
            Weight::Advice,
            None,
            (
                format!(
                    "The course is longer than {} for {} obstacles.",
                    in_both_units(terms.rules.longest(walked.obstacles)),
                    walked.obstacles
                ),
                "Shorten the ways between the fences, or add obstacles.".to_owned(),
            ),
        ),
    };
    let fences = at.and_then(ends).map(|(from, to)| vec![from, to]).unwrap_or_default();
    LayoutFindingOut { code, weight, line: None, fences, missing_m: None, missing_text: None, words, cure }
}
