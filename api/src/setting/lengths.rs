//! Lengths in the barn's units, with the others after them.
use crate::barns::wire::Units;
use stridewright_core::drawing::BothWays;
use stridewright_core::tape::Reading;
use stridewright_core::units::{Centimetres, Metres};

/// What a column of lengths has after its name: feet and inches say themselves what they are.
pub const COLUMN_UNIT: &str = "(m)";

/// How a barn writes lengths.
#[derive(Debug, Clone, Copy)]
pub struct Lengths(pub Units);

/// `84'0"`, to the nearest inch: on a plan it stands beside other feet and inches.
fn feet(length: Metres) -> String {
    let inches = (length.get() / 0.0254).round();
    format!("{:.0}'{:.0}\"", (inches / 12.0).floor(), inches % 12.0)
}

impl Lengths {
    /// `84'0" (25.60 m)`, or `25.60 m (84'0")`.
    pub fn line(self, length: Metres) -> String {
        let BothWays { own, other } = self.beside(length);
        format!("{own} {other}")
    }

    /// The same, apart; without a unit that a head of a column says.
    pub fn column(self, length: Metres) -> BothWays {
        let (feet, metres) = (feet(length), format!("{:.2}", length.get()));
        self.own_first(feet, metres)
    }

    /// The same, apart.
    pub fn beside(self, length: Metres) -> BothWays {
        let (feet, metres) = (feet(length), format!("{:.2} m", length.get()));
        let BothWays { own, other } = self.own_first(feet, metres);
        BothWays { own, other: format!("({other})") }
    }

    /// Of a fence.
    pub fn height(self, height: Centimetres) -> BothWays {
        self.beside(height.metres())
    }

    /// What is read on a tape, to 5 cm or two inches.
    pub fn reading(self, reading: Reading) -> BothWays {
        let (feet, inches) = reading.feet_and_inches();
        self.own_first(format!("{feet}'{inches}\""), format!("{:.2}", reading.metric().get()))
    }

    fn own_first(self, feet: String, metres: String) -> BothWays {
        match self.0 {
            Units::Metric => BothWays { own: metres, other: feet },
            Units::Imperial => BothWays { own: feet, other: metres },
        }
    }
}
