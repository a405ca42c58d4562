//! The figures of the model and of the rules; all of them conventions that a barn may change.
use crate::units::{LogStretch, Metres, Probability};
use serde::{Deserialize, Serialize};

/// What the fit, the verdict and the next ask go by. Log stretches are ln(stride / normal stride).
///
/// The defaults are conventions for schooling, not measured facts and no veterinary advice.
#[derive(Debug, Clone, Copy, PartialEq, Serialize, Deserialize)]
#[serde(default, deny_unknown_fields)]
pub struct Settings {
    /// Chance that an ask well within the range goes wrong all the same.
    pub lapse: Probability,
    /// Days after which an attempt counts half.
    pub half_life_d: f64,
    /// Oldest attempt of the fit, in days.
    pub window_d: u16,
    /// Likeness of attempts of one day: the intra-class correlation of the design effect.
    pub rho: f64,
    /// Prior means of the logarithms of short end, long end (in log stretch) and steepness.
    pub prior_mean: [f64; 3],
    /// Prior standard deviations of the same.
    pub prior_sd: [f64; 3],
    /// Oldest attempt of the verdict, in days.
    pub trend_window_d: u16,
    /// Prior standard deviation of the drift a week.
    pub drift_prior_sd: f64,
    /// Drift over its standard deviation from which a horse is improving.
    pub z_improving: f64,
    /// The same downwards, as a positive number.
    pub z_declining: f64,
    /// Fewest days with attempts for a verdict.
    pub min_days: u32,
    /// Fewest days from the first to the last of them.
    pub min_span_d: i32,
    /// Standard deviation of the drift above which the rides say nothing.
    pub max_drift_sd: f64,
    /// Change of a rider's share above which the verdict is withheld.
    pub riders_share: f64,
    /// Standard deviations to each side of a band: 80 %, two-sided.
    pub z_band: f64,
    /// Share of the prior's standard deviation above which an end counts as assumed.
    pub assumed_sd: f64,
    /// Cautious chance that a known ask must have.
    pub min_success: Probability,
    /// Standard deviations below the estimate of the cautious chance: 80 %, one-sided.
    pub z_lower: f64,
    /// Two asks within this are the same stretch.
    pub same_x: LogStretch,
    /// Two heights within this are about the same.
    pub same_height_m: Metres,
    /// Met attempts that make a count achieved.
    pub min_met: u32,
    /// How many of the last natural asks are looked at before a pause is called for.
    pub settle_last: usize,
    /// How far past the second longest stretch met a fence may be rolled out.
    pub roll_out_m: Metres,
    /// Least that is worth rolling out.
    pub roll_least_m: Metres,
    /// Cautious chance that new ground must have.
    pub new_success: Probability,
    /// The stride by which a line of two strides is told from a longer one.
    pub nominal_stride_m: Metres,
    /// Largest count considered.
    pub max_count: u8,
    /// Most collected stretch that may be asked for.
    pub ask_x_min: LogStretch,
    /// Longest stretch that may be asked for.
    pub ask_x_max: LogStretch,
    /// Longest step from rung to rung.
    pub rung_m: Metres,
    /// Most rungs in a session.
    pub rungs: u8,
    /// What rungs and the next line are rounded to.
    pub rung_round_m: Metres,
    /// How far from half a stride over the next line keeps.
    pub half_stride_x: LogStretch,
    /// What a change of rider adds to the standard deviations of the three parameters.
    pub pair_sd: [f64; 3],
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            lapse: Probability::nearest(0.02),
            half_life_d: 28.0,
            window_d: 182,
            rho: 0.05,
            prior_mean: [0.25_f64.ln(), 0.10_f64.ln(), 4.0_f64.ln()],
            prior_sd: [0.45, 0.45, 0.40],
            trend_window_d: 140,
            drift_prior_sd: 0.03,
            z_improving: 1.6,
            z_declining: 2.0,
            min_days: 6,
            min_span_d: 21,
            max_drift_sd: 0.024,
            riders_share: 0.3,
            z_band: 1.281_551_565_544_600_4,
            assumed_sd: 0.8,
            min_success: Probability::nearest(0.70),
            z_lower: 0.841_621_233_572_914_3,
            same_x: LogStretch::nearest(0.03),
            same_height_m: Metres::nearest(0.10),
            min_met: 2,
            settle_last: 6,
            roll_out_m: Metres::nearest(0.30),
            roll_least_m: Metres::nearest(0.05),
            new_success: Probability::nearest(0.75),
            nominal_stride_m: Metres::nearest(3.6576),
            max_count: 20,
            ask_x_min: LogStretch::nearest(-0.50),
            ask_x_max: LogStretch::nearest(0.25),
            rung_m: Metres::nearest(0.60),
            rungs: 3,
            rung_round_m: Metres::nearest(0.05),
            half_stride_x: LogStretch::nearest(0.005),
            pair_sd: [0.15, 0.15, 0.10],
        }
    }
}
