//! The normal count over a longer distance: how far the second fence is rolled out, and in what steps.
use super::choice::{Candidate, Choice, Question};
use super::seen::Seen;
use super::{Line, Side};
use crate::units::Metres;

/// Slack in comparing distances, m, and in rounding them, in steps.
const SLACK: f64 = 1e-9;
const HALVINGS: usize = 100;

/// A distance to which the fence may be rolled out.
pub(super) struct RollOut {
    pub to: f64,
    /// The stretch met twice, or that of the line itself.
    base: f64,
}

/// `None` where the line is not to be rolled out, or not by enough to be worth it.
pub(super) fn roll_out(question: &Question<'_>, seen: &Seen, choice: &Choice, pick: Candidate) -> Option<RollOut> {
    let Candidate { count, x, achieved } = choice.natural;
    let wanted = match question.line.side {
        Side::Short => false,
        Side::Long => true,
        Side::Either => seen.met_today(pick.x),
    };
    let fewer = choice.remaining.iter().any(|c| c.count < count && choice.passes(question, c));
    if !wanted || !achieved || fewer || !choice.passes(question, &choice.natural) {
        return None;
    }
    let settings = question.settings;
    let base = seen.second_longest_met().map_or(x, |second| second.max(x));
    let from = question.line.distance.get();
    let to = (question.distance_at(base, count) + settings.roll_out_m.get())
        .min(from + f64::from(settings.rungs) * settings.rung_m.get())
        .min(question.distance_at(settings.ask_x_max.get(), count));
    let to = likely_enough(question, &choice.natural, to)?;
    (to >= from + settings.roll_least_m.get() - SLACK).then_some(RollOut { to, base })
}

/// The distance, or as much of it as the chance of new ground allows.
fn likely_enough(question: &Question<'_>, natural: &Candidate, to: f64) -> Option<f64> {
    let passes = |x: f64| question.range.lower(x) >= question.settings.new_success.get();
    let (mut near, mut far) = (natural.x, question.x_at(to, natural.count));
    if passes(far) {
        return Some(to);
    }
    if !passes(near) {
        return None;
    }
    for _ in 0..HALVINGS {
        let middle = 0.5 * (near + far);
        if passes(middle) {
            near = middle;
        } else {
            far = middle;
        }
    }
    Some(question.distance_at(near, natural.count))
}

/// Where the fence stands, go by go: even steps, the last at the full distance.
pub(super) fn rungs(question: &Question<'_>, rolled: &RollOut) -> Vec<Metres> {
    let (from, settings) = (question.line.distance.get(), question.settings);
    let further = rolled.to - from;
    let most = settings.rungs.max(1);
    let steps = (1..=most).find(|k| further / f64::from(*k) <= settings.rung_m.get() + SLACK).unwrap_or(most);
    (1..=steps)
        .map(|i| {
            let at = from + f64::from(i) * further / f64::from(steps);
            let short_of_it = rounded(at, settings.rung_round_m.get(), f64::round);
            Metres::nearest(if i == steps { rolled.to } else { short_of_it })
        })
        .collect()
}

/// How long the line may be at the start of the next session: as long as was met twice, and still of the
/// same normal count.
pub(super) fn next_line(question: &Question<'_>, natural: u8, rolled: &RollOut) -> Option<Metres> {
    let (line, settings): (&Line, _) = (question.line, question.settings);
    let half_stride = (f64::from(natural) + 1.0).ln() - f64::from(natural).ln();
    let x = rolled.base.min(0.5 * half_stride - settings.half_stride_x.get());
    let longest = rolled.to.min(question.distance_at(x, natural));
    let at = rounded(longest, settings.rung_round_m.get(), |steps| (steps + SLACK).floor());
    (at >= line.distance.get() + settings.roll_least_m.get() - SLACK).then(|| Metres::nearest(at))
}

fn rounded(value: f64, step: f64, round: impl Fn(f64) -> f64) -> f64 {
    if step > 0.0 { round(value / step) * step } else { value }
}
