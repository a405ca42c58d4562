//! Dimensions, the pace mark and the count-in gate.
use super::labels::Labels;
use super::page::Page;
use super::svg::{At, Stroke, Svg, Type};
use crate::track::plane::Vector;
use crate::track::{Passage, Point};

/// Where the canter is chosen.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanPaceMark {
    /// On the track, and which way one goes there.
    pub at: Passage,
    /// What stands beside it, line by line, the first in bold.
    pub words: Vec<String>,
}

/// Two markers between which the count of a line is ridden on the flat.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanGate {
    /// The marker that is passed first.
    pub from: Point,
    /// The one that is passed last.
    pub to: Point,
    /// What stands between them.
    pub words: String,
}

/// A dimension between two places, its text in a gap; a slash at both ends.
pub(super) fn dimension(svg: &mut Svg, from: At, to: At, words: &str, wide: f64) {
    let (across, up) = (to.0 - from.0, to.1 - from.1);
    let length = across.hypot(up);
    let along = (across / length, up / length);
    let on = |by: f64| (from.0 + along.0 * by, from.1 + along.1 * by);
    svg.line(from, on((length - wide) / 2.0), Stroke::full(1.0));
    svg.line(on((length + wide) / 2.0), to, Stroke::full(1.0));
    for end in [from, to] {
        // a slash at half a right angle to the line, and a bar across it
        let slash = ((along.0 - along.1) * 5.0, (along.1 + along.0) * 5.0);
        svg.line((end.0 - slash.0, end.1 - slash.1), (end.0 + slash.0, end.1 + slash.1), Stroke::full(2.0));
        let bar = (-along.1 * 7.0, along.0 * 7.0);
        svg.line((end.0 - bar.0, end.1 - bar.1), (end.0 + bar.0, end.1 + bar.1), Stroke::full(1.0));
    }
    // never upside down
    let turned = up.atan2(across).to_degrees();
    let turned = if turned.abs() > 90.0 { turned - 180.0 * turned.signum() } else { turned };
    let middle = on(length / 2.0);
    let down = turned.to_radians();
    let at = (middle.0 - down.sin() * 5.0, middle.1 + down.cos() * 5.0);
    svg.text(at, Type { size: 16.0, turned, ..Type::LABEL }.bold().middle(), words);
}

impl PlanPaceMark {
    /// An open diamond on two bars across the track.
    pub(super) fn draw(&self, svg: &mut Svg, page: &Page, labels: &mut Labels<'_>) {
        let ahead = Vector::towards(self.at.heading.get().to_radians());
        let at = |along: f64, left: f64| page.vector(Vector::of(self.at.at) + ahead * along + ahead.left() * left);
        for along in [-0.4, 0.4] {
            svg.line(at(along, -0.75), at(along, 0.75), Stroke::full(2.0));
        }
        svg.shape(&[at(-0.7, 0.0), at(0.0, 0.45), at(0.7, 0.0), at(0.0, -0.45)], false, 2.0);
        labels.note(svg, at(0.0, 0.0), &self.words);
    }
}

impl PlanGate {
    /// Open triangles at both ends, and a dimension between them.
    pub(super) fn draw(&self, svg: &mut Svg, page: &Page, labels: &mut Labels<'_>) {
        let (from, to) = (Vector::of(self.from), Vector::of(self.to));
        let across = Vector::towards((to - from).heading()).left();
        for marker in [from, to] {
            let at = |along: f64, out: f64| page.vector(marker + across * out + across.left() * along);
            svg.shape(&[at(0.0, 0.0), at(-0.5, 0.9), at(0.5, 0.9)], false, 2.0);
        }
        let beside = |end: Vector| page.vector(end + across * 1.9);
        labels.dimension(svg, beside(from), beside(to), &self.words);
    }
}
