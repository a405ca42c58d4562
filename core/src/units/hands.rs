//! Heights of horses and ponies at the withers in hands: a hand is 4 inches, and what stands behind the point is inches.
use super::{Centimetres, Metres};
use std::fmt;
use std::str::FromStr;

/// Why a text is not a height in hands.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
pub enum HandsError {
    /// Not of the form `14.2 hh`.
    #[error("write hands, a point, inches and hh: 14.2 hh")]
    Form,
    /// A hand has four inches, so that `.4` and above do not exist.
    #[error("a hand has 4 inches: the figure behind the point is 0, 1, 2 or 3")]
    Inches,
    /// Below 5 or above 24 hands.
    #[error("must be from 5 to 24 hands")]
    OutOfRange,
}

/// A height at the withers in hands and inches.
///
/// ```
/// use stridewright_core::units::Hands;
/// let pony: Hands = "14.2 hh".parse()?;
/// assert_eq!(pony.inches(), 58); // not 14.2 x 4
/// assert_eq!(pony.to_string(), "14.2 hh");
/// # Ok::<(), stridewright_core::units::HandsError>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
pub struct Hands {
    inches: u8,
}

impl Hands {
    /// Hands and further inches.
    ///
    /// # Errors
    /// [`HandsError::Inches`] from 4 inches on, [`HandsError::OutOfRange`] outside 5 to 24 hands.
    pub const fn new(hands: u8, inches: u8) -> Result<Self, HandsError> {
        if inches > 3 {
            Err(HandsError::Inches)
        } else if hands < 5 || hands > 24 {
            Err(HandsError::OutOfRange)
        } else {
            Ok(Self { inches: hands * 4 + inches })
        }
    }

    /// The whole height in inches.
    #[must_use]
    pub const fn inches(self) -> u8 {
        self.inches
    }

    /// The whole height in metres, exactly.
    #[must_use]
    pub const fn metres(self) -> Metres {
        Metres::from_feet_inches(0, self.inches)
    }

    /// The whole height to the nearest centimetre; `None` above 250 cm.
    #[must_use]
    pub fn centimetres(self) -> Option<Centimetres> {
        // 1 in is 254 hundredths of a centimetre
        Centimetres::new((u16::from(self.inches) * 254 + 50) / 100).ok()
    }
}

impl fmt::Display for Hands {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{}.{} hh", self.inches / 4, self.inches % 4)
    }
}

impl FromStr for Hands {
    type Err = HandsError;

    fn from_str(text: &str) -> Result<Self, HandsError> {
        let lower = text.trim().to_ascii_lowercase();
        let number = lower.strip_suffix("hh").ok_or(HandsError::Form)?.trim_end();
        let (hands, inches) = number.split_once('.').unwrap_or((number, "0"));
        let digits = |part: &str| {
            if part.bytes().all(|byte| byte.is_ascii_digit()) {
                part.parse::<u8>().map_err(|_| HandsError::Form)
            } else {
                Err(HandsError::Form)
            }
        };
        if inches.len() != 1 {
            return Err(if inches.is_empty() { HandsError::Form } else { HandsError::Inches });
        }
        Self::new(digits(hands)?, digits(inches)?)
    }
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "test code")]
mod tests {
    use super::*;

    #[test]
    fn texts() {
        for (text, inches) in [("14.2 hh", 58), ("12hh", 48), ("13.3HH", 55), ("16.0 hh", 64)] {
            assert_eq!(text.parse::<Hands>().unwrap().inches(), inches, "{text}");
        }
        for (text, error) in [
            ("14.2", HandsError::Form),
            ("hh", HandsError::Form),
            ("14. hh", HandsError::Form),
            ("+14 hh", HandsError::Form),
            ("14.4 hh", HandsError::Inches),
            ("14.25 hh", HandsError::Inches),
            ("4 hh", HandsError::OutOfRange),
            ("25 hh", HandsError::OutOfRange),
        ] {
            assert_eq!(text.parse::<Hands>(), Err(error), "{text}");
        }
        assert_eq!(Hands::new(14, 2).unwrap().centimetres().unwrap().get(), 147);
    }
}
