//! A horse under one rider: what it does under others, widened, and what it did under this one.
use super::linear::{Cholesky, diagonal, plus};
use super::posterior::Prior;
use super::range::{Range, barn_prior, fit_with};
use super::{Attempt, Settings, attempt::Used};
use crate::calendar::Day;
use crate::units::Metres;
use std::collections::BTreeSet;

/// The attempts of one rider, in their order: what the next ask and the trend of a pair go by.
pub fn of_rider<'a, K: Ord>(attempts: &'a [Attempt<K>], rider: &'a K) -> impl Iterator<Item = &'a Attempt<K>> {
    attempts.iter().filter(move |a| a.rider.as_ref() == Some(rider))
}

/// Fits the range of the horse under one rider.
///
/// Its prior is the posterior of the horse under the other riders, widened by what a rider changes, the
/// more the fewer they are; without others it is the barn's. So no attempt counts twice, and a rider new
/// to the horse gets the horse's range with a wider band. Attempts without a rider count among the
/// others, all of them together as one rider.
pub fn pair<K: Ord>(
    attempts: &[Attempt<K>],
    rider: &K,
    as_of: Day,
    normal_stride: Metres,
    settings: &Settings,
) -> Range {
    let others = || attempts.iter().filter(|a| a.rider.as_ref() != Some(rider));
    let riders: BTreeSet<Option<&K>> = others()
        .filter(|a| Used::of(a, as_of, normal_stride, settings.window_d, settings).is_some())
        .map(|a| a.rider.as_ref())
        .collect();
    let mut prior = barn_prior(settings);
    if !riders.is_empty() {
        let horse = fit_with(others(), as_of, normal_stride, settings, &prior).posterior;
        let factor = 1.0 + 1.0 / riders.len() as f64;
        let covariance = plus(&horse.covariance, factor, &diagonal(&settings.pair_sd.map(|sd| sd * sd)));
        if let Some(factored) = Cholesky::of(&covariance) {
            prior = Prior { mean: horse.theta, precision: factored.inverse() };
        }
    }
    fit_with(of_rider(attempts, rider), as_of, normal_stride, settings, &prior)
}
