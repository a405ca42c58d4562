//! A whole layout as it crosses the wire to be judged, and what is said about it.
use super::course_wire::{CourseIn, CourseOut};
use super::wire::{BetweenOut, CountOut, StrideIn};
use crate::arenas::wire::{ArenaSide, Obstruction};
use crate::exercises::layout::{Fence, LayoutLine, LineKind};
use crate::fence_sets::wire::FenceItems;
use crate::input;
use crate::wire::leaf::Count;
use crate::wire::length::BothUnits;
use crate::wire::list::{List, Member};
use crate::wire::patch::Patch;
use crate::wire::text::{FenceLabel, Label};
use serde::Serialize;
use stridewright_core::course::RuleSet;
use stridewright_core::ids::{Arena, FenceSet, Horse, Id, Pairing};
use stridewright_core::layout::{RoomPreset, Weight};
use stridewright_core::stride::{Pair as Level, Profile};
use stridewright_core::track::Bends;
use stridewright_core::units::{Centimetres, Degrees, Metres, Probability};
use utoipa::ToSchema;

impl Member for Profile {
    const MOST: usize = 4;
}

input! {
    /// The ground of an arena.
    pub struct ArenaGround {
        /// The longer side.
        #[schema(example = 60.0)]
        pub length_m: ArenaSide,
        /// The shorter side.
        #[schema(example = 30.0)]
        pub width_m: ArenaSide,
        /// Whether it has a roof; no where it is not said.
        pub indoor: Option<bool>,
        /// What stands in it and stays.
        pub obstructions: Option<List<Obstruction>>,
    }
}

input! {
    /// A layout to be judged, placed or not.
    #[schema(example = json!({
        "arena": {"length_m": 60.0, "width_m": 25.0, "indoor": true,
            "obstructions": [{"name": "Roof post", "x_m": 59.0, "y_m": 0.0, "length_m": 1.0, "width_m": 1.0}]},
        "fences": [
            {"label": "1", "kind": "vertical", "height_cm": 80, "position": {"x_m": 18.0, "y_m": 12.0, "heading_deg": 0.0}},
            {"label": "2", "kind": "oxer", "height_cm": 80, "spread_cm": 80, "square": true,
                "position": {"x_m": 39.4, "y_m": 12.0, "heading_deg": 0.0}}
        ],
        "lines": [
            {"from": "1", "to": "2", "kind": "straight", "distance_m": 21.0, "measured": "inside_to_inside", "asks": [5, 6]}
        ],
        "level": "usual", "room": "usual", "rules": "international", "shared_with": ["large_pony"],
        "horse": {"profile": "horse", "normal_stride_m": 3.6, "shortest_m": 2.9, "longest_m": 4.0, "calibration": 1.0},
        "fence_set": {"wings_pairs": 3, "poles": 8, "planks": 0, "fillers": 0, "cups": 8, "safety_cups": 2},
        "course": {
            "order": [{"fence": "1"}, {"fence": "2"}], "rules": "international", "speed_m_per_min": 350.0,
            "start_m": 15.0, "finish_m": 15.0
        }
    }))]
    pub struct EvaluationIn {
        /// Where it is placed; without it only distances are judged.
        pub arena: Option<ArenaGround>,
        pub fences: List<Fence>,
        pub lines: Option<List<LayoutLine>>,
        /// A horse of the usual profile where it is not said.
        pub horse: Option<StrideIn>,
        /// Of horse and rider; usual where it is not said.
        pub level: Option<Level>,
        /// The room that lines are given; by the level where it is not said.
        pub room: Option<RoomPreset>,
        /// Who else rides it: a combination that horses and ponies share has to be set anew between them.
        pub shared_with: Option<List<Profile>>,
        /// What there is to build it from.
        pub fence_set: Option<FenceItems>,
        /// The rule book by which the gaps of combinations are checked; none where it is not said.
        pub rules: Option<RuleSet>,
        /// Fences to be walked as a course.
        pub course: Option<CourseIn>,
    }
}

input! {
    /// A layout to be judged for a horse or a pair of the barn.
    #[schema(example = json!({
        "arena_id": "01890a5d-ac96-774b-bcce-b302099a8057", "horse_id": "01890a5d-ac96-774b-bcce-b302099a8057",
        "fence_set_id": "01890a5d-ac96-774b-bcce-b302099a8057",
        "fences": [
            {"label": "1", "kind": "vertical", "height_cm": 80, "position": {"x_m": 18.0, "y_m": 12.0, "heading_deg": 0.0}},
            {"label": "2", "kind": "oxer", "height_cm": 80, "spread_cm": 80, "square": true,
                "position": {"x_m": 39.4, "y_m": 12.0, "heading_deg": 0.0}}
        ],
        "lines": [
            {"from": "1", "to": "2", "kind": "straight", "distance_m": 21.0, "measured": "inside_to_inside", "asks": [5, 6]}
        ],
        "level": "usual", "room": "usual", "rules": "international", "shared_with": ["large_pony"],
        "course": {
            "order": [{"fence": "1"}, {"fence": "2"}], "rules": "international", "speed_m_per_min": 350.0,
            "start_m": 15.0, "finish_m": 15.0
        }
    }))]
    pub struct BarnEvaluationIn {
        /// Where it is placed; without it only distances are judged.
        pub arena_id: Option<Id<Arena>>,
        pub fences: List<Fence>,
        pub lines: Option<List<LayoutLine>>,
        /// This or `pairing_id`.
        pub horse_id: Patch<Id<Horse>>,
        pub pairing_id: Patch<Id<Pairing>>,
        /// Of horse and rider; that of the pairing where it is not said.
        pub level: Option<Level>,
        /// The room that lines are given; by the level where it is not said.
        pub room: Option<RoomPreset>,
        /// Who else rides it: a combination that horses and ponies share has to be set anew between them.
        pub shared_with: Option<List<Profile>>,
        /// What there is to build it from.
        pub fence_set_id: Option<Id<FenceSet>>,
        /// The rule book by which the gaps of combinations are checked; none where it is not said.
        pub rules: Option<RuleSet>,
        /// Fences to be walked as a course.
        pub course: Option<CourseIn>,
    }
}

/// A track from the landing of one fence to the take-off of the next.
#[derive(Debug, Clone, PartialEq, Serialize, ToSchema)]
pub struct TrackOut {
    #[schema(example = 21.0)]
    pub length_m: Metres,
    pub length_text: BothUnits,
    /// All bends together.
    #[schema(example = 45.0)]
    pub turn_deg: Degrees,
    /// Which way it bends, first and last; null for a straight one.
    pub bends: Option<Bends>,
    /// Of its bends; null for a straight one.
    #[schema(example = 9.0)]
    pub radius_m: Option<Metres>,
    /// How much longer it runs straight after the landing and before the take-off than the shortest does.
    #[schema(example = 0.0)]
    pub extra_straight_m: Option<Metres>,
}

/// A count that a line allows.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FittingOut {
    pub card: CountOut,
    /// The track on which it is ridden; null where the layout is not placed.
    pub track: Option<TrackOut>,
    /// The horse leans further than is advised.
    pub lean_advice: bool,
    /// The chance that it succeeds, where this horse's rides support one.
    pub chance: Option<Probability>,
    /// Whether the line asks for it.
    pub asked: bool,
}

/// A count with a circle ridden between the fences.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CircleCountOut {
    /// Strides between the fences, those on the circle among them.
    #[schema(minimum = 1, maximum = 10000)]
    pub count: u32,
    pub stride_m: Metres,
    pub stride_text: BothUnits,
    /// The horse leans further than is advised.
    pub lean_advice: bool,
    /// Whether the line asks for it.
    pub asked: bool,
}

/// The circle of a line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CircleOut {
    #[schema(example = 15.0)]
    pub diameter_m: Metres,
    /// Line and circle together.
    #[schema(example = 68.1)]
    pub total_m: Metres,
    pub total_text: BothUnits,
    /// From where on it may touch the line, measured from the first fence; null where there is no room for it.
    #[schema(example = 3.7)]
    pub touches_from_m: Option<Metres>,
    /// To where.
    #[schema(example = 15.5)]
    pub touches_to_m: Option<Metres>,
    #[schema(max_items = 100)]
    pub counts: Vec<CircleCountOut>,
}

/// What is said about one line.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LineJudgedOut {
    pub label: Label,
    pub from: FenceLabel,
    pub to: FenceLabel,
    pub kind: LineKind,
    /// As the author states it.
    #[schema(example = 20.1168)]
    pub stated_m: Metres,
    pub stated_text: BothUnits,
    /// The shortest track there is; null where the layout is not placed, or none can be ridden.
    pub track: Option<TrackOut>,
    /// The counts that it allows this horse, ascending; none on a line with a circle.
    #[schema(max_items = 10)]
    pub counts: Vec<FittingOut>,
    /// How the distance meets a whole count at the horse's own stride; null where there is no track, or a circle.
    pub between_counts: Option<BetweenOut>,
    /// Of a line with a circle whose diameter is said.
    pub circle: Option<CircleOut>,
}

/// Something that speaks against a layout, or that a trainer should know.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LayoutFindingOut {
    /// What it is, for programs.
    #[schema(max_length = 40, pattern = "^[a-z_]+$", example = "approach_short")]
    pub code: &'static str,
    pub weight: Weight,
    /// The line that it is about; null where it is about fences.
    pub line: Option<Label>,
    /// The fences that it is about.
    #[schema(max_items = 6)]
    pub fences: Vec<FenceLabel>,
    /// By how much it fails, where that is a length.
    #[schema(example = 1.2)]
    pub missing_m: Option<Metres>,
    pub missing_text: Option<BothUnits>,
    /// What, by which rule and by how much.
    #[schema(max_length = 400, example = "No turn fits before 1: 11 m straight and a turn of 7 m want 1.2 m more.")]
    pub words: String,
    /// What would mend it.
    #[schema(max_length = 400, example = "Move 1 on by 1.2 m, or come to it on a straight of 9.8 m.")]
    pub cure: String,
}

/// What it takes to build a layout.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct EquipmentOut {
    pub needs: FenceItems,
    /// What the fence set has not; null where none is named.
    pub lacks: Option<FenceItems>,
}

/// What is said about a layout.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct EvaluationOut {
    /// Whether nothing is impossible; null where it is not placed.
    pub fits: Option<bool>,
    /// In the order of the layout.
    #[schema(max_items = 60)]
    pub lines: Vec<LineJudgedOut>,
    /// The impossible first.
    #[schema(max_items = 10000)]
    pub findings: Vec<LayoutFindingOut>,
    pub equipment: EquipmentOut,
    /// Where one was asked for.
    pub course: Option<CourseOut>,
    /// Jump efforts of one go: every fence once.
    pub efforts: Count,
    /// Ground poles passed in one go.
    pub pole_passes: Count,
    /// The highest fence.
    pub height_cm: Centimetres,
    #[schema(max_items = 10)]
    pub cautions: Vec<String>,
}
