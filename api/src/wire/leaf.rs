//! Values without parts: read by serde, described by their own error.
use super::input::Input;
use crate::problem::FieldError;
use serde::de::DeserializeOwned;
use serde_json::Value;
use stridewright_core::adjustability;
use stridewright_core::calendar::{Day, Instant, moment};
use stridewright_core::ids::Id;
use stridewright_core::{rest, stride, units};

/// A type that serde reads whole and whose error message names the rule.
pub trait Leaf: DeserializeOwned {}

impl<T: Leaf> Input for T {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        match serde_json::from_value(value) {
            Ok(value) => Some(value),
            Err(error) => {
                errors.push(FieldError::new(at, "invalid", rule(&error.to_string())));
                None
            }
        }
    }
}

/// The rule behind an error of serde's, in words; our own types say theirs themselves.
pub fn rule(error: &str) -> String {
    let Some((found, expected)) = error.split_once(", expected ") else { return error.to_owned() };
    let plain = expected.replace('`', "");
    if found.starts_with("unknown variant") {
        return format!("must be {plain}");
    }
    match plain.as_str() {
        "i64" | "i32" | "u64" | "u32" | "u16" | "u8" | "usize" if found.contains("value: integer") => {
            "must be a whole number within its bounds".to_owned()
        }
        "i64" | "i32" | "u64" | "u32" | "u16" | "u8" | "usize" => "must be a whole number".to_owned(),
        "f64" | "f32" => "must be a number".to_owned(),
        "a boolean" => "must be true or false".to_owned(),
        _ if plain.contains("string") => "must be text".to_owned(),
        _ => format!("must be {plain}"),
    }
}

impl Leaf for bool {}
impl Leaf for u8 {}
impl Leaf for u16 {}
impl Leaf for u32 {}
impl<T: 'static> Leaf for Id<T> {}
impl Leaf for stridewright_core::layout::FenceKind {}
impl Leaf for stridewright_core::layout::RoomPreset {}
impl Leaf for stridewright_core::library::ExerciseKind {}
impl Leaf for stridewright_core::course::RuleSet {}
impl Leaf for units::Metres {}
impl Leaf for units::Coordinate {}
impl Leaf for units::Degrees {}
impl Leaf for units::MetresPerSecond {}
impl Leaf for units::MetresPerMinute {}
impl Leaf for units::Seconds {}
impl Leaf for units::Probability {}
impl Leaf for units::Factor {}
impl Leaf for units::Centimetres {}
impl Leaf for stridewright_core::workload::Status {}
impl Leaf for stride::Profile {}
impl Leaf for stride::Mover {}
impl Leaf for stride::Pair {}
impl Leaf for stride::SetAs {}
impl Leaf for adjustability::Side {}
impl Leaf for rest::Source {}
impl Leaf for rest::Scope {}
impl Leaf for rest::StandDownSource {}

impl Input for Day {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        let day = value.as_str().filter(|text| moment::is_date(text)).and_then(|text| text.parse().ok());
        if day.is_none() {
            errors.push(FieldError::new(at, "invalid", "must be a date such as 2026-06-04, of the years 1900 to 2199"));
        }
        day
    }
}

impl Input for Instant {
    fn read(value: Value, at: &str, errors: &mut Vec<FieldError>) -> Option<Self> {
        let instant = value.as_str().filter(|text| moment::is_date_time(text)).and_then(|text| text.parse().ok());
        let instant = instant.filter(|instant| moment::is_kept(*instant));
        if instant.is_none() {
            let rule = "must be a moment such as 2026-06-04T16:00:00Z, of the years 1900 to 2199";
            errors.push(FieldError::new(at, "invalid", rule));
        }
        instant
    }
}

/// Declares a whole number within bounds.
#[macro_export]
macro_rules! whole {
    ($(#[$meta:meta])* pub struct $name:ident($min:literal ..= $max:literal), example $example:literal) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, serde::Serialize, serde::Deserialize)]
        #[serde(try_from = "i64")]
        pub struct $name(i32);

        impl $name {
            pub const fn get(self) -> i32 {
                self.0
            }
        }

        impl TryFrom<i64> for $name {
            type Error = String;
            fn try_from(value: i64) -> Result<Self, String> {
                if ($min..=$max).contains(&value) {
                    i32::try_from(value).map(Self).map_err(|e| e.to_string())
                } else {
                    Err(concat!("must be a whole number from ", $min, " to ", $max).to_owned())
                }
            }
        }

        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::ObjectBuilder::new()
                    .schema_type(utoipa::openapi::schema::Type::Integer)
                    .minimum(Some($min))
                    .maximum(Some($max))
                    .examples([$example])
                    .into()
            }
        }
        impl utoipa::ToSchema for $name {}
        impl $crate::wire::leaf::Leaf for $name {}
    };
}

whole! {
    /// A number of jump efforts, or of pole passes.
    pub struct Count(0 ..= 500), example 24
}

impl Count {
    /// What a layout comes to; it holds fewer than the most.
    pub fn of(n: u32) -> Self {
        Self(i32::try_from(n).unwrap_or(i32::MAX).min(500))
    }
}

/// Declares a choice among names, as on the wire and in the database.
#[macro_export]
macro_rules! choice {
    ($(#[$meta:meta])* pub enum $name:ident { $($(#[$vmeta:meta])* $variant:ident),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize, utoipa::ToSchema)]
        #[serde(rename_all = "snake_case")]
        pub enum $name { $($(#[$vmeta])* $variant),* }

        impl $crate::wire::leaf::Leaf for $name {}
    };
}
