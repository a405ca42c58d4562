//! Lengths as people write them: `72 ft`, `72'6"`, `21.95 m`. A number without a unit is refused, not guessed.
use super::{Metres, OutOfRange};
use std::str::FromStr;

const INCH: f64 = 0.0254;

/// Why a text is not a length.
#[derive(Debug, Clone, PartialEq, thiserror::Error)]
pub enum LengthTextError {
    /// Nothing was written.
    #[error("a length is missing: write for example 66 ft, 66'6\" or 20.12 m")]
    Empty,
    /// A number without a unit could be feet, metres or steps.
    #[error("\"{0}\" has no unit: write {0} ft or {0} m")]
    NoUnit(String),
    /// Digits with at most one decimal point were expected.
    #[error("\"{0}\" is not a number: use digits and a decimal point")]
    NotANumber(String),
    /// The unit is none of ft, in, m, cm.
    #[error("\"{0}\" is not a unit of length known here: use ft, in, m or cm")]
    UnknownUnit(String),
    /// Feet are whole, and inches below 12, where both are given.
    #[error("\"{0}\": with inches the feet must be whole and the inches below 12")]
    FeetAndInches(String),
    /// The length is longer than any arena.
    #[error("the length {0}")]
    OutOfRange(#[from] OutOfRange),
}

#[derive(Debug, Clone, Copy, PartialEq)]
enum Unit {
    Feet,
    Inches,
    Metres,
    Centimetres,
}

impl Unit {
    fn from_text(text: &str) -> Option<Self> {
        match text {
            "ft" | "foot" | "feet" | "'" | "′" | "’" => Some(Self::Feet),
            "in" | "inch" | "inches" | "\"" | "″" | "”" | "''" => Some(Self::Inches),
            "m" | "metre" | "metres" | "meter" | "meters" => Some(Self::Metres),
            "cm" => Some(Self::Centimetres),
            _ => None,
        }
    }

    const fn metres(self) -> f64 {
        match self {
            Self::Feet => 0.3048,
            Self::Inches => INCH,
            Self::Metres => 1.0,
            Self::Centimetres => 0.01,
        }
    }
}

impl Metres {
    /// So many feet and inches; the two bytes keep it within the range.
    ///
    /// ```
    /// use stridewright_core::units::Metres;
    /// assert!((Metres::from_feet_inches(10, 6).get() - 3.2004).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn from_feet_inches(feet: u8, inches: u8) -> Self {
        Self::nearest((feet as f64 * 12.0 + inches as f64) * INCH)
    }
}

/// Reads `66 ft`, `66'6"`, `66 ft 6 in`, `20.12 m` or `95 cm`.
///
/// ```
/// use stridewright_core::units::{LengthTextError, Metres};
/// let line: Metres = "66'6\"".parse()?;
/// assert!((line.get() - 20.2692).abs() < 1e-9);
/// assert_eq!("66".parse::<Metres>(), Err(LengthTextError::NoUnit("66".into())));
/// # Ok::<(), LengthTextError>(())
/// ```
impl FromStr for Metres {
    type Err = LengthTextError;

    fn from_str(text: &str) -> Result<Self, LengthTextError> {
        let text = text.trim().to_lowercase();
        if text.is_empty() {
            return Err(LengthTextError::Empty);
        }
        let (number, unit, rest) = one_part(&text)?;
        if rest.is_empty() {
            return Ok(Self::new(number * unit.metres())?);
        }
        if unit != Unit::Feet {
            return Err(LengthTextError::UnknownUnit(after_number(&text).to_owned()));
        }
        let (inches, second, rest) = one_part(rest)?;
        if second != Unit::Inches || !rest.is_empty() {
            return Err(LengthTextError::UnknownUnit(after_number(&text).to_owned()));
        }
        if number.fract() > 0.0 || inches >= 12.0 {
            return Err(LengthTextError::FeetAndInches(text));
        }
        Ok(Self::new((number * 12.0 + inches) * INCH)?)
    }
}

/// The leading number and unit, and what is left behind them.
fn one_part(text: &str) -> Result<(f64, Unit, &str), LengthTextError> {
    let after = after_number(text);
    let number = text.strip_suffix(after).unwrap_or(text).trim_end();
    let value = plain_number(number).ok_or_else(|| LengthTextError::NotANumber(text.to_owned()))?;
    // a sign like ' ends by itself, a word ends where a blank or a digit follows
    let end = after
        .char_indices()
        .find(|&(at, c)| {
            c.is_whitespace() || c.is_ascii_digit() || (at > 0 && after.starts_with(is_foot_sign) && !is_foot_sign(c))
        })
        .map_or(after.len(), |(at, _)| at);
    let (unit, rest) = after.split_at_checked(end).unwrap_or((after, ""));
    if unit.is_empty() {
        return Err(LengthTextError::NoUnit(number.to_owned()));
    }
    let unit = Unit::from_text(unit).ok_or_else(|| LengthTextError::UnknownUnit(unit.to_owned()))?;
    Ok((value, unit, rest.trim_start()))
}

fn is_foot_sign(c: char) -> bool {
    matches!(c, '\'' | '′' | '’')
}

fn after_number(text: &str) -> &str {
    text.trim_start_matches(|c: char| c.is_ascii_digit() || matches!(c, '.' | ',' | '-' | '+')).trim_start()
}

/// Digits with at most one point: no sign, no exponent, no comma, which means a point to some and thousands to others.
fn plain_number(text: &str) -> Option<f64> {
    let (whole, fraction) = text.split_once('.').unwrap_or((text, "0"));
    let digits = |part: &str| !part.is_empty() && part.bytes().all(|byte| byte.is_ascii_digit());
    if digits(whole) && digits(fraction) { text.parse().ok() } else { None }
}

/// Feet and whole inches, rounded to the nearest inch: `66 ft`, `66'6"`.
#[must_use]
pub fn feet_and_inches_text(length: Metres) -> String {
    let inches = (length.get() / INCH).round();
    let (feet, inches) = ((inches / 12.0).floor(), inches % 12.0);
    if inches < 1.0 { format!("{feet:.0} ft") } else { format!("{feet:.0}'{inches:.0}\"") }
}

/// Metres to the centimetre: `20.12 m`.
#[must_use]
pub fn metres_text(length: Metres) -> String {
    format!("{:.2} m", length.get())
}

/// Both ways of writing it, for the echo of what was typed: `66 ft (20.12 m)`.
#[must_use]
pub fn in_both_units(length: Metres) -> String {
    format!("{} ({})", feet_and_inches_text(length), metres_text(length))
}

#[cfg(test)]
#[allow(clippy::unwrap_used, reason = "test code")]
mod tests {
    use super::*;
    use proptest::prelude::*;

    fn read(text: &str) -> f64 {
        text.parse::<Metres>().unwrap().get()
    }

    #[test]
    fn forms_that_people_write() {
        for text in
            ["66'6\"", "66' 6\"", "66 ft 6 in", "66ft 6in", "66.5 ft", "66′6″", "66’6”", "66'6''", " 66 FT 6 IN "]
        {
            assert!((read(text) - 66.5 * 0.3048).abs() < 1e-9, "{text}");
        }
        for (text, metres) in
            [("20.12 m", 20.12), ("21m", 21.0), ("95 cm", 0.95), ("6 in", 0.1524), ("84'", 25.6032), ("0 m", 0.0)]
        {
            assert!((read(text) - metres).abs() < 1e-9, "{text}");
        }
    }

    #[test]
    fn a_bare_number_is_refused() {
        assert_eq!("66".parse::<Metres>(), Err(LengthTextError::NoUnit("66".into())));
        assert_eq!("66'6".parse::<Metres>(), Err(LengthTextError::NoUnit("6".into())));
        assert_eq!(" ".parse::<Metres>(), Err(LengthTextError::Empty));
        assert!(LengthTextError::NoUnit("66".into()).to_string().contains("66 ft or 66 m"));
    }

    #[test]
    fn odd_texts_are_refused() {
        for text in ["-66 ft", "+66 ft", "21,95 m", "inf m", "nan ft", ".5 m", "5. m", "1.2.3 m", "ft", "'", "m 21"] {
            assert!(matches!(text.parse::<Metres>(), Err(LengthTextError::NotANumber(_))), "{text}");
        }
        for text in ["66 yd", "66 ft 6 ft", "66 ft 6 in 3", "2 m 5 cm", "66'6\"x", "66\"6'", "6 é", "1e3 m"] {
            let refused = text.parse::<Metres>();
            assert!(matches!(refused, Err(LengthTextError::UnknownUnit(_))), "{text}: {refused:?}");
        }
        for text in ["66'12\"", "66.5 ft 6 in"] {
            assert!(matches!(text.parse::<Metres>(), Err(LengthTextError::FeetAndInches(_))), "{text}");
        }
        assert!(matches!("99999 m".parse::<Metres>(), Err(LengthTextError::OutOfRange(_))));
    }

    #[test]
    fn inches_carry_into_feet() {
        assert_eq!(feet_and_inches_text(Metres::new(20.1168).unwrap()), "66 ft");
        assert_eq!(feet_and_inches_text(Metres::new(20.11).unwrap()), "66 ft");
        assert_eq!(feet_and_inches_text(Metres::new(20.2692).unwrap()), "66'6\"");
        assert_eq!(in_both_units(Metres::new(0.0).unwrap()), "0 ft (0.00 m)");
    }

    proptest! {
        #![proptest_config(ProptestConfig::with_cases(200))]

        #[test]
        fn whole_inches_survive_the_round_trip(feet in 0u8..=255, inches in 0u8..12) {
            let length = Metres::from_feet_inches(feet, inches);
            prop_assert!((read(&feet_and_inches_text(length)) - length.get()).abs() < 1e-9);
        }

        #[test]
        fn written_lengths_are_read_back_to_the_last_digit_shown(length in 0.0..9000.0f64) {
            let length = Metres::new(length).unwrap();
            prop_assert!((read(&metres_text(length)) - length.get()).abs() <= 0.005 + 1e-9);
            prop_assert!((read(&feet_and_inches_text(length)) - length.get()).abs() <= INCH / 2.0 + 1e-9);
        }

        #[test]
        fn no_text_panics(text in "[0-9a-z.'\"′ é-]{0,12}") {
            let _ = text.parse::<Metres>();
        }
    }
}
