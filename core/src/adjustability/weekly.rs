//! The range week by week, for drawing. Its points share data, so no slope is tested on them.
use super::range::{End, Ratio, fit};
use super::{Attempt, Settings, Verdict, trend};
use crate::calendar::Day;
use crate::units::Metres;
use serde::Serialize;

/// The range as it stood on one day.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct WeekPoint {
    /// The day of the fit; what was ridden on it counts.
    pub as_of: Day,
    /// The shortest stride that succeeds 8 times in 10.
    pub short_end: End,
    /// The longest.
    pub long_end: End,
    /// Long end over short end.
    pub ratio: Ratio,
}

/// The last so many Mondays up to the day, the oldest first: each is the day after a week's end.
///
/// ```
/// use stridewright_core::adjustability::mondays;
/// let thursday = "2026-06-04".parse()?;
/// let days: Vec<String> = mondays(thursday, 2).iter().map(ToString::to_string).collect();
/// assert_eq!(days, ["2026-05-25", "2026-06-01"]);
/// # Ok::<(), jiff::Error>(())
/// ```
#[must_use]
pub fn mondays(as_of: Day, weeks: u8) -> Vec<Day> {
    let last = as_of.plus(-i32::from(as_of.date().weekday().to_monday_zero_offset()));
    (0..i32::from(weeks)).rev().map(|back| last.plus(-7 * back)).collect()
}

/// The range as it stood on each of the days. The work is that of one fit a day.
pub fn weekly<'a, K: 'a>(
    attempts: impl IntoIterator<Item = &'a Attempt<K>> + Clone,
    days: &[Day],
    normal_stride: Metres,
    settings: &Settings,
) -> Vec<WeekPoint> {
    days.iter()
        .map(|&as_of| {
            let range = fit(attempts.clone(), as_of, normal_stride, settings);
            WeekPoint { as_of, short_end: range.short_end(), long_end: range.long_end(), ratio: range.ratio() }
        })
        .collect()
}

/// The last Monday within the trend's window whose verdict was a decline.
///
/// Successes under humbler asks after failures under stale ones look like recovery, so "improving" after
/// a decline is shown together with the decline and its date.
pub fn decline_before<'a, K: Ord + 'a>(
    attempts: impl IntoIterator<Item = &'a Attempt<K>> + Clone,
    as_of: Day,
    normal_stride: Metres,
    settings: &Settings,
) -> Option<Day> {
    let weeks = u8::try_from(settings.trend_window_d / 7).unwrap_or(u8::MAX);
    mondays(as_of, weeks)
        .into_iter()
        .rev()
        .find(|&day| trend(attempts.clone(), day, normal_stride, settings).verdict == Verdict::Declining)
}
