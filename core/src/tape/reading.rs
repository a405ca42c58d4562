//! What is read on a tape: to the nearest 5 cm, or the nearest two inches.
use crate::units::Metres;

const FIVE_CENTIMETRES: f64 = 0.05;
const TWO_INCHES: f64 = 0.0508;

/// A length to be measured by tape.
#[derive(Debug, Clone, Copy, PartialEq, PartialOrd)]
pub struct Reading(Metres);

impl Reading {
    /// The length as it is reckoned.
    #[must_use]
    pub const fn of(exact: Metres) -> Self {
        Self(exact)
    }

    /// The length itself.
    #[must_use]
    pub const fn exact(self) -> Metres {
        self.0
    }

    /// To the nearest 5 cm.
    ///
    /// ```
    /// use stridewright_core::{tape::Reading, units::Metres};
    /// assert_eq!(Reading::of(Metres::new(17.484)?).metric(), Metres::new(17.5)?);
    /// # Ok::<(), stridewright_core::units::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn metric(self) -> Metres {
        // by the hundredth, so that it is the number that is written
        Metres::nearest((self.0.get() / FIVE_CENTIMETRES).round() * 5.0 / 100.0)
    }

    /// To the nearest two inches: feet, and inches from 0 to 10.
    ///
    /// ```
    /// use stridewright_core::{tape::Reading, units::Metres};
    /// assert_eq!(Reading::of(Metres::new(17.484)?).feet_and_inches(), (57, 4));
    /// # Ok::<(), stridewright_core::units::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn feet_and_inches(self) -> (u32, u32) {
        let inches = (self.0.get() / TWO_INCHES).round() * 2.0;
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 400,000")]
        let inches = inches as u32;
        (inches / 12, inches % 12)
    }
}
