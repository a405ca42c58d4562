//! Lengths as people type and read them.
use super::bounded::LineDistance;
use super::either::{Either, either};
use super::leaf::Leaf;
use super::patch::Patch;
use crate::problem::Problem;
use serde::Deserialize;
use stridewright_core::units::{LengthTextError, Metres, in_both_units};

/// A length as typed, with its unit: `69 ft`, `72'6"`, `17.5 m`.
#[derive(Debug, Clone, Copy, PartialEq, Deserialize)]
#[serde(try_from = "String")]
pub struct LengthText(Metres);

/// The most characters such a text may have.
const LONGEST: usize = 40;

/// What such a text looks like: one number with its unit, or whole feet and inches below twelve.
const PATTERN: &str = concat!(
    r#"^ *([0-9]+(\.[0-9]+)? *([fF][tT]|[fF][oO][oO][tT]|[fF][eE][eE][tT]|['′’]|''|["″”]|[iI][nN]([cC][hH]([eE][sS])?)?"#,
    r#"|[mM]([eE][tT]([rR][eE]|[eE][rR])[sS]?)?|[cC][mM])"#,
    r#"|[0-9]+(\.0+)? *([fF][tT]|[fF][oO][oO][tT]|[fF][eE][eE][tT]|['′’]) *0*([0-9]|1[01])(\.[0-9]+)? *"#,
    r#"(''|["″”]|[iI][nN]([cC][hH]([eE][sS])?)?)) *$"#
);

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
        if text.contains(|c: char| c.is_whitespace() && c != ' ') {
            return Err("must not hold tabs or line ends".to_owned());
        }
        match text.parse() {
            Err(LengthTextError::OutOfRange(_)) => Ok(Self(Metres::MAX)), // refused where it is used
            read => read.map(Self).map_err(|e| e.to_string()),
        }
    }
}

impl utoipa::PartialSchema for LengthText {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .min_length(Some(2))
            .max_length(Some(LONGEST))
            .pattern(Some(PATTERN))
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
pub fn distance(number: Patch<LineDistance>, text: Patch<LengthText>) -> Result<Metres, Problem> {
    let text = match either("", ("distance_m", number), ("distance", text))? {
        Either::First(number) => return Ok(number.whole()),
        Either::Second(text) => text,
    };
    // the pattern of a text cannot say how long it may be
    let fits = LineDistance::try_from(text.metres().get());
    fits.map(LineDistance::whole).map_err(|_| Problem::at_odds("/distance", "must be above 0 and at most 200 m"))
}
