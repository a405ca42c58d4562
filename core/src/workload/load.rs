//! Load figures. Information only: they predict no injury and carry no verdict.
use serde::Serialize;

/// Figures of a series of daily efforts, as of its last day.
///
/// EWMA: Williams et al., "Better way to determine the acute:chronic workload ratio?", 2017. Coupled and
/// uncoupled rolling ratios: Windt and Gabbett, "Is it all for naught? What does mathematical coupling
/// mean for acute:chronic workload ratios?", 2019.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Load {
    /// Days in the series.
    #[cfg_attr(feature = "utoipa", schema(maximum = 110_000))]
    pub days: u32,
    /// Exponentially weighted mean over 7 days, efforts a day; none without a day.
    #[cfg_attr(feature = "utoipa", schema(minimum = 0, maximum = 1_000_000))]
    pub acute_ewma: Option<f64>,
    /// Exponentially weighted mean over 28 days, efforts a day; none without a day.
    #[cfg_attr(feature = "utoipa", schema(minimum = 0, maximum = 1_000_000))]
    pub chronic_ewma: Option<f64>,
    /// Acute over chronic of the same day; none where the chronic is 0.
    #[cfg_attr(feature = "utoipa", schema(minimum = 0, maximum = 1e300))]
    pub ewma_ratio_coupled: Option<f64>,
    /// Acute over the chronic of 7 days before; none where that is 0, or before the 8th day.
    #[cfg_attr(feature = "utoipa", schema(minimum = 0, maximum = 1e300))]
    pub ewma_ratio_uncoupled: Option<f64>,
    /// Efforts of the last 7 days.
    #[cfg_attr(feature = "utoipa", schema(maximum = 1_000_000))]
    pub sum_7: u64,
    /// Efforts of the last 28 days.
    #[cfg_attr(feature = "utoipa", schema(maximum = 1_000_000))]
    pub sum_28: u64,
    /// Mean day of the last 7 over mean day of the last 28; none where that is 0, or before the 28th day.
    #[cfg_attr(feature = "utoipa", schema(minimum = 0, maximum = 1e300))]
    pub ratio_coupled: Option<f64>,
    /// Last 7 days over the mean week of the 21 before; none where that is 0, or before the 28th day.
    #[cfg_attr(feature = "utoipa", schema(minimum = 0, maximum = 1e300))]
    pub ratio_uncoupled: Option<f64>,
    /// Whether the series is long enough (28 days) to mean what its names say.
    pub settled: bool,
}

const ACUTE: f64 = 2.0 / (7.0 + 1.0);
const CHRONIC: f64 = 2.0 / (28.0 + 1.0);

/// Computes the figures; the series is oldest first, with a 0 for each day without jumping.
///
/// ```
/// use stridewright_core::workload::load;
/// let mut days = vec![100; 21];
/// days.extend([200; 7]);
/// assert_eq!(load(&days).ratio_coupled, Some(1.6));
/// assert_eq!(load(&days).ratio_uncoupled, Some(2.0));
/// ```
#[must_use]
pub fn load(daily_efforts: &[u32]) -> Load {
    let settled = daily_efforts.len() >= 28;
    let sum = |days: usize| daily_efforts.iter().rev().take(days).map(|e| u64::from(*e)).sum::<u64>();
    let (sum_7, sum_28) = (sum(7), sum(28));
    let acute = ewma(daily_efforts, ACUTE);
    let chronic = ewma(daily_efforts, CHRONIC);
    let chronic_before = daily_efforts.len().checked_sub(7).and_then(|n| ewma(daily_efforts.get(..n)?, CHRONIC));
    let rolling = |acute: f64, chronic: f64| if settled { ratio(acute, chronic) } else { None };
    Load {
        days: u32::try_from(daily_efforts.len()).unwrap_or(u32::MAX),
        acute_ewma: acute,
        chronic_ewma: chronic,
        ewma_ratio_coupled: ratio(acute.unwrap_or(0.0), chronic.unwrap_or(0.0)),
        ewma_ratio_uncoupled: ratio(acute.unwrap_or(0.0), chronic_before.unwrap_or(0.0)),
        sum_7,
        sum_28,
        ratio_coupled: rolling(real(sum_7) / 7.0, real(sum_28) / 28.0),
        ratio_uncoupled: rolling(real(sum_7), real(sum_28 - sum_7) / 3.0),
        settled,
    }
}

/// Seeded with the first day; none of an empty series.
fn ewma(daily: &[u32], lambda: f64) -> Option<f64> {
    daily.iter().map(|e| f64::from(*e)).reduce(|mean, today| lambda * today + (1.0 - lambda) * mean)
}

fn ratio(above: f64, below: f64) -> Option<f64> {
    (below > 0.0).then(|| above / below)
}

/// Sums of efforts stay far below 2^53, where every whole number is exact.
#[allow(clippy::cast_precision_loss, reason = "exact below 2^53")]
const fn real(sum: u64) -> f64 {
    sum as f64
}

/// How much alike the days of a period were, and the strain of it.
#[derive(Debug, Clone, Copy, Default, PartialEq, Serialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Monotony {
    /// Mean daily load over its sample standard deviation; none where all days are equal.
    pub monotony: Option<f64>,
    /// The sum of the loads times the monotony; none with it.
    pub strain: Option<f64>,
}

/// Foster, "Monitoring training in athletes with reference to overtraining syndrome", 1998.
#[must_use]
pub fn monotony(daily_load: &[u32]) -> Monotony {
    // asked of the whole numbers, since a deviation computed of equal ones may miss 0
    if daily_load.iter().min() == daily_load.iter().max() {
        return Monotony::default();
    }
    let sum: f64 = daily_load.iter().map(|e| f64::from(*e)).sum();
    let n = real(daily_load.len() as u64);
    let mean = sum / n;
    let squares: f64 = daily_load.iter().map(|e| (f64::from(*e) - mean).powi(2)).sum();
    let monotony = mean / (squares / (n - 1.0)).sqrt();
    Monotony { monotony: Some(monotony), strain: Some(sum * monotony) }
}
