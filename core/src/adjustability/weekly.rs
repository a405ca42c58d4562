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

#[cfg(test)]
mod tests {
    #![allow(clippy::unwrap_used, reason = "test code")]
    use super::*;
    use crate::adjustability::{Fault, Kind};

    /// Weeks before the day, strides asked on 18 m of room, met or stopped; on one day a week, twice.
    fn rides(as_of: Day, weeks: &[(i32, u8, bool)]) -> Vec<Attempt<u8>> {
        let m = |value| Metres::new(value).unwrap();
        let ride = |&(week, asked, met): &(i32, u8, bool)| Attempt {
            day: as_of.plus(-7 * week),
            rider: Some(1),
            distance: m(21.6),
            allowance: m(3.6),
            asked: Some(asked),
            ridden: met.then_some(asked),
            fault: (!met).then_some(Fault::Refusal),
            approach: None,
            height: m(0.9),
            kind: Kind::Fence,
            combination: false,
            circle: false,
        };
        weeks.iter().chain(weeks).map(ride).collect()
    }

    #[test]
    fn a_decline_is_remembered_with_its_last_monday() {
        let (today, stride): (Day, _) = ("2026-06-04".parse().unwrap(), Metres::new(3.6).unwrap());
        let mut weeks: Vec<_> = (8..19).flat_map(|week| [(week, 8, true); 3]).collect();
        weeks.extend((0..8).flat_map(|week| [(week, 6, false), (week, 7, false), (week, 5, true)]));
        let attempts = rides(today, &weeks);
        let settings = Settings::default();
        assert_eq!(trend(&attempts, today, stride, &settings).verdict, Verdict::Declining);
        assert_eq!(decline_before(&attempts, today, stride, &settings), Some("2026-06-01".parse().unwrap()));
        let only_met = rides(today, &(0..19).map(|week| (week, 6, true)).collect::<Vec<_>>());
        assert_eq!(decline_before(&only_met, today, stride, &settings), None);
    }

    #[test]
    fn a_point_is_the_fit_of_its_day() {
        let (today, stride): (Day, _) = ("2026-06-04".parse().unwrap(), Metres::new(3.6).unwrap());
        let (attempts, settings) = (rides(today, &[(0, 6, true), (1, 7, false), (2, 5, true)]), Settings::default());
        let days = mondays(today, 3);
        let points = weekly(&attempts, &days, stride, &settings);
        assert_eq!(points.iter().map(|point| point.as_of).collect::<Vec<_>>(), days);
        for point in points {
            // what was ridden after the day is not known on it
            let known: Vec<_> = attempts.iter().filter(|a| a.day <= point.as_of).cloned().collect();
            assert_eq!(point.ratio, fit(&known, point.as_of, stride, &settings).ratio());
        }
    }
}
