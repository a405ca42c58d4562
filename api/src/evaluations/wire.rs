//! A line as it crosses the wire, and the stride card that answers it.
use crate::input;
use crate::wire::bounded::{Calibration, LineDistance, LongestStride, OwnStride, ShortestStride, WalkedStep};
use crate::wire::length::{BothUnits, LengthText};
use crate::wire::patch::Patch;
use serde::Serialize;
use stridewright_core::ids::{Horse, Id, Pairing};
use stridewright_core::stride::{Finding, FindingWeight as Weight, Flag, Pair as Level, Profile};
use stridewright_core::units::{Centimetres, Factor, Hertz, Metres, MetresPerMinute, Percent, Strides};
use utoipa::ToSchema;

input! {
    /// A horse's stride; what is left out is taken from the profile.
    #[derive(Default)]
    pub struct StrideIn {
        /// Whom the distance is designed for; a horse where it is not said.
        pub profile: Option<Profile>,
        /// The horse's own mean stride.
        pub normal_stride_m: Option<OwnStride>,
        /// The shortest stride it may be asked for.
        pub shortest_m: Option<ShortestStride>,
        /// The longest stride it may be asked for.
        pub longest_m: Option<LongestStride>,
        /// Measured strides a second over the model's, where the canter was timed.
        pub calibration: Option<Calibration>,
    }
}

input! {
    /// A line of two fences and the horse that is to ride it.
    pub struct LineIn {
        /// Inside to inside; this or `distance`.
        pub distance_m: Patch<LineDistance>,
        /// The same as text with its unit.
        pub distance: Patch<LengthText>,
        /// 0 is a pole on the ground.
        pub first_height_cm: Centimetres,
        pub second_height_cm: Centimetres,
        /// A horse of the usual profile where it is not said.
        pub horse: Option<StrideIn>,
        /// Of horse and rider, for how much a distance between two counts weighs.
        pub level: Option<Level>,
        /// The room before the first fence, along the track.
        pub room_before_m: Option<Metres>,
        /// A straight on the flat for the count-in gate.
        pub straight_m: Option<Metres>,
        /// The step of who walks it; 3 ft where it is not said.
        pub step_m: Option<WalkedStep>,
    }
}

input! {
    /// A line of two fences and the horse of the barn, or the pair, that is to ride it.
    pub struct BarnLineIn {
        /// Inside to inside; this or `distance`.
        pub distance_m: Patch<LineDistance>,
        /// The same as text with its unit.
        pub distance: Patch<LengthText>,
        /// 0 is a pole on the ground.
        pub first_height_cm: Centimetres,
        pub second_height_cm: Centimetres,
        /// This or `pairing_id`.
        pub horse_id: Patch<Id<Horse>>,
        pub pairing_id: Patch<Id<Pairing>>,
        /// Of horse and rider; that of the pairing where it is not said.
        pub level: Option<Level>,
        /// The room before the first fence, along the track.
        pub room_before_m: Option<Metres>,
        /// A straight on the flat for the count-in gate.
        pub straight_m: Option<Metres>,
        /// The step of who walks it; one's own, or 3 ft, where it is not said.
        pub step_m: Option<WalkedStep>,
    }
}

/// Where the canter is chosen, back along the track from the first fence.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PaceMarkOut {
    /// From here on the canter is only kept.
    pub mark_m: Metres,
    pub mark_text: BothUnits,
    /// The last point at which it may still be settled.
    pub latest_m: Metres,
    pub latest_text: BothUnits,
    /// Whether the room reaches back to the mark; null where the room is not known.
    pub fits: Option<bool>,
    /// Strides that the room holds.
    pub strides_available: Option<Strides>,
}

/// Two markers on the flat that are passed in the count of the line: an ask without a jump.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct GateOut {
    pub between_markers_m: Metres,
    pub between_markers_text: BothUnits,
    /// Between poles on the ground instead, which take room themselves.
    pub between_poles_m: Metres,
    pub between_poles_text: BothUnits,
    /// The marker passed last stands at least this far before the first fence.
    pub nearest_m: Metres,
    /// Whether the straight is long enough; null where it is not known.
    pub fits: Option<bool>,
}

/// One count on the line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CountOut {
    #[schema(minimum = 1, maximum = 10)]
    pub count: u32,
    /// The count that comes by itself at the normal stride.
    pub natural: bool,
    /// Too many strides to call the fences related.
    pub unrelated: bool,
    /// The mean stride; those inside a line are not equal.
    pub stride_m: Metres,
    pub stride_text: BothUnits,
    /// Stride over normal stride.
    pub ratio: Factor,
    /// The same as a change in hundredths.
    pub percent: Percent,
    /// How much it asks, from 1, everyday work, to 4.
    #[schema(minimum = 1, maximum = 4)]
    pub band: u8,
    /// The canter that rides it, to the nearest 5 m/min.
    pub speed_m_per_min: MetresPerMinute,
    /// How far off that may be for a horse that was not timed; null for one that was.
    pub speed_off_percent: Option<Percent>,
    pub strides_per_second: Hertz,
    /// What is out of the ordinary about it.
    #[schema(max_items = 3)]
    pub flags: Vec<Flag>,
    pub pace_mark: PaceMarkOut,
    pub count_in_gate: GateOut,
}

/// How well the distance meets a whole count at the horse's own stride.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BetweenOut {
    /// How far off the nearest whole count, in strides.
    pub off: Strides,
    /// What is wrong with it; null where nothing is.
    pub finding: Option<Finding>,
    /// How much that weighs.
    pub weight: Option<Weight>,
    /// With a finding, the next shorter distance that rides true.
    pub shorter_m: Option<Metres>,
    pub shorter_text: Option<BothUnits>,
    /// With a finding, the next longer one.
    pub longer_m: Option<Metres>,
    pub longer_text: Option<BothUnits>,
}

/// The distance walked.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StepsOut {
    pub step_m: Metres,
    #[schema(minimum = 0, maximum = 100000)]
    pub whole: u32,
    /// What is left over, shorter than a step.
    pub left_over_m: Metres,
}

/// All there is to say about a line and a horse.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StrideCardOut {
    pub distance_m: Metres,
    pub distance_text: BothUnits,
    /// Landing and take-off together.
    pub allowance_m: Metres,
    pub profile: Profile,
    #[schema(example = 3.6)]
    pub normal_stride_m: Metres,
    #[schema(example = 2.9)]
    pub shortest_m: Metres,
    #[schema(example = 4.0)]
    pub longest_m: Metres,
    /// Strides of the normal length that the line holds, a fraction.
    pub real_count: Strides,
    /// The nearest whole count; 0 is a bounce.
    #[schema(minimum = 0, maximum = 400)]
    pub natural_count: u32,
    /// The counts within the horse's range, ascending.
    #[schema(max_items = 10)]
    pub counts: Vec<CountOut>,
    pub between_counts: BetweenOut,
    pub on_foot: StepsOut,
}
