//! A straight line of two fences: its distance, and the stride that a count asks for.
use super::SLACK;
use super::allowance::room_in_strides;
use super::error::{StrideError, metres, positive};
use crate::units::{Metres, Probability};

/// Two fences in a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Line {
    /// Inside to inside: from the back of the first fence to the front of the second.
    pub distance: Metres,
    /// Height of the first fence; 0 is a pole on the ground.
    pub first: Metres,
    /// Height of the second fence.
    pub second: Metres,
}

impl Line {
    /// Landing and take-off room of the two fences together.
    ///
    /// # Errors
    /// Refuses a `profile_stride` of 0.
    pub fn allowance(&self, profile_stride: Metres) -> Result<Metres, StrideError> {
        metres("allowance", self.room(positive("profile_stride", profile_stride)?))
    }

    /// What is left to be ridden in strides; negative where there is no room to land and take off.
    pub(super) fn rest(&self, profile_stride: f64) -> f64 {
        self.distance.get()
            - profile_stride * room_in_strides(self.first.get())
            - profile_stride * room_in_strides(self.second.get())
    }

    pub(super) fn room(&self, profile_stride: f64) -> f64 {
        profile_stride * room_in_strides(self.first.get()) + profile_stride * room_in_strides(self.second.get())
    }

    /// The room of both fences in design strides.
    fn room_in_strides(&self) -> f64 {
        room_in_strides(self.first.get()) + room_in_strides(self.second.get())
    }
}

/// The distance that rides in `n` strides of `stride` between fences of two heights.
///
/// ```
/// use stridewright_core::{stride::{Profile, distance}, units::Metres};
/// let (twelve, metre) = (Profile::Horse.design_stride(), Metres::new(1.0)?);
/// let six = distance(6, twelve, twelve, metre, metre)?;
/// assert!((six.get() - 25.6032).abs() < 1e-9); // 84 ft
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `stride` or `profile_stride` of 0, and a distance beyond the range of [`Metres`].
pub fn distance(
    n: u32,
    stride: Metres,
    profile_stride: Metres,
    first: Metres,
    second: Metres,
) -> Result<Metres, StrideError> {
    let (stride, profile) = (positive("stride", stride)?, positive("profile_stride", profile_stride)?);
    let line = Line { distance: Metres::MIN, first, second };
    metres("distance", line.room(profile) + f64::from(n) * stride)
}

/// The mean stride that `n` strides on the line ask for; `None` for a bounce (`n` = 0) and where no
/// length is left.
///
/// `elasticity` is the share of the landing and take-off room that follows the ridden stride: 0, fixed
/// room, is the rule everywhere else; 1 shares the whole line out, `distance / (n + 1)` for full fences.
/// The strides inside a line are not equal, so this is a mean.
///
/// ```
/// use stridewright_core::{stride::{Line, Profile, required_stride}, units::{Metres, Probability}};
/// let metre = Metres::new(1.0)?;
/// let line = Line { distance: "66 ft".parse()?, first: metre, second: metre };
/// let stride = required_stride(&line, 5, Profile::Horse.design_stride(), Probability::MIN)?;
/// assert!((stride.unwrap().get() - 10.8 * 0.3048).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `profile_stride` of 0.
pub fn required_stride(
    line: &Line,
    n: u32,
    profile_stride: Metres,
    elasticity: Probability,
) -> Result<Option<Metres>, StrideError> {
    let profile = positive("profile_stride", profile_stride)?;
    let (room, share) = (line.room_in_strides(), elasticity.get());
    let left = line.distance.get() - (1.0 - share) * room * profile;
    if n == 0 || left <= SLACK {
        return Ok(None);
    }
    metres("stride", left / (f64::from(n) + share * room)).map(Some)
}
