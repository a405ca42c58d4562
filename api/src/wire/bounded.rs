//! Quantities of a narrower range than their unit's: what a body may say, as its schema says it.

/// Declares a quantity within bounds; `above` excludes the least.
#[macro_export]
macro_rules! bounded {
    ($(#[$meta:meta])* pub struct $name:ident($unit:ident, above $min:literal ..= $max:literal), example $example:literal) => {
        $crate::bounded!(@ [$(#[$meta])*] $name, $unit, $min, $max, $example, >, exclusive_minimum, "above ");
    };
    ($(#[$meta:meta])* pub struct $name:ident($unit:ident, $min:literal ..= $max:literal), example $example:literal) => {
        $crate::bounded!(@ [$(#[$meta])*] $name, $unit, $min, $max, $example, >=, minimum, "from ");
    };
    (@ [$(#[$meta:meta])*] $name:ident, $unit:ident, $min:literal, $max:literal, $example:literal, $over:tt, $least:ident, $from:literal) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, PartialOrd, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "f64", into = "f64")]
        pub struct $name(stridewright_core::units::$unit);

        impl $name {
            /// The same as its unit's own type.
            pub const fn whole(self) -> stridewright_core::units::$unit {
                self.0
            }

            /// The bare number.
            pub const fn get(self) -> f64 {
                self.0.get()
            }
        }

        impl From<$name> for f64 {
            fn from(value: $name) -> Self {
                value.get()
            }
        }

        impl TryFrom<f64> for $name {
            type Error = &'static str;
            fn try_from(value: f64) -> Result<Self, Self::Error> {
                let rule = concat!("must be a number ", $from, $min, " to ", $max);
                let (over, under) = (value $over $min, value <= $max);
                if over && under {
                    stridewright_core::units::$unit::new(value).map(Self).map_err(|_| rule)
                } else {
                    Err(rule)
                }
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::Number)
                    .$least(Some($min))
                    .maximum(Some($max))
                    .examples([$example])
                    .into()
            }
        }
        impl utoipa::ToSchema for $name {}
        impl $crate::wire::leaf::Leaf for $name {}
    };
}

bounded! {
    /// The distance of a line, in metres.
    pub struct LineDistance(Metres, above 0.0 ..= 200.0), example 20.1168
}
bounded! {
    /// A horse's normal stride, in metres.
    pub struct OwnStride(Metres, 1.0 ..= 6.0), example 3.6
}
bounded! {
    /// The shortest stride a horse may be asked for, in metres.
    pub struct ShortestStride(Metres, 0.5 ..= 6.0), example 2.9
}
bounded! {
    /// The longest stride a horse may be asked for, in metres.
    pub struct LongestStride(Metres, 0.5 ..= 8.0), example 4.0
}
bounded! {
    /// Measured strides a second over the model's.
    pub struct Calibration(Factor, 0.85 ..= 1.15), example 1.0
}
bounded! {
    /// The step of whoever walks a line, in metres.
    pub struct WalkedStep(Metres, 0.3 ..= 2.0), example 0.9
}
bounded! {
    /// How long a tape is, in metres.
    pub struct TapeLength(Metres, 5.0 ..= 200.0), example 50.0
}
bounded! {
    /// How far from its normal stride a horse is still served: a factor.
    pub struct ServedRatio(Factor, 1.0 ..= 1000.0), example 1.1
}
