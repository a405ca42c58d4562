//! Fences seen from above, told apart by their lines: nothing but ink.
use super::page::{Frame, Page};
use super::svg::{Stroke, Svg};
use crate::layout::{FenceKind, LaidFence};

/// The side of a wing, in metres.
const WING: f64 = 0.5;
/// What is drawn at least where a fence has no depth.
const DEPTH: f64 = 0.6;

/// Draws one fence.
pub(super) fn draw(svg: &mut Svg, page: &Page, fence: &LaidFence) {
    let (frame, half) = (Frame::of(&fence.placed), fence.placed.width.get() / 2.0);
    let deep = fence.placed.spread.get();
    let full = 0.24 * page.scale;
    let rail = |svg: &mut Svg, along: f64, stroke: Stroke| {
        svg.line(page.vector(frame.at(along, -half)), page.vector(frame.at(along, half)), stroke);
    };
    let wings = |svg: &mut Svg, along: f64| {
        for side in [-1.0, 1.0] {
            let middle = side * (half + WING / 2.0);
            let corner = |a: f64, b: f64| page.vector(frame.at(along + a * WING / 2.0, middle + b * WING / 2.0));
            svg.shape(&[corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)], true, 0.0);
        }
    };
    let frame_of = |depth: f64| {
        let corner = |a: f64, b: f64| page.vector(frame.at(a * depth / 2.0, b * half));
        [corner(-1.0, -1.0), corner(1.0, -1.0), corner(1.0, 1.0), corner(-1.0, 1.0)]
    };
    match fence.kind {
        FenceKind::Vertical => {
            rail(svg, 0.0, Stroke::full(full));
            wings(svg, 0.0);
        }
        FenceKind::Oxer => {
            for along in [-deep / 2.0, deep / 2.0] {
                rail(svg, along, Stroke::full(full));
                wings(svg, along);
            }
        }
        FenceKind::TripleBar => {
            for (along, width) in [(-deep / 2.0, 1.5), (0.0, 2.75), (deep / 2.0, full)] {
                rail(svg, along, Stroke::full(width));
                wings(svg, along);
            }
        }
        FenceKind::CrossPole => {
            for side in [-1.0, 1.0] {
                let from = page.vector(frame.at(-DEPTH / 2.0, side * half));
                svg.line(from, page.vector(frame.at(DEPTH / 2.0, -side * half)), Stroke::full(3.0));
            }
            wings(svg, 0.0);
        }
        FenceKind::Wall => {
            svg.shape(&frame_of(deep.max(DEPTH)), false, 2.0);
            rail(svg, 0.0, Stroke::full(1.0));
            for (n, side) in [-0.75f64, -0.25, 0.25, 0.75].into_iter().zip([-1.0, 1.0, -1.0, 1.0]) {
                let to = page.vector(frame.at(side * deep.max(DEPTH) / 2.0, n * half));
                svg.line(page.vector(frame.at(0.0, n * half)), to, Stroke::full(1.0));
            }
            wings(svg, 0.0);
        }
        FenceKind::Log => {
            let round = deep.max(DEPTH) * page.scale;
            // a thick line with round ends, and a thinner one of the ground upon it
            svg.log(page.vector(frame.at(0.0, -half)), page.vector(frame.at(0.0, half)), round);
        }
        FenceKind::Ditch => {
            for along in [-1.0, 1.0] {
                rail(svg, along * deep.max(DEPTH) / 2.0, Stroke { width: 3.0, dashes: "8 4" });
            }
        }
        FenceKind::Water => {
            svg.shape(&frame_of(deep.max(DEPTH)), false, 2.0);
            for n in [-0.25, 0.0, 0.25] {
                waves(svg, page, &frame, n * deep.max(DEPTH), half);
            }
        }
        FenceKind::GroundPole => rail(svg, 0.0, Stroke { width: 2.5, dashes: "12 4 2 4" }),
    }
}

/// One wave along the rail.
fn waves(svg: &mut Svg, page: &Page, frame: &Frame, along: f64, half: f64) {
    const STEPS: i32 = 24;
    let points = (0..=STEPS).map(|n| {
        let share = f64::from(n) / f64::from(STEPS);
        let out = 0.08 * (share * 8.0 * std::f64::consts::PI).sin();
        let (x, y) = page.vector(frame.at(along + out, (share - 0.5) * 1.8 * half));
        format!("{}{} {}", if n == 0 { "M" } else { "L" }, super::svg::number(x), super::svg::number(y))
    });
    svg.path(&points.collect::<String>(), Stroke::full(1.0));
}
