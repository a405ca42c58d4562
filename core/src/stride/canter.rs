//! Stride and speed of the canter.
//!
//! Riders lengthen the stride and hardly change its rate. Least squares of rate on length over six
//! published means: four dressage canters (Clayton 1994, Equine Veterinary Journal Supplement 17), elite show
//! jumpers warming up (Tranquille et al. 2017, Comparative Exercise Physiology) and the extended canter of the
//! finalists of the 1988 Games.
use super::SLACK;
use super::error::{StrideError, metres, positive};
use crate::units::{Factor, Hertz, Metres, MetresPerMinute, MetresPerSecond, Percent, Seconds};

const RATE_AT_REST: f64 = 1.566;
const RATE_PER_METRE: f64 = 0.035;
/// The stride, in metres, for which the rate was fitted; other horses are scaled to it.
const REFERENCE_STRIDE: f64 = 3.6576;
/// A timed canter that lies further off than this was not timed well.
const CALIBRATION: (f64, f64) = (0.85, 1.15);

/// How far off a speed may be for a horse that has not been timed.
pub const UNCALIBRATED_SPREAD: Percent = Percent::nearest(8.0);

/// A canter at one length of stride.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Canter {
    /// Strides a second.
    pub frequency: Hertz,
    /// Speed over the ground.
    pub speed: MetresPerSecond,
    /// The same as riders speak of it.
    pub pace: MetresPerMinute,
}

impl Canter {
    /// The pace as it is shown, to the nearest 5 m/min; until the horse is timed it goes with
    /// [`UNCALIBRATED_SPREAD`]. Rule speeds are means over a whole course and compare only roughly.
    #[must_use]
    pub fn pace_shown(&self) -> MetresPerMinute {
        MetresPerMinute::nearest((self.pace.get() / 5.0).round() * 5.0)
    }
}

/// The rate in strides a second, before calibration.
fn rate(length: f64, normal: f64) -> f64 {
    RATE_AT_REST + RATE_PER_METRE * length * REFERENCE_STRIDE / normal
}

fn factor(calibration: Factor) -> Result<f64, StrideError> {
    if calibration.get() > 0.0 { Ok(calibration.get()) } else { Err(StrideError::NotPositive("calibration")) }
}

/// The canter in which a horse of that normal stride rides `stride`.
///
/// ```
/// use stridewright_core::{stride::{Profile, canter}, units::{Factor, Metres}};
/// let twelve = Profile::Horse.design_stride();
/// let canter = canter(twelve, twelve, Factor::new(1.0)?)?;
/// assert_eq!(canter.pace_shown().get(), 370.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a stride or calibration of 0, and speeds beyond the ranges of the answer's quantities.
pub fn canter(stride: Metres, normal_stride: Metres, calibration: Factor) -> Result<Canter, StrideError> {
    let (length, normal) = (positive("stride", stride)?, positive("normal_stride", normal_stride)?);
    let frequency = factor(calibration)? * rate(length, normal);
    let speed = MetresPerSecond::new(length * frequency).map_err(StrideError::result("speed"))?;
    Ok(Canter {
        frequency: Hertz::new(frequency).map_err(StrideError::result("frequency"))?,
        speed,
        pace: speed.per_minute(),
    })
}

/// The stride at which a horse of that normal stride goes `speed`: the inverse of [`canter`].
///
/// # Errors
/// Refuses a normal stride or calibration of 0.
pub fn stride_from_speed(
    speed: MetresPerSecond,
    normal_stride: Metres,
    calibration: Factor,
) -> Result<Metres, StrideError> {
    let slope = RATE_PER_METRE * REFERENCE_STRIDE / positive("normal_stride", normal_stride)?;
    let wanted = speed.get() / factor(calibration)?;
    // the root without a difference of near equals
    let root = (RATE_AT_REST * RATE_AT_REST + 4.0 * slope * wanted).sqrt();
    metres("stride", 2.0 * wanted / (RATE_AT_REST + root))
}

/// How much quicker or slower this horse strides than the model, from a count of strides against the watch:
/// 20 strides on the flat, or a line from landing to take-off. Kept within 0.85 to 1.15.
///
/// `stride` is the mean stride meanwhile; on the flat the normal stride will do, for the rate hardly depends on it.
///
/// # Errors
/// Refuses a count, a time or a stride of 0.
pub fn calibration(strides: u32, time: Seconds, stride: Metres, normal_stride: Metres) -> Result<Factor, StrideError> {
    let (length, normal) = (positive("stride", stride)?, positive("normal_stride", normal_stride)?);
    if strides == 0 {
        return Err(StrideError::NotPositive("strides"));
    }
    if time.get() <= 0.0 {
        return Err(StrideError::NotPositive("time"));
    }
    let measured = f64::from(strides) / time.get();
    let (least, most) = CALIBRATION;
    Factor::new((measured / rate(length, normal)).clamp(least, most)).map_err(StrideError::result("calibration"))
}

/// What is out of the ordinary about a canter; the numbers are given all the same.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema), schema(as = CanterFlag))]
#[serde(rename_all = "snake_case")]
pub enum Flag {
    /// Shorter than the canters that were measured: under 2.0 m for a horse of 12 ft.
    StrideShort,
    /// Longer than those: over 4.3 m for a horse of 12 ft.
    StrideLong,
    /// Faster than a canter, over 7.5 m/s.
    Fast,
}

/// The flags of a stride at a speed, in the order of [`Flag`].
///
/// # Errors
/// Refuses a `stride` or `normal_stride` of 0.
pub fn flags(stride: Metres, normal_stride: Metres, speed: MetresPerSecond) -> Result<Vec<Flag>, StrideError> {
    let (length, normal) = (positive("stride", stride)?, positive("normal_stride", normal_stride)?);
    let size = normal / REFERENCE_STRIDE;
    let all = [
        (Flag::StrideShort, length < 2.0 * size - SLACK),
        (Flag::StrideLong, length > 4.3 * size + SLACK),
        (Flag::Fast, speed.get() > 7.5 + SLACK),
    ];
    Ok(all.into_iter().filter_map(|(flag, raised)| raised.then_some(flag)).collect())
}
