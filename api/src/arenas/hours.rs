//! When an arena is open, by the clock on its wall.
use crate::wire::leaf::Leaf;
use crate::wire::list::Member;
use crate::{choice, input};
use serde::{Deserialize, Serialize};
use std::fmt;
use stridewright_core::calendar::{Day, Instant, Zone};

choice! {
    /// A day of the week.
    pub enum Weekday { Monday, Tuesday, Wednesday, Thursday, Friday, Saturday, Sunday }
}

/// A time on the barn's clock, in minutes from midnight; 24:00 is the day's end.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Serialize, Deserialize)]
#[serde(try_from = "String", into = "String")]
pub struct ClockTime(u16);

/// The end of the day.
const MIDNIGHT: u16 = 24 * 60;

impl ClockTime {
    pub const fn minutes(self) -> u16 {
        self.0
    }
}

impl fmt::Display for ClockTime {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        write!(f, "{:02}:{:02}", self.0 / 60, self.0 % 60)
    }
}

impl From<ClockTime> for String {
    fn from(time: ClockTime) -> Self {
        time.to_string()
    }
}

impl TryFrom<String> for ClockTime {
    type Error = &'static str;
    fn try_from(text: String) -> Result<Self, Self::Error> {
        let digits = |part: &str| {
            if part.len() == 2 && part.bytes().all(|b| b.is_ascii_digit()) { part.parse::<u16>().ok() } else { None }
        };
        let minutes = text.split_once(':').and_then(|(hours, minutes)| {
            let (hours, minutes) = (digits(hours)?, digits(minutes)?);
            (minutes < 60).then_some(hours * 60 + minutes)
        });
        minutes.filter(|m| *m <= MIDNIGHT).map(Self).ok_or("must be a time of day from 00:00 to 24:00")
    }
}

impl utoipa::PartialSchema for ClockTime {
    fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .min_length(Some(5))
            .max_length(Some(5))
            .pattern(Some("^(([01][0-9]|2[0-3]):[0-5][0-9]|24:00)$"))
            .description(Some("A time on the barn's clock."))
            .examples(["07:30"])
            .into()
    }
}
impl utoipa::ToSchema for ClockTime {}
impl Leaf for ClockTime {}

input! {
    /// A time of one weekday at which the arena is open.
    #[derive(PartialEq, Eq, Serialize, Deserialize)]
    pub struct Opening {
        pub weekday: Weekday,
        pub opens: ClockTime,
        /// Later than `opens`; 24:00 for the day's end.
        #[schema(example = "21:00")]
        pub closes: ClockTime,
    }
}

impl Member for Opening {
    const MOST: usize = 28;
}

/// Whether an arena with these hours is open from the one moment to the other; without hours it always is.
pub fn open_throughout(hours: &[Opening], zone: &Zone, from: Instant, to: Instant) -> bool {
    if hours.is_empty() {
        return true;
    }
    let (first, last) = (from.day(zone), to.day(zone));
    (0..=last.since(first)).all(|n| {
        let day = first.plus(n);
        let start = if n == 0 { clock(from, zone) } else { 0 };
        let end = if day == last { clock(to, zone) } else { MIDNIGHT };
        covers(hours, weekday(day), start, end)
    })
}

/// When it is open on the days of that time: "open on 2026-06-04 from 08:00 to 12:00 and from 13:00 to 20:00".
pub fn words(hours: &[Opening], zone: &Zone, from: Instant, to: Instant) -> String {
    let (first, last) = (from.day(zone), to.day(zone));
    let of_day = |day: Day| {
        let mut openings: Vec<_> = hours.iter().filter(|o| o.weekday == weekday(day)).collect();
        openings.sort_by_key(|o| o.opens);
        let times: Vec<String> = openings.iter().map(|o| format!("from {} to {}", o.opens, o.closes)).collect();
        if times.is_empty() { format!("closed on {day}") } else { format!("open on {day} {}", times.join(" and ")) }
    };
    (0..=last.since(first).min(1)).map(|n| of_day(first.plus(n))).collect::<Vec<_>>().join(", ")
}

/// Whether the openings of a weekday hold the time without a gap.
fn covers(hours: &[Opening], weekday: Weekday, start: u16, end: u16) -> bool {
    let mut openings: Vec<_> = hours.iter().filter(|o| o.weekday == weekday).collect();
    openings.sort_by_key(|o| o.opens);
    let reached =
        openings.iter().fold(start, |reached, o| if o.opens.0 <= reached { reached.max(o.closes.0) } else { reached });
    reached >= end
}

/// Minutes on the clock, a part of one counted as begun.
fn clock(at: Instant, zone: &Zone) -> u16 {
    let time = at.on_the_wall(zone).time();
    let whole = u16::try_from(i32::from(time.hour()) * 60 + i32::from(time.minute())).unwrap_or(0);
    whole + u16::from(time.second() > 0 || time.subsec_nanosecond() > 0)
}

fn weekday(day: Day) -> Weekday {
    match day.date().weekday() {
        jiff::civil::Weekday::Monday => Weekday::Monday,
        jiff::civil::Weekday::Tuesday => Weekday::Tuesday,
        jiff::civil::Weekday::Wednesday => Weekday::Wednesday,
        jiff::civil::Weekday::Thursday => Weekday::Thursday,
        jiff::civil::Weekday::Friday => Weekday::Friday,
        jiff::civil::Weekday::Saturday => Weekday::Saturday,
        jiff::civil::Weekday::Sunday => Weekday::Sunday,
    }
}

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "tests")]
    use super::*;

    fn opening(weekday: Weekday, opens: &str, closes: &str) -> Opening {
        Opening { weekday, opens: opens.to_owned().try_into().unwrap(), closes: closes.to_owned().try_into().unwrap() }
    }

    fn open(hours: &[Opening], from: &str, to: &str) -> bool {
        // a Thursday, an hour before UTC in summer
        open_throughout(hours, &Zone::new("Europe/Lisbon").unwrap(), from.parse().unwrap(), to.parse().unwrap())
    }

    #[test]
    fn hours_are_those_of_the_clock_on_the_wall() {
        let hours = [opening(Weekday::Thursday, "08:00", "12:00"), opening(Weekday::Thursday, "12:00", "20:00")];
        assert!(open(&hours, "2026-06-04T07:00:00Z", "2026-06-04T19:00:00Z"));
        assert!(open(&hours, "2026-01-01T08:00:00Z", "2026-01-01T20:00:00Z"));
        assert!(!open(&hours, "2026-06-04T06:59:00Z", "2026-06-04T09:00:00Z"));
        assert!(!open(&hours, "2026-06-04T18:00:00Z", "2026-06-04T19:00:01Z"));
        assert!(!open(&hours, "2026-06-05T10:00:00Z", "2026-06-05T11:00:00Z"));
        assert!(open(&[], "2026-06-05T02:00:00Z", "2026-06-06T03:00:00Z"));
    }

    #[test]
    fn a_gap_at_noon_closes_and_a_night_is_open_across_midnight() {
        let gap = [opening(Weekday::Thursday, "08:00", "12:00"), opening(Weekday::Thursday, "13:00", "20:00")];
        assert!(!open(&gap, "2026-06-04T10:30:00Z", "2026-06-04T12:30:00Z"));
        let night = [opening(Weekday::Thursday, "20:00", "24:00"), opening(Weekday::Friday, "00:00", "02:00")];
        assert!(open(&night, "2026-06-04T21:00:00Z", "2026-06-05T00:30:00Z"));
        assert!(!open(&night, "2026-06-04T21:00:00Z", "2026-06-05T01:30:00Z"));
    }

    #[test]
    fn times_of_day_are_read_strictly() {
        for text in ["24:01", "7:30", "07:60", "+7:30", "0730", "ab:cd"] {
            assert!(ClockTime::try_from(text.to_owned()).is_err(), "{text}");
        }
        assert_eq!(ClockTime::try_from("07:30".to_owned()).unwrap().to_string(), "07:30");
    }
}
