//! The room that one fence takes for landing or for taking off.
use super::error::{StrideError, metres, positive};
use crate::units::Metres;

/// Height in metres, room in design strides; straight lines between, constant above the last.
const GROUND: (f64, f64) = (0.0, 0.25);
const SMALL: (f64, f64) = (0.45, 0.375);
const FULL: (f64, f64) = (1.0, 0.5);

/// The room in design strides.
pub(crate) fn room_in_strides(height: f64) -> f64 {
    let between = |low: (f64, f64), high: (f64, f64)| low.1 + (high.1 - low.1) * (height - low.0) / (high.0 - low.0);
    if height >= FULL.0 {
        FULL.1
    } else if height >= SMALL.0 {
        between(SMALL, FULL)
    } else {
        between(GROUND, SMALL)
    }
}

/// The room on one side of a fence of `height`, for landing or for taking off alike.
///
/// In human steps it is 1, 1.5 and 2 a side for poles on the ground, very small fences and fences from
/// about a metre ("Debunking distances", an eventing trainer's page); 0.45 m for "very small" is a choice
/// of ours. It grows with the design stride, as every cell of the US Equestrian charts does, and not
/// with the horse's own.
///
/// ```
/// use stridewright_core::{stride::{Profile, allowance}, units::Metres};
/// let room = allowance(Metres::new(1.10)?, Profile::Horse.design_stride())?;
/// assert!((room.get() - 1.8288).abs() < 1e-9); // 6 ft
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `profile_stride` of 0.
pub fn allowance(height: Metres, profile_stride: Metres) -> Result<Metres, StrideError> {
    let stride = positive("profile_stride", profile_stride)?;
    metres("allowance", stride * room_in_strides(height.get()))
}
