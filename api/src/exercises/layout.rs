//! What stands where: the part of an exercise that a revision fixes, on the wire and in its row alike.
use crate::wire::list::{List, Member};
use crate::wire::text::{FenceLabel, Label};
use crate::{bounded, choice, input, whole};
use serde::{Deserialize, Serialize};
pub use stridewright_core::layout::FenceKind;
use stridewright_core::units::{Centimetres, Coordinate, Degrees};
use stridewright_core::workload::{Outcome, efforts, pole_passes};

choice! {
    /// Which element of a combination.
    pub enum Element { A, B, C, D, E, F }
}
choice! {
    /// How one gets from the one fence to the other.
    pub enum LineKind { Straight, Bending, WithCircle }
}
choice! {
    /// Between which points a distance is measured.
    pub enum Measured { InsideToInside, CentreToCentre }
}
whole! {
    /// A number of strides; 0 is a bounce.
    pub struct StrideCount(0 ..= 40), example 5
}

impl Member for StrideCount {
    const MOST: usize = 10;
}

bounded! {
    /// A distance between two fences, in metres.
    pub struct Distance(Metres, above 0.0 ..= 10000.0), example 20.1168
}
bounded! {
    /// How long the rails of a fence are, in metres.
    pub struct RailLength(Metres, 0.5 ..= 12.0), example 3.5
}
bounded! {
    /// The diameter of a circle as it is ridden, in metres.
    pub struct CircleDiameter(Metres, 6.0 ..= 40.0), example 15.0
}

input! {
    /// The combination that a fence is an element of.
    #[derive(PartialEq, Eq, Serialize, Deserialize)]
    pub struct InCombination {
        /// The combination's own label, the same for all its elements.
        pub label: FenceLabel,
        pub element: Element,
    }
}

input! {
    /// Where a fence stands, seen from one corner of the arena.
    #[derive(PartialEq, Serialize, Deserialize)]
    pub struct Position {
        /// Along the arena's length, to the fence's centre.
        pub x_m: Coordinate,
        /// Across it.
        pub y_m: Coordinate,
        /// The direction of jumping, counter-clockwise from the x axis.
        #[schema(example = 0.0)]
        pub heading_deg: Degrees,
    }
}

input! {
    /// A fence, or a pole on the ground.
    #[derive(PartialEq, Serialize, Deserialize)]
    pub struct Fence {
        /// Unlike every other's in the layout.
        pub label: FenceLabel,
        pub kind: FenceKind,
        pub height_cm: Centimetres,
        /// From front to back, for what is wide.
        #[schema(example = json!(null))]
        pub spread_cm: Option<Centimetres>,
        /// Between the wings; 3.5 m where it is not said.
        #[schema(example = json!(null))]
        pub width_m: Option<RailLength>,
        /// Of an oxer: whether its rails are level, so that it may be jumped both ways.
        #[schema(example = json!(null))]
        pub square: Option<bool>,
        #[schema(example = json!(null))]
        pub combination: Option<InCombination>,
        /// Given for every fence of a placed layout, and for none of another.
        #[schema(example = json!(null))]
        pub position: Option<Position>,
    }
}

impl Member for Fence {
    const LEAST: usize = 1;
    const MOST: usize = 60;
}

input! {
    /// From one fence to the next.
    #[derive(PartialEq, Serialize, Deserialize)]
    pub struct LayoutLine {
        /// What it is called; without one, the two fences' labels: `1-2`.
        pub label: Option<Label>,
        /// The label of the fence it begins at.
        pub from: FenceLabel,
        /// The label of the fence it leads to.
        #[schema(example = "2")]
        pub to: FenceLabel,
        /// Whether its first fence is jumped against its heading; may be left out.
        #[schema(example = false)]
        pub from_against: Option<bool>,
        /// Whether its second one is.
        #[schema(example = false)]
        pub to_against: Option<bool>,
        pub kind: LineKind,
        /// As the author states it; on a bend the length of the track.
        pub distance_m: Distance,
        pub measured: Measured,
        /// Of a line with a circle between its fences, whose length the distance leaves out.
        #[schema(example = json!(null))]
        pub circle_m: Option<CircleDiameter>,
        /// Counts to ask for, in the order they are proposed.
        pub asks: Option<List<StrideCount>>,
        /// Whether both fences are elements of one combination; may be left out.
        #[schema(example = false)]
        pub combination: Option<bool>,
    }
}

impl Member for LayoutLine {
    const MOST: usize = 60;
}

/// The layout of a revision.
#[derive(Debug, Clone, PartialEq, Serialize, Deserialize)]
pub struct Layout {
    pub fences: List<Fence>,
    pub lines: List<LayoutLine>,
}

/// What one go, every fence once, comes to.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct OneGo {
    pub efforts: u32,
    pub pole_passes: u32,
    pub height: Centimetres,
}

impl Fence {
    /// Whether it is a pole on the ground, and no effort.
    pub fn is_pole(&self) -> bool {
        self.kind.is_pole()
    }
}

impl LayoutLine {
    /// What it is called in logs.
    pub fn name(&self) -> String {
        self.label.clone().unwrap_or_else(|| Label::joined(&self.from, &self.to)).into_string()
    }
}

impl Layout {
    /// The fence of that label.
    pub fn fence(&self, label: &FenceLabel) -> Option<&Fence> {
        self.fences.0.iter().find(|fence| fence.label == *label)
    }

    /// Whether both ends of the line are elements of one combination.
    pub fn in_combination(&self, line: &LayoutLine) -> bool {
        let of = |label| self.fence(label).and_then(|fence| fence.combination.as_ref()).map(|part| &part.label);
        of(&line.from).is_some_and(|label| of(&line.to) == Some(label))
    }

    /// The figures of one go.
    pub fn one_go(&self) -> OneGo {
        let outcomes =
            || self.fences.0.iter().map(|fence| if fence.is_pole() { Outcome::Pole } else { Outcome::Jumped });
        OneGo {
            efforts: efforts(outcomes()),
            pole_passes: pole_passes(outcomes()),
            height: self.fences.0.iter().map(|fence| fence.height_cm).max().unwrap_or(Centimetres::GROUND),
        }
    }

    /// The layout with what may be left out filled in.
    pub fn completed(mut self) -> Self {
        let flags: Vec<bool> = self.lines.0.iter().map(|line| self.in_combination(line)).collect();
        for (line, flag) in self.lines.0.iter_mut().zip(flags) {
            line.combination = Some(flag);
            line.asks.get_or_insert_default();
            line.label = Label::try_from(line.name()).ok();
        }
        self
    }
}
