//! A layout on the ground, as core reckons with it.
use super::layout::{Fence, FenceKind, Layout, LayoutLine};
use crate::wire::text::FenceLabel;
use stridewright_core::equipment::Equipment;
use stridewright_core::layout::{LaidFence, Ridden};
use stridewright_core::track::{PlacedFence, Point};
use stridewright_core::units::Metres;

impl Fence {
    /// Where it stands; none where it is not placed.
    pub fn laid(&self) -> Option<LaidFence> {
        let position = self.position.as_ref()?;
        let placed = PlacedFence {
            centre: Point { x: position.x_m, y: position.y_m },
            heading: position.heading_deg,
            height: self.height_cm,
            spread: self.spread(),
            width: self.width_m.map_or(LaidFence::USUAL_WIDTH, |width| width.whole()),
        };
        Some(LaidFence { placed, kind: self.kind, square: self.square == Some(true) })
    }

    /// From front to back.
    pub fn spread(&self) -> Metres {
        self.spread_cm.map_or(Metres::MIN, |spread| spread.metres())
    }

    /// What it is built of.
    pub fn equipment(&self) -> Equipment {
        Equipment::of(self.kind, self.height_cm)
    }

    /// Narrower than the usual rail.
    pub fn is_narrow(&self) -> bool {
        let width = self.width_m.map_or(LaidFence::USUAL_WIDTH.get(), |width| width.get());
        self.kind != FenceKind::GroundPole && width < LaidFence::USUAL_WIDTH.get() - 0.25
    }
}

impl Layout {
    /// Its fences where they stand; none where it is not placed.
    pub fn laid(&self) -> Option<Vec<LaidFence>> {
        self.fences.0.iter().map(Fence::laid).collect()
    }

    /// The place of a fence in the layout.
    pub fn place_of(&self, label: &FenceLabel) -> Option<usize> {
        self.fences.0.iter().position(|fence| fence.label == *label)
    }

    /// How a line rides its two fences; none where one of them is not there.
    pub fn ridden(&self, line: &LayoutLine) -> Option<[Ridden; 2]> {
        let end = |label, against: Option<bool>| {
            Some(Ridden { fence: self.place_of(label)?, against: against == Some(true) })
        };
        Some([end(&line.from, line.from_against)?, end(&line.to, line.to_against)?])
    }

    /// What all of it is built of.
    pub fn equipment(&self) -> Equipment {
        self.fences.0.iter().map(Fence::equipment).sum()
    }
}
