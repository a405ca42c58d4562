//! Why a question about a track is refused.
use crate::stride::{self, StrideError};
use crate::units::Metres;

/// Why a question about a track is refused; [`TrackError::field`] names what to change.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum TrackError {
    /// A horse would take more than ten thousand strides.
    #[error("distance must be one that a horse canters")]
    TooFar,
    /// A line names a fence that is not there.
    #[error("lines must name fences of the layout")]
    UnknownFence,
    /// A course begins with a jump of its own.
    #[error("jumps must begin with one that continues no other")]
    NoJumps,
    /// What the canter and its strides refuse.
    #[error(transparent)]
    Stride(#[from] StrideError),
}

impl TrackError {
    /// The input that is at fault, as the service names it (without a unit's ending).
    #[must_use]
    pub const fn field(&self) -> &'static str {
        match self {
            Self::TooFar => "distance",
            Self::UnknownFence => "lines",
            Self::NoJumps => "jumps",
            Self::Stride(error) => error.field(),
        }
    }
}

/// The bare number of a length that must be above 0.
pub(crate) fn positive(field: &'static str, length: Metres) -> Result<f64, TrackError> {
    Ok(stride::positive(field, length)?)
}
