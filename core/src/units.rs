//! Quantities: finite, range-checked numbers whose unit is their type.
//!
//! SI inside. A value that is not finite or lies outside its range cannot be built, neither by
//! [`Metres::new`] nor by deserialising, so no computation has to ask again.

pub mod hands;
pub mod length_text;

pub use hands::{Hands, HandsError};
pub use length_text::{LengthTextError, feet_and_inches_text, in_both_units, metres_text};

/// Why a number is not the quantity it was meant to be.
#[derive(Debug, Clone, Copy, PartialEq, thiserror::Error)]
#[error("must be a finite number from {min} to {max} ({unit})")]
pub struct OutOfRange {
    /// The unit's symbol.
    pub unit: &'static str,
    /// The least value allowed.
    pub min: f64,
    /// The greatest value allowed.
    pub max: f64,
}

macro_rules! quantity {
    ($(#[$doc:meta])* $name:ident, $unit:literal, $min:literal ..= $max:literal, example $example:literal) => {
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "f64", into = "f64")]
        pub struct $name(f64);

        impl $name {
            /// The least value allowed.
            pub const MIN: Self = Self($min);
            /// The greatest value allowed.
            pub const MAX: Self = Self($max);

            /// Checks the number.
            ///
            /// # Errors
            /// [`OutOfRange`] where it is not finite or lies outside the range.
            pub const fn new(value: f64) -> Result<Self, OutOfRange> {
                if value.is_finite() && value >= $min && value <= $max {
                    Ok(Self(value))
                } else {
                    Err(OutOfRange { unit: $unit, min: $min, max: $max })
                }
            }

            /// The value of the range that is nearest to a computed number; the least for what is no number.
            #[must_use]
            pub const fn nearest(value: f64) -> Self {
                if value >= $max {
                    Self::MAX
                } else if value >= $min {
                    Self(value)
                } else {
                    Self::MIN
                }
            }

            /// The bare number, in the unit of the type.
            #[must_use]
            pub const fn get(self) -> f64 {
                self.0
            }
        }

        impl TryFrom<f64> for $name {
            type Error = OutOfRange;
            fn try_from(value: f64) -> Result<Self, OutOfRange> {
                Self::new(value)
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> f64 {
                value.0
            }
        }

        #[cfg(feature = "utoipa")]
        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::Number)
                    .minimum(Some($min))
                    .maximum(Some($max))
                    .description(Some(concat!("A number in ", $unit, ".")))
                    .examples([$example])
                    .into()
            }
        }

        #[cfg(feature = "utoipa")]
        impl utoipa::ToSchema for $name {}
    };
}

quantity! {
    /// A length on the ground, never negative: a distance between fences, a stride, a room.
    ///
    /// ```
    /// use stridewright_core::units::Metres;
    /// let line = Metres::new(20.1168)?; // 66 ft
    /// assert_eq!(line.get(), 20.1168);
    /// assert!(Metres::new(f64::NAN).is_err());
    /// # Ok::<(), stridewright_core::units::OutOfRange>(())
    /// ```
    Metres, "m", 0.0 ..= 10000.0, example 20.1168
}
quantity! {
    /// How much ground there is.
    SquareMetres, "m2", 0.0 ..= 100000000.0, example 1800.0
}
quantity! {
    /// A place along one axis of an arena; may be negative.
    Coordinate, "m", -10000.0 ..= 10000.0, example 12.5
}
quantity! {
    /// How far something stays from a wall; below 0 beyond it.
    Clearance, "m", -10000.0 ..= 10000.0, example 1.5
}
quantity! {
    /// A direction or turn in degrees.
    Degrees, "deg", -720.0 ..= 720.0, example 90.0
}
quantity! {
    /// A speed over the ground.
    MetresPerSecond, "m/s", 0.0 ..= 30.0, example 5.8
}
quantity! {
    /// A speed as riders speak of it.
    MetresPerMinute, "m/min", 0.0 ..= 1800.0, example 350.0
}
quantity! {
    /// Strides a second.
    Hertz, "Hz", 0.0 ..= 10.0, example 1.69
}
quantity! {
    /// A duration.
    Seconds, "s", 0.0 ..= 86400.0, example 4.2
}
quantity! {
    /// A chance or a share.
    Probability, "1", 0.0 ..= 1.0, example 0.8
}
quantity! {
    /// A plain factor without a unit: a ratio, a calibration.
    Factor, "1", 0.0 ..= 1000.0, example 1.0
}
quantity! {
    /// How far a stride is from the horse's own normal one: ln(stride / normal stride), below 0 shorter.
    LogStretch, "ln", -20.0 ..= 20.0, example -0.18
}

quantity! {
    /// A number of strides that need not be whole; negative where there is not even the room to land and take off.
    Strides, "strides", -1000000000.0 ..= 1000000000.0, example 4.5
}
quantity! {
    /// A change relative to the normal, in hundredths: -16.7 is a sixth shorter.
    Percent, "%", -100.0 ..= 1000000000.0, example -16.7
}
quantity! {
    /// How far a ratio is from 1, up or down alike: the absolute value of its natural logarithm, or a sum of such.
    LogOff, "1", 0.0 ..= 1000.0, example 0.05
}

impl MetresPerSecond {
    /// The same speed as riders speak of it.
    #[must_use]
    pub const fn per_minute(self) -> MetresPerMinute {
        MetresPerMinute::nearest(self.0 * 60.0)
    }
}

impl MetresPerMinute {
    /// The same speed in SI units.
    #[must_use]
    pub const fn per_second(self) -> MetresPerSecond {
        MetresPerSecond::nearest(self.0 / 60.0)
    }
}

/// A height in whole centimetres, as on the wire; 0 is a pole on the ground, 250 the most.
///
/// ```
/// use stridewright_core::units::Centimetres;
/// assert_eq!(Centimetres::new(95)?.metres().get(), 0.95);
/// assert!(Centimetres::new(251).is_err());
/// # Ok::<(), stridewright_core::units::OutOfRange>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[serde(try_from = "u16", into = "u16")]
pub struct Centimetres(u16);

impl Centimetres {
    /// A pole on the ground.
    pub const GROUND: Self = Self(0);

    /// Checks the number.
    ///
    /// # Errors
    /// [`OutOfRange`] above 250.
    pub const fn new(value: u16) -> Result<Self, OutOfRange> {
        if value <= 250 { Ok(Self(value)) } else { Err(OutOfRange { unit: "cm", min: 0.0, max: 250.0 }) }
    }

    /// The bare number of centimetres.
    #[must_use]
    pub const fn get(self) -> u16 {
        self.0
    }

    /// The same height in metres.
    #[must_use]
    pub fn metres(self) -> Metres {
        Metres(f64::from(self.0) / 100.0)
    }
}

impl TryFrom<u16> for Centimetres {
    type Error = OutOfRange;
    fn try_from(value: u16) -> Result<Self, OutOfRange> {
        Self::new(value)
    }
}

impl From<Centimetres> for u16 {
    fn from(value: Centimetres) -> u16 {
        value.0
    }
}

#[cfg(feature = "utoipa")]
impl utoipa::PartialSchema for Centimetres {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::Integer)
            .minimum(Some(0))
            .maximum(Some(250))
            .description(Some("Whole centimetres."))
            .examples([95])
            .into()
    }
}

#[cfg(feature = "utoipa")]
impl utoipa::ToSchema for Centimetres {}
