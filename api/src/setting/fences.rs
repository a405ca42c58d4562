//! How each fence is built: where its ground line lies, and which cups carry it.
use super::Setting;
use super::scene::Scene;
use crate::exercises::layout::{Fence, FenceKind};
use stridewright_core::drawing::{BothWays, SheetFence};
use stridewright_core::equipment::Equipment;
use stridewright_core::tape::ridden_between;
use stridewright_core::track::TrackError;
use stridewright_core::units::{Centimetres, Metres};

/// How far out a ground line is pulled (common practice, no source).
const GROUND_LINE: Metres = Metres::nearest(0.3);

impl Setting<'_> {
    /// One row a fence, at the height of the first rider.
    pub fn fence_rows(&self, scene: Option<&Scene>) -> Result<Vec<SheetFence>, TrackError> {
        let mut rows = Vec::new();
        for (n, fence) in self.layout().fences.0.iter().enumerate() {
            let height = self.height_now(fence);
            let flat = height.get() == 0;
            rows.push(SheetFence {
                number: fence.label.as_str().to_owned(),
                kind: self.named(fence),
                ridden: self.ridden(n, scene)?,
                height: if flat { BothWays::default() } else { self.lengths.height(height) },
                width: if fence.spread().get() > 0.0 {
                    self.lengths.beside(fence.spread())
                } else {
                    BothWays::default()
                },
                ground_line: self.ground_line(n, fence, scene),
                cups: cups(fence.kind, height),
            });
        }
        Ok(rows)
    }

    /// As high as the fence is planned, and no higher than the first rider jumps.
    pub fn height_now(&self, fence: &Fence) -> Centimetres {
        let first = self.when.as_ref().and_then(|when| when.riders.first()).and_then(|rider| rider.height);
        first.map_or(fence.height_cm, |height| height.min(fence.height_cm))
    }

    fn ridden(&self, n: usize, scene: Option<&Scene>) -> Result<String, TrackError> {
        let Some((scene, laid)) = scene.and_then(|scene| Some((scene, scene.laid.get(n)?))) else {
            return Ok(String::new());
        };
        let (along, against) = ways(n, scene);
        let [from, to] = ridden_between(laid.placed.heading, scene.size)?;
        Ok(match (along, against) {
            (true, true) => format!("both ways, {} and {}", from.letter(), to.letter()),
            (false, true) => format!("from {} to {}", to.letter(), from.letter()),
            _ => format!("from {} to {}", from.letter(), to.letter()),
        })
    }

    fn ground_line(&self, n: usize, fence: &Fence, scene: Option<&Scene>) -> String {
        let side = match scene.map(|scene| ways(n, scene)) {
            Some((true, true)) => "both sides",
            _ => "take-off side",
        };
        let pole = self.words.pole;
        match fence.kind {
            FenceKind::Vertical | FenceKind::Oxer => {
                format!("{} out, {side}", self.lengths.beside(GROUND_LINE).own)
            }
            FenceKind::CrossPole => format!("{pole}, {side}"),
            FenceKind::TripleBar => format!("{} serves", self.words.front_pole),
            FenceKind::Wall => "its own foot".to_owned(),
            FenceKind::Log | FenceKind::Ditch | FenceKind::Water | FenceKind::GroundPole => String::new(),
        }
    }
}

/// Whether it is ridden along its heading, and against it.
fn ways(n: usize, scene: &Scene) -> (bool, bool) {
    let ridden = |against| scene.ridden.iter().flatten().any(|ridden| ridden.fence == n && ridden.against == against);
    (ridden(false), ridden(true))
}

fn cups(kind: FenceKind, height: Centimetres) -> String {
    let Equipment { cups, safety_cups, .. } = Equipment::of(kind, height);
    let behind = if kind == FenceKind::TripleBar { "middle and back" } else { "back" };
    match (cups, safety_cups) {
        (0, 0) => String::new(),
        (flat, 0) => format!("{flat} flat"),
        (flat, safe) => format!("{flat} flat in front, {safe} safety {behind}"),
    }
}
