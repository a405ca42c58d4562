//! Whether the range grows or shrinks over the last weeks: one fit with a drift of both ends.
use super::attempt::Used;
use super::posterior::{Curve, Observation, Prior};
use super::range::day_divisors;
use super::{Attempt, Settings};
use crate::calendar::Day;
use crate::units::Metres;
use serde::{Deserialize, Serialize};
use std::collections::BTreeMap;

/// What the last weeks say about the range.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, Serialize, Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Verdict {
    /// Too few days with attempts, or too short a time from the first to the last.
    NotEnoughRides,
    /// The asks were too easy or too hard to tell.
    RangeUntested,
    /// There is a change, but another rider rode more in the newer half.
    RidersChanged,
    /// The range grows.
    Improving,
    /// The range shrinks.
    Declining,
    /// No change is shown; there may be one that is too small to see.
    Steady,
}

impl Verdict {
    /// The words shown.
    #[must_use]
    pub const fn words(self) -> &'static str {
        match self {
            Self::NotEnoughRides => "not enough rides yet",
            Self::RangeUntested => "the rides hardly test the range",
            Self::RidersChanged => "another rider rode more lately: no verdict",
            Self::Improving => "probably improving over the last 20 weeks",
            Self::Declining => "probably declining over the last 20 weeks",
            Self::Steady => "no change shown",
        }
    }
}

/// The drift of the range. See [`trend`].
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Trend {
    /// The verdict.
    pub verdict: Verdict,
    /// Drift of the logarithm of both ends, per week.
    pub per_week: f64,
    /// Its 80 % band.
    pub band: [f64; 2],
    /// Its standard deviation.
    pub sd: f64,
    /// Drift over its standard deviation.
    pub zeta: f64,
    /// The fit behind it: ln short end, ln long end, ln steepness, drift.
    #[serde(skip)]
    pub theta: [f64; 4],
}

impl Trend {
    /// The change of the range in per cent a week, with its 80 % band.
    ///
    /// ```
    /// use stridewright_core::adjustability::{Attempt, Settings, trend};
    /// use stridewright_core::units::Metres;
    /// let none: [Attempt<u8>; 0] = [];
    /// let drift = trend(&none, "2026-06-04".parse()?, Metres::new(3.6)?, &Settings::default());
    /// let (change, [low, high]) = drift.percent_per_week();
    /// assert!(change.abs() < 1e-12);
    /// assert!((low + 3.77).abs() < 0.01 && (high - 3.92).abs() < 0.01); // 100 (exp(-+1.2816 * 0.03) - 1)
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn percent_per_week(&self) -> (f64, [f64; 2]) {
        let percent = |d: f64| 100.0 * d.exp_m1();
        (percent(self.per_week), self.band.map(percent))
    }
}

/// Fits the drift over the trend's window and names the verdict.
///
/// In this fit attempts do not fade. About four steady horses in ten are called improving or declining
/// at some week of a year (simulated), so one week's verdict is no reason to act.
pub fn trend<'a, K: Ord + 'a>(
    attempts: impl IntoIterator<Item = &'a Attempt<K>>,
    as_of: Day,
    normal_stride: Metres,
    settings: &Settings,
) -> Trend {
    let (riders, used): (Vec<Option<&K>>, Vec<Used>) = attempts
        .into_iter()
        .filter_map(|a| {
            Used::of(a, as_of, normal_stride, settings.trend_window_d, settings).map(|used| (a.rider.as_ref(), used))
        })
        .unzip();
    let data: Vec<Observation> = used
        .iter()
        .zip(day_divisors(&used, settings.rho))
        .map(|(a, divisor)| Observation {
            x: a.x,
            shown: a.shown,
            weight: 1.0 / divisor,
            weeks: -f64::from(a.age) / 7.0,
        })
        .collect();
    let ([m_s, m_l, m_k], [s_s, s_l, s_k]) = (settings.prior_mean, settings.prior_sd);
    let prior = Prior::independent([m_s, m_l, m_k, 0.0], [s_s, s_l, s_k, settings.drift_prior_sd]);
    let posterior = Curve { lapse: settings.lapse.get() }.maximum(&data, &prior);
    let ([_, _, _, drift], [_, _, _, sd]) = (posterior.theta, posterior.sd());
    let zeta = drift / sd;
    let ages: Vec<i32> = used.iter().map(|a| a.age).collect();
    let verdict = if !enough(&ages, settings) {
        Verdict::NotEnoughRides
    } else if sd > settings.max_drift_sd {
        Verdict::RangeUntested
    } else if zeta >= settings.z_improving || zeta <= -settings.z_declining {
        if riders_changed(&riders, &ages, settings.riders_share) {
            Verdict::RidersChanged
        } else if zeta >= settings.z_improving {
            Verdict::Improving
        } else {
            Verdict::Declining
        }
    } else {
        Verdict::Steady
    };
    let reach = settings.z_band * sd;
    Trend { verdict, per_week: drift, band: [drift - reach, drift + reach], sd, zeta, theta: posterior.theta }
}

fn enough(ages: &[i32], settings: &Settings) -> bool {
    let mut days = ages.to_vec();
    days.sort_unstable();
    days.dedup();
    let span = days.last().zip(days.first()).map_or(0, |(last, first)| last - first);
    days.len() as u64 >= u64::from(settings.min_days) && span >= settings.min_span_d
}

/// Whether some rider's share of the attempts differs by more than `limit` between the older half of
/// the time and the newer. The middle day is of the older half.
fn riders_changed<K: Ord>(riders: &[Option<&K>], ages: &[i32], limit: f64) -> bool {
    let twice_middle = ages.iter().min().zip(ages.iter().max()).map_or(0, |(newest, oldest)| newest + oldest);
    let mut counts: BTreeMap<Option<&K>, [f64; 2]> = BTreeMap::new();
    let mut totals = [0.0; 2];
    for (rider, age) in riders.iter().zip(ages) {
        let half = if 2 * age >= twice_middle { [1.0, 0.0] } else { [0.0, 1.0] };
        let count = counts.entry(*rider).or_default();
        for ((count, total), one) in count.iter_mut().zip(&mut totals).zip(half) {
            *count += one;
            *total += one;
        }
    }
    let [older, newer] = totals.map(|total: f64| total.max(1.0));
    counts.values().any(|[o, n]| (o / older - n / newer).abs() > limit)
}
