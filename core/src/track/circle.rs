//! A full circle ridden between two fences of a straight line.
use super::error::{TrackError, positive};
use super::ridable::TrackRules;
use crate::stride::{HorseStride, LeanLimits, Line, SLACK, canter, least_radius, metres};
use crate::units::{Degrees, Metres};
use std::f64::consts::PI;

/// How far outside the cones that mark it a circle is ridden: a choice of ours.
const OUTSIDE_CONES: f64 = 0.8;
/// Nobody rides further than this in one canter between two fences.
const MOST_STRIDES: f64 = 10_000.0;

/// A count on a line with a circle in it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct CircleCount {
    /// Strides between the fences, those on the circle among them.
    pub n: u32,
    /// The mean stride.
    pub stride: Metres,
    /// The horse leans further than is advised.
    pub lean_advice: bool,
}

/// A circle between two fences.
#[derive(Debug, Clone, PartialEq)]
pub struct CircleBetween {
    /// The line and the circle together.
    pub total: Metres,
    /// From where to where on the line, measured from the first fence, the circle may touch it; `None` where there is
    /// no room for one.
    pub touch: Option<(Metres, Metres)>,
    /// The counts, ascending; not a related distance, so that there is no upper bound and no pace mark.
    pub counts: Vec<CircleCount>,
}

/// The length of a circle. Competition dressage names circles by this diameter.
///
/// ```
/// use stridewright_core::{track::circle_length, units::Metres};
/// assert!((circle_length(Metres::new(20.0)?)?.get() - 62.83).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `diameter` of 0, and a length beyond the range of [`Metres`].
pub fn circle_length(diameter: Metres) -> Result<Metres, TrackError> {
    Ok(metres("length", PI * positive("diameter", diameter)?)?)
}

/// The diameter that is ridden around cones: 0.8 m outside of them.
///
/// # Errors
/// Refuses cones on one spot.
pub fn ridden_diameter(cones: Metres) -> Result<Metres, TrackError> {
    Ok(metres("diameter", positive("cones", cones)? + 2.0 * OUTSIDE_CONES)?)
}

/// How much longer a track gets that is ridden so far outside through a turn.
///
/// # Errors
/// Where it is beyond the range of [`Metres`].
pub fn moved_out(turn: Degrees, by: Metres) -> Result<Metres, TrackError> {
    Ok(metres("extra", turn.get().abs().to_radians() * by.get())?)
}

/// The counts that a horse can be asked for with a circle of that ridden diameter hung on the line.
///
/// ```
/// use stridewright_core::stride::{HorseStride, LeanLimits, Line, Profile, Schooling};
/// use stridewright_core::track::{TrackRules, circle_between};
/// let horse = HorseStride::unmeasured(Profile::Horse)?;
/// let line = Line { distance: "22 m".parse()?, first: "0.9 m".parse()?, second: "0.9 m".parse()? };
/// let (rules, floor) = (TrackRules::usual(horse.profile_stride()), Schooling::Usual.radius_floor());
/// let circle = circle_between(&line, "12 m".parse()?, &rules, &horse, LeanLimits::USUAL, floor)?;
/// assert!(circle.touch.is_some() && circle.counts.iter().any(|count| count.n == 19));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a diameter or stride of 0, a lean that is not between 0 and 90 degrees, and lengths that nobody rides.
pub fn circle_between(
    line: &Line,
    diameter: Metres,
    rules: &TrackRules,
    horse: &HorseStride,
    lean: LeanLimits,
    radius_floor: Metres,
) -> Result<CircleBetween, TrackError> {
    let (round, profile) = (circle_length(diameter)?.get(), horse.profile_stride());
    let before = Line { second: line.first, ..*line }.allowance(profile)?.get() / 2.0;
    let after = Line { first: line.second, ..*line }.allowance(profile)?.get() / 2.0;
    let total = metres("total", line.distance.get() + round)?;
    let first = before + rules.landing_straight.get();
    let last = line.distance.get() - after - rules.takeoff_straight.get();
    let touch = (first <= last + SLACK).then(|| (Metres::nearest(first), Metres::nearest(last)));
    let mut counts = Vec::new();
    let rest = total.get() - before - after;
    let (shortest, longest) = (horse.range().shortest().get(), horse.range().longest().get());
    if rest / shortest > MOST_STRIDES {
        return Err(TrackError::TooFar);
    }
    if touch.is_some() && rest > SLACK {
        let mut n = (rest / longest - SLACK).ceil().max(1.0);
        while n <= rest / shortest + SLACK {
            counts.extend(count(n, rest / n, diameter, horse, lean, radius_floor)?);
            n += 1.0;
        }
    }
    Ok(CircleBetween { total, touch, counts })
}

fn count(
    n: f64,
    stride: f64,
    diameter: Metres,
    horse: &HorseStride,
    lean: LeanLimits,
    floor: Metres,
) -> Result<Option<CircleCount>, TrackError> {
    let stride = metres("stride", stride)?;
    let speed = canter(stride, horse.normal_stride(), horse.calibration())?.speed;
    let tighter = |most: Degrees| {
        Ok::<bool, TrackError>(diameter.get() / 2.0 < least_radius(speed, most, floor)?.radius.get() - SLACK)
    };
    if tighter(lean.most)? {
        return Ok(None);
    }
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "a whole number up to ten thousand")]
    let n = n as u32;
    Ok(Some(CircleCount { n, stride, lean_advice: tighter(lean.advice)? }))
}
