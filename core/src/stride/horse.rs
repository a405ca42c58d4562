//! What is known of a horse's stride.
use super::error::{StrideError, metres, positive};
use super::profile::Profile;
use crate::units::{Factor, Metres};

/// The strides a horse or a pair can be asked for: the ends of its adjustable range.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StrideRange {
    shortest: Metres,
    longest: Metres,
}

impl StrideRange {
    /// The two ends.
    ///
    /// # Errors
    /// Refuses a `stride_min` of 0 or above `stride_max`.
    pub fn new(shortest: Metres, longest: Metres) -> Result<Self, StrideError> {
        if positive("stride_min", shortest)? > longest.get() {
            return Err(StrideError::RangeReversed);
        }
        Ok(Self { shortest, longest })
    }

    /// What is assumed of a horse that nobody has logged yet: a quarter shorter and a tenth longer on the
    /// log scale, 0.7788 and 1.1052 times its normal stride.
    ///
    /// # Errors
    /// Refuses a `normal_stride` of 0 or beyond the range of [`Metres`].
    pub fn assumed(normal_stride: Metres) -> Result<Self, StrideError> {
        let normal = positive("normal_stride", normal_stride)?;
        Self::new(metres("stride_min", normal * (-0.25f64).exp())?, metres("stride_max", normal * 0.10f64.exp())?)
    }

    /// The short end.
    #[must_use]
    pub const fn shortest(&self) -> Metres {
        self.shortest
    }

    /// The long end.
    #[must_use]
    pub const fn longest(&self) -> Metres {
        self.longest
    }
}

/// One horse's stride on one day.
///
/// ```
/// use stridewright_core::{stride::{HorseStride, Profile}, units::Metres};
/// let horse = HorseStride::unmeasured(Profile::MediumPony)?;
/// assert_eq!(horse.normal_stride(), Profile::MediumPony.design_stride());
/// # Ok::<(), stridewright_core::stride::StrideError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct HorseStride {
    profile_stride: Metres,
    normal_stride: Metres,
    range: StrideRange,
    calibration: Option<Factor>,
}

impl HorseStride {
    /// The profile's design stride, the horse's normal stride (the latest dated on or before the day), its
    /// range, and its calibration of speed where its canter has been timed.
    ///
    /// # Errors
    /// Refuses a stride or calibration of 0.
    pub fn new(
        profile_stride: Metres,
        normal_stride: Metres,
        range: StrideRange,
        calibration: Option<Factor>,
    ) -> Result<Self, StrideError> {
        positive("profile_stride", profile_stride)?;
        positive("normal_stride", normal_stride)?;
        if calibration.is_some_and(|factor| factor.get() <= 0.0) {
            return Err(StrideError::NotPositive("calibration"));
        }
        Ok(Self { profile_stride, normal_stride, range, calibration })
    }

    /// A horse of which only the profile is known.
    ///
    /// # Errors
    /// None for the built-in profiles.
    pub fn unmeasured(profile: Profile) -> Result<Self, StrideError> {
        let stride = profile.design_stride();
        Self::new(stride, stride, StrideRange::assumed(stride)?, None)
    }

    /// The profile's design stride.
    #[must_use]
    pub const fn profile_stride(&self) -> Metres {
        self.profile_stride
    }

    /// The horse's own mean stride in a line it is not asked to change.
    #[must_use]
    pub const fn normal_stride(&self) -> Metres {
        self.normal_stride
    }

    /// Its adjustable range.
    #[must_use]
    pub const fn range(&self) -> StrideRange {
        self.range
    }

    /// Its calibration of speed, 1 until it has been timed.
    #[must_use]
    pub fn calibration(&self) -> Factor {
        self.calibration.unwrap_or(Factor::nearest(1.0))
    }

    /// Whether its canter has been timed.
    #[must_use]
    pub const fn is_timed(&self) -> bool {
        self.calibration.is_some()
    }
}
