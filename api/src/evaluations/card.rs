//! The stride card of a line.
use super::strides::{Stride, refused};
use super::wire::{BetweenOut, CountOut, GateOut, PaceMarkOut, StepsOut, StrideCardOut};
use crate::problem::Problem;
use stridewright_core::stride::{
    BetweenCounts, CountCard, HUMAN_STEP, Line, Pair as Level, Places, StrideError, UNCALIBRATED_SPREAD,
    between_counts, natural_count, steps_on_foot, stride_card,
};
use stridewright_core::units::Metres;

/// What a line is judged by, beside the horse.
pub struct Circumstances {
    pub level: Option<Level>,
    pub places: Places,
    pub step: Option<Metres>,
}

/// Puts the card together.
pub fn card(line: &Line, stride: &Stride, around: &Circumstances) -> Result<StrideCardOut, Problem> {
    let step = around.step.unwrap_or(HUMAN_STEP);
    reckoned(line, stride, around, step).map_err(|e| refused(&e, ""))
}

fn reckoned(line: &Line, stride: &Stride, around: &Circumstances, step: Metres) -> Result<StrideCardOut, StrideError> {
    let horse = &stride.horse;
    let (normal, profile) = (horse.normal_stride(), horse.profile_stride());
    let natural = natural_count(line, normal, profile)?;
    let cards = stride_card(line, horse, around.places)?;
    let walked = steps_on_foot(line.distance, step)?;
    let level = around.level.or(stride.level).unwrap_or_default();
    Ok(StrideCardOut {
        distance_m: line.distance,
        distance_text: line.distance.into(),
        allowance_m: line.allowance(profile)?,
        profile: stride.profile,
        normal_stride_m: normal,
        shortest_m: horse.range().shortest(),
        longest_m: horse.range().longest(),
        real_count: natural.real,
        natural_count: natural.n,
        counts: cards.into_iter().map(|card| count(card, horse.is_timed())).collect(),
        between_counts: between(between_counts(line, normal, profile, level)?),
        on_foot: StepsOut { step_m: step, whole: walked.whole, left_over_m: walked.left_over },
    })
}

/// One count as its readers see it.
pub fn count(card: CountCard, timed: bool) -> CountOut {
    let (mark, gate) = (card.pace_mark, card.gate);
    CountOut {
        count: card.n,
        natural: card.natural,
        unrelated: card.unrelated,
        stride_m: card.stride,
        stride_text: card.stride.into(),
        ratio: card.effort.ratio,
        percent: card.effort.percent,
        band: card.effort.band.into(),
        speed_m_per_min: card.canter.pace_shown(),
        speed_off_percent: (!timed).then_some(UNCALIBRATED_SPREAD),
        strides_per_second: card.canter.frequency,
        flags: card.flags,
        pace_mark: PaceMarkOut {
            mark_m: mark.mark,
            mark_text: mark.mark.into(),
            latest_m: mark.latest,
            latest_text: mark.latest.into(),
            fits: mark.fits,
            strides_available: mark.strides_available,
        },
        count_in_gate: GateOut {
            between_markers_m: gate.between_markers,
            between_markers_text: gate.between_markers.into(),
            between_poles_m: gate.between_poles,
            between_poles_text: gate.between_poles.into(),
            nearest_m: gate.nearest,
            fits: gate.fits,
        },
    }
}

/// How the distance meets a whole count, as its readers see it.
pub fn between(found: BetweenCounts) -> BetweenOut {
    BetweenOut {
        off: found.off,
        finding: found.finding.map(|(finding, _)| finding),
        weight: found.finding.map(|(_, weight)| weight),
        shorter_m: found.shorter,
        shorter_text: found.shorter.map(Into::into),
        longer_m: found.longer,
        longer_text: found.longer.map(Into::into),
    }
}
