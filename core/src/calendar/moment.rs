//! How dates and moments are written where strangers send them: RFC 3339, as narrow as its pattern.

use super::Instant;

/// The years that both databases keep, and that a barn can mean: 1900 to 2199.
macro_rules! date {
    () => {
        "(19|2[01])[0-9]{2}-(0[1-9]|1[0-2])-(0[1-9]|[12][0-9]|3[01])"
    };
}

/// The pattern of a date.
pub const DATE: &str = concat!("^", date!(), "$");
/// The pattern of a moment: capital letters, no leap second, an offset of at most a day.
pub const DATE_TIME: &str = concat!(
    "^",
    date!(),
    "T([01][0-9]|2[0-3]):[0-5][0-9]:[0-5][0-9](\\.[0-9]{1,9})?(Z|[+-]([01][0-9]|2[0-3]):[0-5][0-9])$"
);

/// A number of two digits at the place, not above the greatest.
fn two(text: &[u8], at: usize, most: u8) -> bool {
    match (text.get(at), text.get(at + 1)) {
        (Some(tens @ b'0'..=b'9'), Some(ones @ b'0'..=b'9')) => (tens - b'0') * 10 + (ones - b'0') <= most,
        _ => false,
    }
}

fn date(text: &[u8]) -> bool {
    let year = two(text, 0, 21) && two(text, 2, 99) && text.get(..2).is_some_and(|century| century >= b"19".as_slice());
    let zero = |at: usize| text.get(at..at + 2) == Some(b"00".as_slice());
    year && text.get(4) == Some(&b'-')
        && two(text, 5, 12)
        && !zero(5)
        && text.get(7) == Some(&b'-')
        && two(text, 8, 31)
        && !zero(8)
}

/// Whether it is written like a date; the calendar may still have no such day.
///
/// ```
/// use stridewright_core::calendar::moment::is_date;
/// assert!(is_date("2026-06-04"));
/// assert!(!is_date("20260604") && !is_date("1899-12-31") && !is_date("2200-01-01"));
/// ```
#[must_use]
pub fn is_date(text: &str) -> bool {
    text.len() == 10 && date(text.as_bytes())
}

/// Whether it is written like a moment; the calendar may still have no such day.
///
/// ```
/// use stridewright_core::calendar::moment::is_date_time;
/// assert!(is_date_time("2026-06-04T16:00:00Z") && is_date_time("2026-06-04T16:00:00.5+01:00"));
/// assert!(!is_date_time("2026-06-04t16:00:00z") && !is_date_time("2026-06-04T16:00:60Z"));
/// ```
#[must_use]
pub fn is_date_time(text: &str) -> bool {
    let bytes = text.as_bytes();
    let is = |at: usize, mark: u8| bytes.get(at) == Some(&mark);
    let clock = is(10, b'T') && two(bytes, 11, 23) && is(13, b':') && two(bytes, 14, 59) && is(16, b':');
    if !date(bytes) || !clock || !two(bytes, 17, 59) {
        return false;
    }
    let rest = text.get(19..).unwrap_or_default();
    let digits = rest.strip_prefix('.').map_or(0, |tail| tail.bytes().take_while(u8::is_ascii_digit).count());
    if rest.starts_with('.') && !(1..=9).contains(&digits) {
        return false;
    }
    let offset = if digits == 0 { rest } else { rest.get(digits + 1..).unwrap_or_default() };
    let numbered = offset.as_bytes();
    offset == "Z"
        || (offset.len() == 6
            && offset.starts_with(['+', '-'])
            && two(numbered, 1, 23)
            && numbered.get(3) == Some(&b':')
            && two(numbered, 4, 59))
}

/// Whether the moment is of the years 1900 to 2199 in UTC too: the offset it was written with may carry it over the ends
/// of what its text says.
///
/// ```
/// use stridewright_core::calendar::moment::is_kept;
/// assert!(is_kept("2026-06-04T16:00:00Z".parse()?) && is_kept("1900-01-01T00:00:00Z".parse()?));
/// assert!(!is_kept("2199-12-31T23:30:00-08:00".parse()?) && !is_kept("1900-01-01T00:30:00+14:00".parse()?));
/// # Ok::<(), jiff::Error>(())
/// ```
#[must_use]
pub fn is_kept(moment: Instant) -> bool {
    (-2_208_988_800_000_000..7_258_118_400_000_000).contains(&moment.micros())
}
