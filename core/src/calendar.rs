//! Instants and local days. A day is a date in the barn's zone, never 24 hours.
use jiff::civil::{Date, DateTime};
use jiff::tz::TimeZone;
use jiff::{Span, Timestamp};
use std::fmt;

pub mod moment;

/// A moment, cut to microseconds so that both databases keep it exactly.
///
/// ```
/// use stridewright_core::calendar::{Instant, Zone};
/// let late: Instant = "2026-06-01T23:00:00Z".parse()?;
/// assert_eq!(late.day(&Zone::new("Europe/London")?).to_string(), "2026-06-02"); // summer time
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "diesel", derive(diesel::expression::AsExpression, diesel::deserialize::FromSqlRow))]
#[cfg_attr(feature = "diesel", diesel(sql_type = crate::sql::Instant))]
pub struct Instant(i64);

impl Instant {
    /// From microseconds since 1970-01-01T00:00:00Z; `None` outside the years a calendar can name.
    #[must_use]
    pub fn from_micros(micros: i64) -> Option<Self> {
        Timestamp::from_microsecond(micros).ok().map(|_| Self(micros))
    }

    /// Microseconds since 1970-01-01T00:00:00Z.
    #[must_use]
    pub const fn micros(self) -> i64 {
        self.0
    }

    /// The moment so many seconds later (or, negative, earlier); stays where it is at the calendar's ends.
    #[must_use]
    pub fn plus_seconds(self, seconds: i64) -> Self {
        seconds.checked_mul(1_000_000).and_then(|d| self.0.checked_add(d)).and_then(Self::from_micros).unwrap_or(self)
    }

    /// The date of this moment on the barn's calendar.
    #[must_use]
    pub fn day(self, zone: &Zone) -> Day {
        Day(self.timestamp().to_zoned_datetime(zone.0.clone()).date())
    }

    /// What clock and calendar on the wall say there.
    ///
    /// ```
    /// use stridewright_core::calendar::{Instant, Zone};
    /// let evening: Instant = "2026-07-01T22:30:00Z".parse()?;
    /// assert_eq!(evening.on_the_wall(&Zone::new("Europe/Oslo")?).to_string(), "2026-07-02T00:30:00");
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn on_the_wall(self, zone: &Zone) -> DateTime {
        zone.0.to_datetime(self.timestamp())
    }

    fn timestamp(self) -> Timestamp {
        Timestamp::from_microsecond(self.0).unwrap_or(Timestamp::UNIX_EPOCH)
    }
}

impl From<Timestamp> for Instant {
    fn from(at: Timestamp) -> Self {
        Self(at.as_microsecond())
    }
}
impl std::str::FromStr for Instant {
    type Err = jiff::Error;
    fn from_str(text: &str) -> Result<Self, jiff::Error> {
        text.parse::<Timestamp>().map(Self::from)
    }
}
impl fmt::Display for Instant {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.timestamp().fmt(f)
    }
}
impl serde::Serialize for Instant {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
impl<'de> serde::Deserialize<'de> for Instant {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Timestamp::deserialize(deserializer).map(Self::from)
    }
}

/// A date on the barn's calendar.
///
/// ```
/// use stridewright_core::calendar::Day;
/// let injured: Day = "2026-06-01".parse()?;
/// assert_eq!(injured.plus(21).to_string(), "2026-06-22");
/// assert_eq!(injured.plus(21).since(injured), 21);
/// # Ok::<(), jiff::Error>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash)]
#[cfg_attr(feature = "diesel", derive(diesel::expression::AsExpression, diesel::deserialize::FromSqlRow))]
#[cfg_attr(feature = "diesel", diesel(sql_type = crate::sql::Day))]
pub struct Day(Date);

const EPOCH: Date = jiff::civil::date(1970, 1, 1);

impl Day {
    /// Day number 0, 1970-01-01.
    pub const EPOCH: Self = Self(EPOCH);

    /// The day so many days on (back, where negative); saturates at the calendar's ends.
    #[must_use]
    pub fn plus(self, days: i32) -> Self {
        let end = if days < 0 { Date::MIN } else { Date::MAX };
        Self(Span::new().try_days(days).map_or(end, |span| self.0.saturating_add(span)))
    }

    /// Whole days from `earlier` to this one; negative where this is the earlier.
    #[must_use]
    pub fn since(self, earlier: Self) -> i32 {
        self.number() - earlier.number()
    }

    /// Days since 1970-01-01.
    #[must_use]
    pub fn number(self) -> i32 {
        self.0.since((jiff::Unit::Day, EPOCH)).map_or(0, |span| span.get_days())
    }

    /// The day of that number, counted from 1970-01-01; `None` outside the calendar.
    #[must_use]
    pub fn from_number(number: i32) -> Option<Self> {
        Span::new().try_days(number).and_then(|span| EPOCH.checked_add(span)).ok().map(Self)
    }

    /// How long the day lasts in the zone, in seconds: 86,400 but where clocks change, 0 for a date that was skipped.
    ///
    /// ```
    /// use stridewright_core::calendar::{Day, Zone};
    /// let clocks_forward: Day = "2026-03-29".parse()?;
    /// assert_eq!(clocks_forward.seconds(&Zone::new("Europe/London")?), 23 * 3600);
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn seconds(self, zone: &Zone) -> i64 {
        (self.plus(1).start(zone).0 - self.start(zone).0) / 1_000_000
    }

    /// The civil date inside.
    #[must_use]
    pub const fn date(self) -> Date {
        self.0
    }

    /// The first moment of the day in the zone.
    #[must_use]
    pub fn start(self, zone: &Zone) -> Instant {
        zone.0.to_zoned_datetime(self.0.at(0, 0, 0, 0)).map_or(Instant(0), |z| Instant::from(z.timestamp()))
    }
}

impl From<Date> for Day {
    fn from(date: Date) -> Self {
        Self(date)
    }
}
impl std::str::FromStr for Day {
    type Err = jiff::Error;
    fn from_str(text: &str) -> Result<Self, jiff::Error> {
        text.parse::<Date>().map(Self)
    }
}
impl fmt::Display for Day {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        self.0.fmt(f)
    }
}
impl serde::Serialize for Day {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        serializer.collect_str(self)
    }
}
impl<'de> serde::Deserialize<'de> for Day {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        Date::deserialize(deserializer).map(Self)
    }
}

/// No such zone in the IANA database.
#[derive(Debug, Clone, PartialEq, Eq, thiserror::Error)]
#[error("must be a time zone of the IANA database, such as Europe/Lisbon")]
pub struct UnknownZone;

/// A time zone of the IANA database, which is compiled in so that every machine knows the same one.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct Zone(TimeZone);

impl Zone {
    /// Looks the name up.
    ///
    /// # Errors
    /// [`UnknownZone`] where the database has no such name.
    pub fn new(name: &str) -> Result<Self, UnknownZone> {
        TimeZone::get(name).map(Self).map_err(|_| UnknownZone)
    }

    /// All names that the database has.
    #[must_use]
    pub fn names() -> Vec<String> {
        jiff::tz::db().available().map(|name| name.to_string()).collect()
    }

    /// Coordinated universal time.
    #[must_use]
    pub const fn utc() -> Self {
        Self(TimeZone::UTC)
    }

    /// The IANA name.
    #[must_use]
    pub fn name(&self) -> &str {
        self.0.iana_name().unwrap_or("UTC")
    }

    /// The zone for calendar arithmetic.
    #[must_use]
    pub const fn time_zone(&self) -> &TimeZone {
        &self.0
    }
}

#[cfg(feature = "utoipa")]
mod schema {
    use utoipa::openapi::{
        KnownFormat, ObjectBuilder, RefOr, SchemaFormat,
        schema::{Schema, Type},
    };

    impl utoipa::PartialSchema for super::Instant {
        fn schema() -> RefOr<Schema> {
            ObjectBuilder::new()
                .schema_type(Type::String)
                .format(Some(SchemaFormat::KnownFormat(KnownFormat::DateTime)))
                .pattern(Some(super::moment::DATE_TIME))
                .min_length(Some(20))
                .max_length(Some(35))
                .description(Some("A moment, RFC 3339; answers are in UTC."))
                .examples(["2026-06-04T16:00:00Z"])
                .into()
        }
    }
    impl utoipa::ToSchema for super::Instant {}

    impl utoipa::PartialSchema for super::Day {
        fn schema() -> RefOr<Schema> {
            ObjectBuilder::new()
                .schema_type(Type::String)
                .format(Some(SchemaFormat::KnownFormat(KnownFormat::Date)))
                .pattern(Some(super::moment::DATE))
                .min_length(Some(10))
                .max_length(Some(10))
                .description(Some("A date on the barn's calendar."))
                .examples(["2026-06-04"])
                .into()
        }
    }
    impl utoipa::ToSchema for super::Day {}
}
