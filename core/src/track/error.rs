//! Why a question about a track is refused.
use crate::stride::StrideError;
use crate::units::OutOfRange;

/// Why a question about a track is refused; [`TrackError::field`] names what to change.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
pub enum TrackError {
    /// A length that must be above 0 is 0.
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
            Self::NotPositive(field) | Self::OutOfRange { field, .. } => field,
            Self::TooFar => "distance",
            Self::UnknownFence => "lines",
            Self::NoJumps => "jumps",
            Self::Stride(error) => error.field(),
        }
    }
}

/// The bare number of a length that must be above 0.
pub(crate) fn positive(field: &'static str, length: crate::units::Metres) -> Result<f64, TrackError> {
    let value = length.get();
    if value > 0.0 { Ok(value) } else { Err(TrackError::NotPositive(field)) }
}
