//! Adjustability as it crosses the wire.
use crate::horses::wire::NormalStride;
use crate::query;
use crate::wire::length::BothUnits;
use crate::wire::list::numbers;
use crate::wire::typed::{QueryBool, QueryCentimetres, QueryDistance};
use serde::Serialize;
use stridewright_core::adjustability::{ApproachHint, SettleReason, Side, Status, Verdict};
use stridewright_core::calendar::Day;
use stridewright_core::units::{Factor, LogStretch, Metres, Percent, Probability};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

query! {
    /// As of which day, and on which line.
    pub struct AdjustabilityQuery {
        /// Today where it is not said.
        pub as_of: Option<Day>,
        /// With it, the counts that can be ridden on a line of this length.
        pub distance_m: Option<QueryDistance>,
        /// Height of both fences of that line; 0 is a pole on the ground. 100 where it is not said.
        pub height_cm: Option<QueryCentimetres>,
    }
}

query! {
    /// The line that the next ask is for.
    pub struct NextAskQuery {
        /// Today where it is not said.
        pub as_of: Option<Day>,
        /// Between the fences, along the track.
        pub distance_m: QueryDistance,
        /// Of the line's first fence.
        pub first_height_cm: QueryCentimetres,
        /// Of its second.
        pub second_height_cm: QueryCentimetres,
        /// What is to be schooled; either where it is not said.
        pub side: Option<Side>,
        /// Whether both are poles on the ground.
        pub poles: Option<QueryBool>,
        /// Whether both are elements of one combination, whose count is fixed.
        pub combination: Option<QueryBool>,
    }
}

/// One end of the adjustable range: the stride that succeeds 8 times in 10.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RangeEnd {
    pub stride_m: Metres,
    pub stride_text: BothUnits,
    /// The 80 % band.
    pub low_m: Metres,
    pub high_m: Metres,
    /// The rides say next to nothing about it: assumed, not ridden.
    pub assumed: bool,
}

/// Long end over short end.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AdjustabilityRatio {
    pub value: Factor,
    /// The 80 % band.
    pub low: Factor,
    pub high: Factor,
    /// One of the ends is assumed.
    pub assumed: bool,
}

/// How much further the horse shortens and lengthens from its normal stride each week, in per cent of how far it does;
/// reckoned over the last 20 weeks. The ratio of the two ends changes less.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WeeklyChange {
    pub percent: Percent,
    /// The 80 % band.
    pub low_percent: Percent,
    pub high_percent: Percent,
}

/// The range as it stood on one Monday.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RangeWeek {
    pub as_of: Day,
    pub short_end: RangeEnd,
    pub long_end: RangeEnd,
    pub ratio: AdjustabilityRatio,
}

/// A count on a line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RidableCount {
    #[schema(minimum = 1, maximum = 10)]
    pub count: u32,
    pub stride_m: Metres,
    pub stride_text: BothUnits,
    /// The chance that it succeeds.
    pub chance: Probability,
    /// The least it may be: the lower 80 % limit.
    pub cautious_chance: Probability,
}

/// How far a horse, or a pair, shortens and lengthens on request.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AdjustabilityOut {
    pub as_of: Day,
    pub normal_stride: NormalStride,
    pub short_end: RangeEnd,
    pub long_end: RangeEnd,
    pub ratio: AdjustabilityRatio,
    pub verdict: Verdict,
    /// The verdict in words.
    #[schema(max_length = 200)]
    pub verdict_words: &'static str,
    pub change_per_week: WeeklyChange,
    /// With an improvement, the last Monday of these weeks at which a decline was shown.
    pub declined_on: Option<Day>,
    /// How many attempts the range rests on.
    #[schema(minimum = 0, maximum = 1_000_000)]
    pub attempts: usize,
    /// On how many days they were ridden.
    #[schema(minimum = 0, maximum = 1000)]
    pub days: usize,
    /// Week by week, the oldest first; the points share data, so their slope proves nothing.
    #[schema(max_items = 26)]
    pub weeks: Vec<RangeWeek>,
    /// The counts within the range on the line asked about.
    #[schema(max_items = 10)]
    pub counts: Option<Vec<RidableCount>>,
    /// What to bear in mind.
    #[schema(max_items = 5, max_length = 300)]
    pub cautions: Vec<&'static str>,
}

/// The count to ask for.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AskOut {
    #[schema(minimum = 1, maximum = 20)]
    pub count: u8,
    /// The line's, or that of the last rung.
    pub distance_m: Metres,
    pub distance_text: BothUnits,
    pub stride_m: Metres,
    pub stride_text: BothUnits,
    /// ln(stride / normal stride).
    pub stretch: LogStretch,
    /// The chance that it succeeds.
    pub chance: Probability,
    /// The least it may be, by which the ask was judged.
    pub cautious_chance: Probability,
    /// Averaged over what is not known.
    pub forecast_chance: Probability,
    /// The canter to ride it from, where the last attempt points to one.
    pub approach_hint: Option<ApproachHint>,
    #[schema(max_length = 200)]
    pub approach_words: Option<&'static str>,
}

/// A place of the second fence.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct Rung {
    pub distance_m: Metres,
    pub distance_text: BothUnits,
}

/// What to ask next on a line: a proposal, the trainer on the ground decides.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NextAskOut {
    pub as_of: Day,
    pub distance_m: Metres,
    pub distance_text: BothUnits,
    /// The count that comes by itself.
    #[schema(minimum = 1, maximum = 20)]
    pub natural: u8,
    pub status: Status,
    #[schema(max_length = 200)]
    pub status_words: &'static str,
    /// Why nothing is asked.
    pub reason: Option<SettleReason>,
    #[schema(max_length = 200)]
    pub reason_words: Option<&'static str>,
    pub ask: Option<AskOut>,
    /// The counts of the session, in order.
    #[schema(schema_with = ladder)]
    pub ladder: Vec<u8>,
    /// Where the second fence stands, go by go, when it is rolled out; a missed one ends the climb.
    #[schema(max_items = 10)]
    pub rungs: Vec<Rung>,
    /// How long the line may be set next time, where longer than now.
    pub next_line_m: Option<Metres>,
    pub next_line_text: Option<BothUnits>,
    /// Jump efforts that the ladder costs; poles on the ground cost none.
    #[schema(minimum = 0, maximum = 100)]
    pub efforts: usize,
    /// What to bear in mind.
    #[schema(max_items = 5, max_length = 300)]
    pub cautions: Vec<&'static str>,
}

fn ladder() -> RefOr<Schema> {
    numbers(20, 45)
}
