//! The fit of a horse's range, and what is read off it.
use super::attempt::Used;
use super::linear::{Matrix, Vector, quadratic};
use super::posterior::{Curve, Observation, Posterior, Prior, sigmoid};
use super::{Attempt, Settings};
use crate::calendar::Day;
use crate::units::{Factor, LogStretch, Metres, Probability};
use serde::Serialize;
use std::collections::BTreeMap;

/// One end of the adjustable range: the stride that succeeds 8 times in 10.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct End {
    /// The stride.
    pub stride_m: Metres,
    /// 80 % band of the stride, the shorter first.
    pub band_m: [Metres; 2],
    /// The rides say next to nothing about this end: shown as "assumed, not ridden".
    pub assumed: bool,
}

/// The adjustability ratio: long end over short end.
#[derive(Debug, Clone, Copy, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Ratio {
    /// The ratio, always above 1.
    pub value: Factor,
    /// Its 80 % band.
    pub band: [Factor; 2],
    /// One of the ends is assumed.
    pub assumed: bool,
}

/// A fitted range. See [`fit`].
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Range {
    pub(super) posterior: Posterior<3>,
    pub(super) curve: Curve,
    normal_stride: Metres,
    attempts: usize,
    weight: f64,
    z_band: f64,
    z_lower: f64,
    /// Standard deviations of the two ends above which they are assumed.
    assumed_above: [f64; 2],
}

/// Fits the range of a horse with that normal stride to what was ridden up to the day.
///
/// Attempts of later days, older than the window, with a circle between, without room or count are
/// ignored, so the work is bounded by the window. With none left the answer is the prior, both ends
/// assumed.
pub fn fit<'a, K: 'a>(
    attempts: impl IntoIterator<Item = &'a Attempt<K>>,
    as_of: Day,
    normal_stride: Metres,
    settings: &Settings,
) -> Range {
    fit_with(attempts, as_of, normal_stride, settings, &barn_prior(settings))
}

pub(super) fn barn_prior(settings: &Settings) -> Prior<3> {
    Prior::independent(settings.prior_mean, settings.prior_sd)
}

pub(super) fn fit_with<'a, K: 'a>(
    attempts: impl IntoIterator<Item = &'a Attempt<K>>,
    as_of: Day,
    normal_stride: Metres,
    settings: &Settings,
    prior: &Prior<3>,
) -> Range {
    let used: Vec<Used> =
        attempts.into_iter().filter_map(|a| Used::of(a, as_of, normal_stride, settings.window_d, settings)).collect();
    let shares = day_divisors(&used, settings.rho);
    let data: Vec<Observation> = used
        .iter()
        .zip(&shares)
        .map(|(a, divisor)| Observation {
            x: a.x,
            shown: a.shown,
            weight: 0.5_f64.powf(f64::from(a.age) / settings.half_life_d) / divisor,
            weeks: 0.0,
        })
        .collect();
    let curve = Curve { lapse: settings.lapse.get() };
    let [short_sd, long_sd, _] = settings.prior_sd;
    Range {
        posterior: curve.maximum(&data, prior),
        curve,
        normal_stride,
        attempts: data.len(),
        weight: data.iter().map(|o| o.weight).sum(),
        z_band: settings.z_band,
        z_lower: settings.z_lower,
        assumed_above: [settings.assumed_sd * short_sd, settings.assumed_sd * long_sd],
    }
}

/// The design effect of the day of each attempt: 1 + (attempts of the day - 1) rho.
pub(super) fn day_divisors(used: &[Used], rho: f64) -> Vec<f64> {
    let mut per_day: BTreeMap<Day, f64> = BTreeMap::new();
    for a in used {
        *per_day.entry(a.day).or_default() += 1.0;
    }
    used.iter().map(|a| 1.0 + (per_day.get(&a.day).copied().unwrap_or(1.0) - 1.0) * rho).collect()
}

impl Range {
    /// The normal stride the fit was made with.
    #[must_use]
    pub const fn normal_stride(&self) -> Metres {
        self.normal_stride
    }

    /// How many attempts entered.
    #[must_use]
    pub const fn attempts(&self) -> usize {
        self.attempts
    }

    /// The sum of their weights: how many fresh attempts on days of their own they are worth.
    #[must_use]
    pub const fn weight(&self) -> f64 {
        self.weight
    }

    /// The maximum: ln of the short end, of the long end (both in log stretch), and of the steepness.
    #[must_use]
    pub const fn theta(&self) -> [f64; 3] {
        self.posterior.theta
    }

    /// The covariance of [`Self::theta`], row by row.
    #[must_use]
    pub const fn covariance(&self) -> [[f64; 3]; 3] {
        self.posterior.covariance
    }

    /// The log posterior density at the maximum, without constants.
    #[must_use]
    pub const fn log_posterior(&self) -> f64 {
        self.posterior.log_density
    }

    /// How far below the normal stride the short end lies, as a positive log stretch.
    #[must_use]
    pub fn shortens_by(&self) -> LogStretch {
        let [u, ..] = self.posterior.theta;
        LogStretch::nearest(u.exp())
    }

    /// How far above the normal stride the long end lies, as a log stretch.
    #[must_use]
    pub fn lengthens_by(&self) -> LogStretch {
        let [_, u, _] = self.posterior.theta;
        LogStretch::nearest(u.exp())
    }

    /// The shortest stride that succeeds 8 times in 10.
    #[must_use]
    pub fn short_end(&self) -> End {
        let ([u, ..], [sd, ..], [above, _]) = (self.posterior.theta, self.posterior.sd(), self.assumed_above);
        let stride = |u: f64| Metres::nearest(self.normal_stride.get() * (-u.exp()).exp());
        End {
            stride_m: stride(u),
            band_m: [stride(u + self.z_band * sd), stride(u - self.z_band * sd)],
            assumed: sd > above,
        }
    }

    /// The longest stride that succeeds 8 times in 10.
    #[must_use]
    pub fn long_end(&self) -> End {
        let ([_, u, _], [_, sd, _], [_, above]) = (self.posterior.theta, self.posterior.sd(), self.assumed_above);
        let stride = |u: f64| Metres::nearest(self.normal_stride.get() * u.exp().exp());
        End {
            stride_m: stride(u),
            band_m: [stride(u - self.z_band * sd), stride(u + self.z_band * sd)],
            assumed: sd > above,
        }
    }

    /// Long end over short end, with a band that never reaches 1 (normal in ln ln ratio, delta method).
    #[must_use]
    pub fn ratio(&self) -> Ratio {
        let [short, long, _] = self.posterior.theta;
        let (short, long) = (short.exp(), long.exp());
        let log = short + long;
        let sd = quadratic(&self.posterior.covariance, &[short, long, 0.0]).max(0.0).sqrt();
        let factor = |z: f64| Factor::nearest((log * (z * sd / log).exp()).exp());
        Ratio {
            value: factor(0.0),
            band: [factor(-self.z_band), factor(self.z_band)],
            assumed: self.short_end().assumed || self.long_end().assumed,
        }
    }

    /// The stretch of a stride of that length; `None` for a stride of 0.
    #[must_use]
    pub fn stretch(&self, stride: Metres) -> Option<LogStretch> {
        LogStretch::new((stride.get() / self.normal_stride.get()).ln()).ok()
    }

    /// The chance that the horse shows a stretch, at the maximum.
    #[must_use]
    pub fn chance(&self, x: LogStretch) -> Probability {
        Probability::nearest(self.curve.chance(self.at(x.get()).0))
    }

    /// The chance it has at the least: the lower 80 % limit, one-sided. Asks are judged by it.
    #[must_use]
    pub fn cautious_chance(&self, x: LogStretch) -> Probability {
        Probability::nearest(self.lower(x.get()))
    }

    /// The chance averaged over what is not known: the forecast of the next attempt (MacKay 1992).
    #[must_use]
    pub fn forecast_chance(&self, x: LogStretch) -> Probability {
        let (eta, variance) = self.at(x.get());
        Probability::nearest(self.curve.chance(eta / (1.0 + std::f64::consts::PI * variance / 8.0).sqrt()))
    }

    pub(super) fn lower(&self, x: f64) -> f64 {
        let (eta, variance) = self.at(x);
        (1.0 - self.curve.lapse) * sigmoid(eta - self.z_lower * variance.sqrt())
    }

    /// The linear predictor and its variance.
    fn at(&self, x: f64) -> (f64, f64) {
        let (theta, covariance): (&Vector<3>, &Matrix<3>) = (&self.posterior.theta, &self.posterior.covariance);
        let at = self.curve.predictor(theta, x, 0.0);
        (at.eta, quadratic(covariance, &at.gradient).max(0.0))
    }
}
