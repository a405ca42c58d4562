//! The arena of a plan: its walls, the way in, and how long a metre is.
use super::page::Page;
use super::svg::{Stroke, Svg, Type, number};
use crate::tape::Corner;
use crate::track::Point;

/// The walls, their ticks each five metres, and the letters of the corners.
pub(super) fn walls(svg: &mut Svg, page: &Page) {
    let (length, width) = (page.arena.length.get(), page.arena.width.get());
    let corners = Corner::ALL.map(|corner| page.vector(corner.place(page.arena)));
    svg.shape(&corners, false, 2.5);
    for (side, along_x) in [(length, true), (width, false)] {
        let mut at = 0.0;
        while at <= side + 1e-9 {
            let tenth = (at / 10.0).fract().abs() < 1e-9;
            let out = if tenth { 14.0 } else { 8.0 };
            let (from, to, text, how) = if along_x {
                let (x, y) = page.at(at, 0.0);
                ((x, y), (x, y + out), (x, y + 32.0), Type::LABEL.middle())
            } else {
                let (x, y) = page.at(0.0, at);
                ((x, y), (x - out, y), (x - 20.0, y + 5.0), Type::LABEL.end())
            };
            svg.line(from, to, Stroke::full(1.0));
            if tenth && at > 0.0 {
                svg.text(text, how, &number(at));
            }
            at += 5.0;
        }
    }
    let out = [(-40.0, 40.0), (40.0, 40.0), (40.0, -28.0), (-40.0, -28.0)];
    for ((corner, at), (x, y)) in Corner::ALL.iter().zip(corners).zip(out) {
        let middle = (at.0 + x, at.1 + y);
        svg.line(at, middle, Stroke::full(1.0));
        let half = 13.0;
        let square = [(-half, -half), (half, -half), (half, half), (-half, half)];
        svg.shape(&square.map(|(a, b)| (middle.0 + a, middle.1 + b)), false, 2.0);
        svg.text((middle.0, middle.1 + 6.0), Type { size: 17.0, ..Type::LABEL }.bold().middle(), corner.letter());
    }
}

/// A gap in the wall, and words outside of it.
pub(super) fn way_in(svg: &mut Svg, page: &Page, gap: [Point; 2]) {
    let [from, to] = gap.map(|end| page.point(end));
    svg.gap(from, to, 5.0);
    let (along, up) = (to.0 - from.0, to.1 - from.1);
    let length = along.hypot(up).max(1e-9);
    let out = (-up / length, along / length);
    let middle = (f64::midpoint(from.0, to.0), f64::midpoint(from.1, to.1));
    // outside is away from the middle of the arena
    let centre = page.at(page.arena.length.get() / 2.0, page.arena.width.get() / 2.0);
    let away = (out.0 * (middle.0 - centre.0) + out.1 * (middle.1 - centre.1)).signum();
    for end in [from, to] {
        let tick = |by: f64| (end.0 + out.0 * by, end.1 + out.1 * by);
        svg.line(tick(-7.0), tick(7.0), Stroke::full(2.0));
    }
    let at = (middle.0 + out.0 * away * 16.0, middle.1 + out.1 * away * 16.0 + 5.0);
    svg.text(at, Type::LABEL.middle(), "way in");
}

/// Twenty metres, and the feet beside them.
pub(super) fn scale_bar(svg: &mut Svg, page: &Page, height: f64) {
    let (left, top) = (page.left, height - 34.0);
    for (n, filled) in [(0.0, true), (1.0, false), (2.0, true), (3.0, false)] {
        let (from, to) = (left + n * 5.0 * page.scale, left + (n + 1.0) * 5.0 * page.scale);
        let corners = [(from, top), (to, top), (to, top + 8.0), (from, top + 8.0)];
        svg.shape(&corners, filled, 1.25);
    }
    for (metres, text) in [(0.0, "0"), (10.0, "10"), (20.0, "20 m")] {
        svg.text((left + metres * page.scale, top - 6.0), Type { size: 14.0, ..Type::LABEL }.middle(), text);
    }
    for (feet, text) in [(0.0, "0"), (20.0, "20"), (40.0, "40"), (60.0, "60 ft")] {
        let x = left + feet * 0.3048 * page.scale;
        svg.text((x, top + 24.0), Type { size: 14.0, ..Type::LABEL }.middle(), text);
    }
}
