//! How hard a stride is to ride, measured against the horse's own.
use super::SLACK;
use super::count::percent_of;
use super::error::{StrideError, positive};
use crate::units::{Factor, Metres, Percent};

/// How much a stride asks; the lowest is everyday work.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize)]
#[serde(into = "u8")]
pub enum Band {
    /// Up to 10 % shorter or 5 % longer.
    One,
    /// Up to 15 % shorter or 8 % longer.
    Two,
    /// Up to 20 % shorter or 12 % longer.
    Three,
    /// Beyond.
    Four,
}

impl From<Band> for u8 {
    fn from(band: Band) -> Self {
        match band {
            Band::One => 1,
            Band::Two => 2,
            Band::Three => 3,
            Band::Four => 4,
        }
    }
}

/// A stride against the normal one.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Effort {
    /// Stride over normal stride.
    pub ratio: Factor,
    /// The same as a change in hundredths.
    pub percent: Percent,
    /// How much it asks.
    pub band: Band,
}

/// Compares a stride with the horse's normal stride.
///
/// The limits are conventions. Lengthening has the narrower ones: a tenth more than 12 ft is a 13.2-ft stride, a
/// gallop.
///
/// # Errors
/// Refuses a `stride` or `normal_stride` of 0.
pub fn effort(stride: Metres, normal_stride: Metres) -> Result<Effort, StrideError> {
    let (length, normal) = (positive("stride", stride)?, positive("normal_stride", normal_stride)?);
    let change = length / normal - 1.0;
    let within = |shorter: f64, longer: f64| -change <= shorter + SLACK && change <= longer + SLACK;
    let band = if within(0.10, 0.05) {
        Band::One
    } else if within(0.15, 0.08) {
        Band::Two
    } else if within(0.20, 0.12) {
        Band::Three
    } else {
        Band::Four
    };
    let ratio = Factor::new(length / normal).map_err(StrideError::result("ratio"))?;
    Ok(Effort { ratio, percent: percent_of(length, normal)?, band })
}
