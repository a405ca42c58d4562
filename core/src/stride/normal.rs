//! A horse's normal stride: guessed, counted over two poles, or taped.
use super::SLACK;
use super::allowance::room_in_strides;
use super::error::{StrideError, metres, positive};
use crate::units::Metres;

/// How a horse moves for its size.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Mover {
    /// A shorter stride than its size suggests.
    Short,
    /// As its size suggests.
    #[default]
    Usual,
    /// A longer one.
    Big,
}

/// How the count over the poles felt.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Feel {
    /// It had to wait: its own stride is longer.
    Tight,
    /// It came out by itself.
    Fits,
    /// It had to reach: its own stride is shorter.
    Long,
}

/// One ride over the two poles, no count asked.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct CountedRide {
    /// Strides between the poles.
    pub n: u32,
    /// How they felt.
    pub feel: Feel,
}

/// A normal stride, to be shown with its source and its date.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct NormalStride {
    /// The horse's own mean stride.
    pub stride: Metres,
    /// Outside 0.8 to 1.2 times the design stride: count again, or look at the profile.
    pub implausible: bool,
}

fn normal(stride: f64, profile: f64) -> Result<NormalStride, StrideError> {
    let implausible = stride < 0.8 * profile - SLACK || stride > 1.2 * profile + SLACK;
    Ok(NormalStride { stride: metres("normal_stride", stride)?, implausible })
}

/// A first guess from the profile; the twentieth either way is a choice.
///
/// # Errors
/// Refuses a `profile_stride` of 0.
pub fn guessed_stride(profile_stride: Metres, mover: Mover) -> Result<NormalStride, StrideError> {
    let profile = positive("profile_stride", profile_stride)?;
    let share = match mover {
        Mover::Short => 0.95,
        Mover::Usual => 1.0,
        Mover::Big => 1.05,
    };
    normal(share * profile, profile)
}

/// How far apart two ground poles are set to count on: five design strides and the room of two poles, 66 ft for a
/// horse.
///
/// # Errors
/// Refuses a `profile_stride` of 0.
pub fn counting_distance(profile_stride: Metres) -> Result<Metres, StrideError> {
    metres("distance", 5.5 * positive("profile_stride", profile_stride)?)
}

/// The mean over rides across two ground poles, best both ways, each corrected for how it felt. The 4 % of a tight
/// or long ride is a choice: a fifth of the step between two counts at five strides.
///
/// ```
/// use stridewright_core::{stride::{CountedRide, Feel, Profile, counted_stride}, units::metres_text};
/// let rides = [CountedRide { n: 5, feel: Feel::Fits }, CountedRide { n: 5, feel: Feel::Tight }];
/// let counted = counted_stride(Profile::Horse.design_stride(), "66 ft".parse()?, &rides)?;
/// assert_eq!(metres_text(counted.stride), "3.73 m");
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `profile_stride` of 0, no rides, a count of 0, and poles without room between them.
pub fn counted_stride(
    profile_stride: Metres,
    distance: Metres,
    rides: &[CountedRide],
) -> Result<NormalStride, StrideError> {
    let profile = positive("profile_stride", profile_stride)?;
    let rest = distance.get() - 2.0 * profile * room_in_strides(0.0);
    let rides_made = u32::try_from(rides.len()).map_err(|_| StrideError::NoRides)?;
    if rides_made == 0 {
        return Err(StrideError::NoRides);
    }
    if rides.iter().any(|ride| ride.n == 0) {
        return Err(StrideError::NoStrides);
    }
    if rest <= SLACK {
        return Err(StrideError::NoRoom);
    }
    let own = |ride: &CountedRide| {
        let felt = match ride.feel {
            Feel::Tight => 1.04,
            Feel::Fits => 1.0,
            Feel::Long => 0.96,
        };
        rest / f64::from(ride.n) * felt
    };
    normal(rides.iter().map(own).sum::<f64>() / f64::from(rides_made), profile)
}

/// From a tape laid along three strides, print to print of the same foot.
///
/// # Errors
/// Refuses a `profile_stride` or `length` of 0.
pub fn taped_stride(profile_stride: Metres, length: Metres) -> Result<NormalStride, StrideError> {
    let profile = positive("profile_stride", profile_stride)?;
    normal(positive("length", length)? / 3.0, profile)
}
