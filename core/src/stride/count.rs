//! Counts of strides on a line: the natural one, those that can be asked for, and distances between two.
use super::SLACK;
use super::error::{StrideError, metres, positive};
use super::horse::StrideRange;
use super::line::Line;
use crate::units::{Metres, Percent, Strides};

/// Above this count two fences are called unrelated: charts of related distances stop here.
pub const MOST_RELATED: u32 = 8;
/// Nobody counts further than this; higher counts are not offered.
pub const MOST_COUNTED: u32 = 10;

/// How a line rides when nothing is asked.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NaturalCount {
    /// Strides of the normal length that the line holds, a fraction; negative where it is shorter than landing and
    /// take-off.
    pub real: Strides,
    /// The nearest whole count, halves up; 0 is a bounce.
    pub n: u32,
    /// The mean stride in that count; `None` for a bounce.
    pub stride: Option<Metres>,
    /// That stride against the normal one.
    pub percent: Option<Percent>,
}

/// The count that the line rides in at the horse's normal stride.
///
/// ```
/// use stridewright_core::{stride::{Line, Profile, natural_count}, units::Metres};
/// let (twelve, metre) = (Profile::Horse.design_stride(), Metres::new(1.0)?);
/// let line = Line { distance: "84 ft".parse()?, first: metre, second: metre };
/// assert_eq!(natural_count(&line, twelve, twelve)?.n, 6);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `normal_stride` or `profile_stride` of 0, and counts beyond the range of [`Strides`].
pub fn natural_count(line: &Line, normal_stride: Metres, profile_stride: Metres) -> Result<NaturalCount, StrideError> {
    let normal = positive("normal_stride", normal_stride)?;
    let rest = line.rest(positive("profile_stride", profile_stride)?);
    let real = Strides::new(rest / normal).map_err(StrideError::result("real"))?;
    let n = if rest <= SLACK { 0 } else { whole(real.get() + 0.5 + SLACK) };
    let (mut stride, mut percent) = (None, None);
    if n > 0 {
        let length = rest / f64::from(n);
        stride = Some(metres("stride", length)?);
        percent = Some(percent_of(length, normal)?);
    }
    Ok(NaturalCount { real, n, stride, percent })
}

/// The whole part of a count; below 0 there is none.
#[allow(
    clippy::cast_possible_truncation,
    clippy::cast_sign_loss,
    reason = "the cast saturates at 0 and above the range of counts"
)]
pub(super) fn whole(count: f64) -> u32 {
    count.floor() as u32
}

pub(super) fn percent_of(length: f64, normal: f64) -> Result<Percent, StrideError> {
    Percent::new(100.0 * (length / normal - 1.0)).map_err(StrideError::result("percent"))
}

/// A count that can be asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ask {
    /// Strides between the fences.
    pub n: u32,
    /// More than [`MOST_RELATED`]: the fences need not ride in a whole number.
    pub unrelated: bool,
}

impl Ask {
    pub(super) const fn of(n: u32) -> Self {
        Self { n, unrelated: n > MOST_RELATED }
    }
}

/// The counts, 1 to [`MOST_COUNTED`], whose stride lies within the range; ascending.
///
/// # Errors
/// Refuses a `profile_stride` of 0.
pub fn asks(line: &Line, range: StrideRange, profile_stride: Metres) -> Result<Vec<Ask>, StrideError> {
    let rest = line.rest(positive("profile_stride", profile_stride)?);
    Ok(counts_in_range(rest, range).map(Ask::of).collect())
}

/// The counts that divide `rest` into strides within the range.
pub(super) fn counts_in_range(rest: f64, range: StrideRange) -> std::ops::RangeInclusive<u32> {
    let least = whole((rest / range.longest().get() - SLACK).ceil()).max(1);
    let most = if rest <= SLACK { 0 } else { whole(rest / range.shortest().get() + SLACK) };
    least..=most.min(MOST_COUNTED)
}

/// What a trainer thinks of the pair that is to ride the line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Pair {
    /// A novice rider or a green horse.
    Novice,
    /// Neither.
    #[default]
    Usual,
    /// Both know their work.
    Schooled,
}

/// How much weight a finding has.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum FindingWeight {
    /// Said, and no more.
    Advice,
    /// The trainer must say yes.
    Stop,
    /// Not to be ridden.
    Impossible,
}

/// What is wrong with a distance.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Finding {
    /// More than a quarter of a stride off a whole count.
    BetweenCounts,
    /// Too long for a bounce and too short for one stride.
    NeitherBounceNorOne,
}

/// How well a distance meets a whole count at the horse's own stride.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct BetweenCounts {
    /// Strides of the normal length that the line holds.
    pub real: Strides,
    /// The nearest whole count.
    pub n: u32,
    /// How far apart those two are.
    pub off: Strides,
    /// What is wrong, and how much it weighs.
    pub finding: Option<(Finding, FindingWeight)>,
    /// With a finding, the next shorter distance that rides true, where there is one.
    pub shorter: Option<Metres>,
    /// With a finding, the next longer distance that rides true.
    pub longer: Option<Metres>,
}

/// Judges a distance of fences against whole counts at the horse's own stride.
///
/// A quarter of a stride either way is no finding, nor is anything above [`MOST_RELATED`]. Rows of canter or trot
/// poles are set by other rules and not judged here.
///
/// # Errors
/// As [`natural_count`].
pub fn between_counts(
    line: &Line,
    normal_stride: Metres,
    profile_stride: Metres,
    pair: Pair,
) -> Result<BetweenCounts, StrideError> {
    let NaturalCount { real, n, .. } = natural_count(line, normal_stride, profile_stride)?;
    let r = real.get();
    let off = (r - f64::from(n)).abs();
    let poles = line.first.get() <= 0.0 && line.second.get() <= 0.0;
    let finding = if n > MOST_RELATED {
        None
    } else if r > 0.25 + SLACK && r < 0.75 - SLACK {
        Some((Finding::NeitherBounceNorOne, if poles { FindingWeight::Advice } else { FindingWeight::Impossible }))
    } else if off > 0.25 + SLACK {
        Some((Finding::BetweenCounts, if pair == Pair::Novice { FindingWeight::Stop } else { FindingWeight::Advice }))
    } else {
        None
    };
    let (mut shorter, mut longer) = (None, None);
    if finding.is_some() {
        let (normal, room) = (normal_stride.get(), line.room(profile_stride.get()));
        let below = (r + SLACK).floor();
        if below >= 0.0 {
            shorter = Some(metres("shorter", room + below * normal)?);
        }
        longer = Some(metres("longer", room + (below + 1.0).max(0.0) * normal)?);
    }
    let off = Strides::new(off).map_err(StrideError::result("off"))?;
    Ok(BetweenCounts { real, n, off, finding, shorter, longer })
}
