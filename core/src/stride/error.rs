//! Why a question about strides is refused.
use crate::units::{Metres, OutOfRange};

/// Why a question about strides is refused; [`StrideError::field`] names what to change.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum StrideError {
    /// A length, radius or factor that must be above 0 is 0.
    #[error("{0} must be above 0")]
    NotPositive(&'static str),
    /// The answer to these inputs lies outside what its quantity may be.
    #[error("{field} {source}")]
    OutOfRange {
        /// The quantity that came out.
        field: &'static str,
        /// Its range.
        source: OutOfRange,
    },
    /// The short end of a stride range lies above its long end.
    #[error("the shortest stride must not exceed the longest")]
    RangeReversed,
    /// A greatest lean outside the open interval from 0 to 90 degrees.
    #[error("lean_max must lie between 0 and 90 degrees")]
    LeanNotAcute,
    /// A count over poles needs at least one ride.
    #[error("rides must hold at least one ride")]
    NoRides,
    /// A counted ride has at least one stride.
    #[error("rides must have a count of at least 1")]
    NoStrides,
    /// The poles stand so close that nothing is left between landing and take-off.
    #[error("distance must be longer than the room for landing and take-off")]
    NoRoom,
    /// A group of nobody or of more than twelve.
    #[error("members must be 1 to 12")]
    GroupSize,
    /// The least distance of a group lies above the greatest.
    #[error("the least distance must not exceed the greatest")]
    DistancesReversed,
    /// No ten strides reach that far.
    #[error("distance_max must be at most 200 m")]
    TooFar,
    /// A served ratio below 1 would serve nobody.
    #[error("served_ratio must be at least 1")]
    ServedRatio,
}

impl StrideError {
    /// The input that is at fault, as the service names it (without a unit's ending).
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::NotPositive(field) | Self::OutOfRange { field, .. } => field,
            Self::RangeReversed => "stride_min",
            Self::LeanNotAcute => "lean_max",
            Self::NoRides | Self::NoStrides => "rides",
            Self::NoRoom => "distance",
            Self::GroupSize => "members",
            Self::DistancesReversed => "distance_min",
            Self::TooFar => "distance_max",
            Self::ServedRatio => "served_ratio",
        }
    }

    /// Names the quantity that left its range.
    pub(super) fn result(field: &'static str) -> impl Fn(OutOfRange) -> Self {
        move |source| Self::OutOfRange { field, source }
    }
}

/// The bare number of a length that must be above 0.
pub(crate) fn positive(field: &'static str, length: Metres) -> Result<f64, StrideError> {
    let value = length.get();
    if value > 0.0 { Ok(value) } else { Err(StrideError::NotPositive(field)) }
}

/// A computed length.
pub(crate) fn metres(field: &'static str, value: f64) -> Result<Metres, StrideError> {
    Metres::new(value).map_err(StrideError::result(field))
}
