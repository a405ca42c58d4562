//! Lengths as people type and read them.
use super::leaf::Leaf;
use crate::problem::Problem;
use crate::problem::table::Kind;
use serde::Deserialize;
use stridewright_core::units::{Metres, in_both_units};

/// A length as typed, with its unit: `69 ft`, `72'6"`, `17.5 m`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(try_from = "String")]
pub struct LengthText(Metres);

/// The most characters such a text may have.
const LONGEST: usize = 40;

impl LengthText {
    pub const fn metres(self) -> Metres {
        self.0
    }
}

impl TryFrom<String> for LengthText {
    type Error = String;
    fn try_from(text: String) -> Result<Self, String> {
        if text.chars().count() > LONGEST {
            return Err(format!("must have at most {LONGEST} characters"));
        }
        text.parse().map(Self).map_err(|e: stridewright_core::units::LengthTextError| e.to_string())
    }
}

impl utoipa::PartialSchema for LengthText {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .min_length(Some(1))
            .max_length(Some(LONGEST))
            .description(Some("A length with its unit, in feet, feet and inches, metres or centimetres."))
            .examples(["69 ft"])
            .into()
    }
}
impl utoipa::ToSchema for LengthText {}
impl Leaf for LengthText {}

/// A length for people, in both ways of writing it: `66 ft (20.12 m)`.
#[derive(Debug, Clone, PartialEq, Eq, serde::Serialize)]
pub struct BothUnits(String);

impl From<Metres> for BothUnits {
    fn from(length: Metres) -> Self {
        Self(in_both_units(length))
    }
}

impl utoipa::PartialSchema for BothUnits {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .max_length(Some(LONGEST))
            .description(Some("The same length in feet and inches, to the nearest inch, and in metres."))
            .examples(["66 ft (20.12 m)"])
            .into()
    }
}
impl utoipa::ToSchema for BothUnits {}

/// The distance of a body, which gives it as a number or as a text.
pub fn distance(number: Option<Metres>, text: Option<LengthText>) -> Result<Metres, Problem> {
    let (pointer, length) = match (number, text) {
        (Some(number), None) => ("/distance_m", number),
        (None, Some(text)) => ("/distance", text.metres()),
        (None, None) => {
            return Err(Problem::field(Kind::InvalidBody, "/distance_m", "required", "is required, or else distance"));
        }
        (Some(_), Some(_)) => return Err(Problem::invalid("/distance", "must not stand beside distance_m")),
    };
    if length.get() > 0.0 && length.get() <= 200.0 {
        Ok(length)
    } else {
        Err(Problem::invalid(pointer, "must be above 0 and at most 200 m"))
    }
}
