//! The plan of a layout: what is drawn, and the same in words for whoever does not see it.
use super::Setting;
use super::scene::{Drawn, Scene};
use crate::evaluations::layout_wire::LayoutFindingOut;
use crate::exercises::layout::{Fence, LayoutLine, LineKind, Measured};
use stridewright_core::drawing::{Plan, PlanFence, PlanFinding, PlanGate, PlanLine, PlanPaceMark};
use stridewright_core::tape::ridden_between;
use stridewright_core::track::{Bends, Point, TrackError};
use stridewright_core::units::Metres;

impl Setting<'_> {
    /// All that the plan shows.
    pub fn plan(&self, scene: &Scene) -> Result<Plan, TrackError> {
        let lengths = self.lengths;
        let fences = self.layout().fences.0.iter().zip(&scene.laid).enumerate();
        let ridden = |n: usize, against: bool| {
            scene.ridden.iter().flatten().any(|ridden| ridden.fence == n && ridden.against == against)
        };
        let gate = scene.gate.as_ref().map(|gate| PlanGate {
            from: gate.from,
            to: gate.to,
            words: format!("gate {}", lengths.line(gate.length)),
        });
        let marks = scene.marks.iter().filter_map(|mark| {
            let first = &self.layout().lines.0.get(mark.line)?.from;
            let before = format!("{} before {}", lengths.line(mark.before), first.as_str());
            Some(PlanPaceMark { at: mark.at, words: vec!["pace mark".to_owned(), before] })
        });
        Ok(Plan {
            title: self.title.clone(),
            place: self.place(),
            arena: scene.size,
            fences: fences
                .map(|(n, (fence, laid))| PlanFence {
                    label: fence.label.as_str().to_owned(),
                    name: self.named(fence),
                    size: self.size(fence),
                    laid: *laid,
                    along: ridden(n, false) || !ridden(n, true),
                    against: ridden(n, true),
                })
                .collect(),
            lines: scene.lines.iter().filter_map(|drawn| self.line(drawn)).collect(),
            ways: scene.ways.clone(),
            pace_marks: marks.collect(),
            gates: gate.into_iter().collect(),
            way_in: None,
            findings: scene.findings.iter().map(|found| self.finding(found, scene)).collect(),
            words: self.in_words(scene)?,
        })
    }

    /// `Square oxer`, `Upright, narrow`.
    pub fn named(&self, fence: &Fence) -> String {
        let narrow = if fence.is_narrow() { ", narrow" } else { "" };
        format!("{}{narrow}", self.words.fence(fence))
    }

    /// Height, and depth where it has one.
    fn size(&self, fence: &Fence) -> String {
        let height = self.lengths.line(fence.height_cm.metres());
        match fence.spread().get() {
            0.0 if fence.height_cm.get() == 0 => String::new(),
            0.0 => height,
            _ => format!("{height} by {}", self.lengths.line(fence.spread())),
        }
    }

    fn line(&self, drawn: &Drawn) -> Option<PlanLine> {
        let line = self.layout().lines.0.get(drawn.line)?;
        Some(PlanLine {
            track: drawn.track.clone(),
            distance: self.lengths.line(self.distance(line, drawn)),
            measured: self.how_measured(line, drawn),
            counts: drawn.counts.clone(),
            strides: drawn.strides,
        })
    }

    /// As it is set: a straight line as its author states it, a bend as its track is.
    pub fn distance(&self, line: &LayoutLine, drawn: &Drawn) -> Metres {
        let stated = drawn.track.curved.is_none() && line.kind != LineKind::Bending;
        if stated { line.distance_m.whole() } else { drawn.track.length }
    }

    /// How its length is measured, and how it turns.
    pub fn how_measured(&self, line: &LayoutLine, drawn: &Drawn) -> String {
        let mut words = match (drawn.track.curved, line.measured) {
            (Some(_), _) => "along the track, centre to centre".to_owned(),
            (None, Measured::InsideToInside) => "inside to inside".to_owned(),
            (None, Measured::CentreToCentre) => "centre to centre".to_owned(),
        };
        if let Some(curved) = drawn.track.curved {
            words += &format!(", {:.0}° at {}", drawn.track.turn.get(), self.lengths.line(curved.radius));
        }
        if let Some(circle) = line.circle_m {
            words += &format!(", with a circle of {}", self.lengths.line(circle.whole()));
        }
        words
    }

    fn finding(&self, found: &LayoutFindingOut, scene: &Scene) -> PlanFinding {
        let at_fence = found.fences.first().and_then(|label| self.layout().place_of(label));
        let of_line = found.line.as_ref().and_then(|label| {
            let n = self.layout().lines.0.iter().position(|line| line.name() == label.as_str())?;
            scene.ridden_line(n)
        });
        let middle = of_line.map(|drawn| drawn.track.at(Metres::nearest(drawn.track.length.get() / 2.0)).at);
        let at: Option<Point> = at_fence.and_then(|n| scene.laid.get(n)).map(|laid| laid.placed.centre).or(middle);
        PlanFinding { at, words: format!("{} {}", found.words, found.cure) }
    }

    /// What the drawing shows, fence by fence and line by line.
    fn in_words(&self, scene: &Scene) -> Result<String, TrackError> {
        let mut words = format!("{}.", self.place());
        for (fence, laid) in self.layout().fences.0.iter().zip(&scene.laid) {
            let [from, to] = ridden_between(laid.placed.heading, scene.size)?;
            let size = Some(self.size(fence)).filter(|size| !size.is_empty()).map(|size| format!(", {size}"));
            words += &format!(
                " {}: {}{}, {} along and {} across from corner T, ridden from {} to {}.",
                fence.label.as_str(),
                self.named(fence),
                size.unwrap_or_default(),
                self.lengths.line(Metres::nearest(laid.placed.centre.x.get())),
                self.lengths.line(Metres::nearest(laid.placed.centre.y.get())),
                from.letter(),
                to.letter(),
            );
        }
        for drawn in scene.lines.iter().chain(&scene.turns) {
            let Some(line) = self.layout().lines.0.get(drawn.line) else { continue };
            let turn = match drawn.track.curved.map(|curved| curved.bends) {
                Some(Bends::Lsl) => ", bending left",
                Some(Bends::Rsr) => ", bending right",
                Some(Bends::Lsr) => ", left then right",
                Some(Bends::Rsl) => ", right then left",
                None => "",
            };
            words += &format!(
                " {} to {}: {} {}{turn}{}.",
                line.from.as_str(),
                line.to.as_str(),
                self.lengths.line(self.distance(line, drawn)),
                self.how_measured(line, drawn),
                asked(line),
            );
        }
        Ok(words)
    }
}

/// `, asked 7, then 6`.
fn asked(line: &LayoutLine) -> String {
    let asks: Vec<String> = line.asks.iter().flat_map(|asks| &asks.0).map(|ask| ask.get().to_string()).collect();
    if asks.is_empty() { String::new() } else { format!(", asked {}", asks.join(", then ")) }
}
