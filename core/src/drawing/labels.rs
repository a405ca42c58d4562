//! Where words go on a plan: beside what they are about, and upon nothing else.
use super::marks::dimension;
use super::page::{Frame, Page};
use super::plan::{PlanFence, PlanLine};
use super::svg::{At, Stroke, Svg, Type};
use crate::layout::LaidFence;
use crate::track::Track;
use crate::track::plane::Vector;
use crate::units::Metres;

/// A letter is about so wide, for its height.
const LETTER: f64 = 0.56;

/// A box on the page: left, top, right, bottom.
type Area = [f64; 4];

pub(super) struct Labels<'a> {
    page: &'a Page,
    taken: Vec<Area>,
    walls: Area,
}

impl<'a> Labels<'a> {
    pub fn new(page: &'a Page) -> Self {
        let ((left, top), (right, bottom)) =
            (page.at(0.0, page.arena.width.get()), page.at(page.arena.length.get(), 0.0));
        Self { page, taken: Vec::new(), walls: [left, top, right, bottom] }
    }

    fn take(&mut self, (x, y): At, around: f64) {
        self.taken.push([x - around, y - around, x + around, y + around]);
    }

    pub fn keep_clear_of(&mut self, track: &Track) {
        let mut along = 0.0;
        while along <= track.length.get() {
            let at = self.page.point(track.at(Metres::nearest(along)).at);
            self.take(at, 5.0);
            along += 0.5;
        }
    }

    pub fn stands(&mut self, fence: &LaidFence) {
        let (frame, half) = (Frame::of(&fence.placed), fence.placed.width.get() / 2.0 + 0.5);
        for left in [-1.0, -0.5, 0.0, 0.5, 1.0] {
            for along in [-0.5, 0.5] {
                let at = self.page.vector(frame.at(along * fence.placed.spread.get(), left * half));
                self.take(at, 0.45 * self.page.scale);
            }
        }
    }

    /// How much of the box is taken, and how far it leaves the walls.
    fn cost(&self, area: Area) -> f64 {
        let [left, top, right, bottom] = area;
        let shared = |other: &Area| {
            let [l, t, r, b] = *other;
            (right.min(r) - left.max(l)).max(0.0) * (bottom.min(b) - top.max(t)).max(0.0)
        };
        let [l, t, r, b] = self.walls;
        let outside = (l - left).max(0.0) + (t - top).max(0.0) + (right - r).max(0.0) + (bottom - b).max(0.0);
        self.taken.iter().map(shared).sum::<f64>() + 40.0 * outside
    }

    /// How many times further off words lie than where a plan stands by itself: they are no smaller on a smaller one.
    fn further(&self) -> f64 {
        (18.6 / self.page.scale).max(1.0)
    }

    /// The number in a disc at a wing, and name and size beside it.
    pub fn fence(&mut self, svg: &mut Svg, fence: &PlanFence) {
        let (frame, half) = (Frame::of(&fence.laid.placed), fence.laid.placed.width.get() / 2.0);
        let longest = fence.name.chars().count().max(fence.size.chars().count());
        #[allow(clippy::cast_precision_loss, reason = "a few letters")]
        let wide = longest as f64 * 15.0 * LETTER + 8.0;
        let alone = longest == 0;
        let mut best: Option<(f64, At, Area, bool)> = None;
        for side in [1.0, -1.0] {
            for away in [20.0, 35.0, 54.0].map(|px| 0.5 + px / self.page.scale) {
                let disc = self.page.vector(frame.at(0.0, side * (half + away)));
                for right in [true, false] {
                    let left_edge = if right { disc.0 - 14.0 } else { disc.0 - 22.0 - wide };
                    let beside = [left_edge, disc.1 - 24.0, left_edge + wide + 36.0, disc.1 + 24.0];
                    let area =
                        if alone { [disc.0 - 14.0, disc.1 - 14.0, disc.0 + 14.0, disc.1 + 14.0] } else { beside };
                    let cost = self.cost(area) + away;
                    if best.as_ref().is_none_or(|(least, ..)| cost < *least) {
                        best = Some((cost, disc, area, right));
                    }
                }
            }
        }
        let Some((_, disc, area, right)) = best else { return };
        self.taken.push(area);
        svg.disc(disc, 13.0);
        svg.text_on_ink((disc.0, disc.1 + 5.5), Type { size: 16.0, ..Type::LABEL }.bold().middle(), &fence.label);
        let (x, how) = if right { (disc.0 + 20.0, Type::LABEL) } else { (disc.0 - 20.0, Type::LABEL.end()) };
        svg.text((x, disc.1 - 3.0), Type { size: 16.0, ..how }.bold(), &fence.name);
        svg.text((x, disc.1 + 16.0), how, &fence.size);
    }

    /// How wide the text is, at 16 px in bold.
    fn wide(text: &str) -> f64 {
        #[allow(clippy::cast_precision_loss, reason = "a few letters")]
        {
            text.chars().count() as f64 * 16.0 * LETTER
        }
    }

    /// A dimension that nothing else is drawn upon.
    pub fn dimension(&mut self, svg: &mut Svg, from: At, to: At, words: &str) {
        for area in Self::along(from, to) {
            self.taken.push(area);
        }
        dimension(svg, from, to, words, Self::wide(words) + 16.0);
    }

    /// Boxes along a line of text.
    fn along(from: At, to: At) -> impl Iterator<Item = Area> {
        (0u8..=20).map(move |n| {
            let share = f64::from(n) / 20.0;
            let (x, y) = (from.0 + share * (to.0 - from.0), from.1 + share * (to.1 - from.1));
            [x - 9.0, y - 9.0, x + 9.0, y + 9.0]
        })
    }

    /// The ends of a dimension beside a straight line, clear of its fences, on the side where less is in its way;
    /// `None` where the text has no room between them.
    fn beside(&self, track: &Track, words: &str) -> Option<(At, At)> {
        if track.curved.is_some() || track.length.get() * self.page.scale < Self::wide(words) + 70.0 {
            return None;
        }
        let ends = [Metres::MIN, track.length].map(|along| Vector::of(track.at(along).at));
        let across = Vector::towards(track.at(Metres::MIN).heading.get().to_radians()).left();
        let at = |off: f64| ends.map(|end| self.page.vector(end + across * (off * self.further())));
        let cost = |off: f64| {
            let [from, to] = at(off);
            Self::along(from, to).map(|area| self.cost(area)).sum::<f64>()
        };
        let offs = [-3.4, 3.4, -4.6, 4.6];
        let best = offs.into_iter().min_by(|one, other| cost(*one).total_cmp(&cost(*other)))?;
        let [from, to] = at(best);
        Some((from, to))
    }

    /// Lines of text near a place, the first in bold, with a leader.
    pub fn note(&mut self, svg: &mut Svg, about: At, lines: &[String]) {
        let wide = lines.iter().map(|line| Self::wide(line)).fold(20.0, f64::max);
        #[allow(clippy::cast_precision_loss, reason = "a few lines")]
        let high = 19.0 * lines.len() as f64 + 6.0;
        let mut best: Option<(f64, Area)> = None;
        for away in [40.0, 60.0, 85.0, 115.0] {
            for n in 0u8..16 {
                let (sin, cos) = (f64::from(n) * std::f64::consts::PI / 8.0).sin_cos();
                let middle = (about.0 + cos * (away + wide / 2.0), about.1 + sin * (away + high / 2.0));
                let area = [middle.0 - wide / 2.0, middle.1 - high / 2.0, middle.0 + wide / 2.0, middle.1 + high / 2.0];
                let cost = self.cost(area) + away / 4.0;
                if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                    best = Some((cost, area));
                }
            }
        }
        let Some((_, area)) = best else { return };
        let [left, top, right, bottom] = area;
        let nearest = (about.0.clamp(left, right), about.1.clamp(top, bottom));
        let gap = (nearest.0 - about.0).hypot(nearest.1 - about.1);
        if gap > 18.0 {
            let share = 16.0 / gap;
            let start = (about.0 + share * (nearest.0 - about.0), about.1 + share * (nearest.1 - about.1));
            svg.line(start, nearest, Stroke::full(1.0));
        }
        self.taken.push(area);
        for (n, line) in (0u8..).zip(lines) {
            let how = if n == 0 { Type { size: 16.0, ..Type::LABEL }.bold() } else { Type::LABEL };
            svg.text((left + 4.0, top + 17.0 + 19.0 * f64::from(n)), how, line);
        }
    }

    /// A row of squares, one a count: filled where it is asked for.
    fn counts(svg: &mut Svg, line: &PlanLine, centre: f64, top: f64) {
        #[allow(clippy::cast_precision_loss, reason = "a few counts")]
        let first = centre - 17.0 * line.counts.len() as f64;
        for (n, (count, asked)) in (0u8..).zip(&line.counts) {
            let x = first + 34.0 * f64::from(n);
            let square = [(x + 2.0, top), (x + 32.0, top), (x + 32.0, top + 30.0), (x + 2.0, top + 30.0)];
            svg.shape(&square, *asked, 1.75);
            let (at, how) = ((x + 17.0, top + 21.0), Type { size: 17.0, ..Type::LABEL }.middle());
            let count = count.to_string();
            if *asked { svg.text_on_ink(at, how.bold(), &count) } else { svg.text(at, how, &count) }
        }
    }

    /// Beside the middle of a line: its length, how it is measured, and the counts; a leader where they lie apart.
    pub fn line(&mut self, svg: &mut Svg, line: &PlanLine) {
        let middle = line.track.at(Metres::nearest(line.track.length.get() / 2.0));
        let across = Vector::towards(middle.heading.get().to_radians()).left();
        let words = format!("{} {}", line.distance, line.measured);
        let words = words.trim_end();
        let beside = self.beside(&line.track, words);
        if let Some((from, to)) = beside {
            self.dimension(svg, from, to, words);
            if line.counts.is_empty() {
                return;
            }
        }
        let text = match (&beside, line.measured.is_empty()) {
            (Some(_), _) => 0.0,
            (None, true) => 26.0,
            (None, false) => 46.0,
        };
        #[allow(clippy::cast_precision_loss, reason = "a few counts")]
        let squares = 34.0 * line.counts.len() as f64;
        let words = if beside.is_some() { 0.0 } else { Self::wide(&line.distance).max(Self::wide(&line.measured)) };
        let (wide, high) = (words.max(squares), text + if line.counts.is_empty() { 0.0 } else { 38.0 });
        let mut best: Option<(f64, Area)> = None;
        for side in [-1.0, 1.0] {
            for off in [1.6, 2.6, 3.6, 4.8, 6.2] {
                let at = self.page.vector(Vector::of(middle.at) + across * (side * off * self.further()));
                for shift in [-0.5, 0.0, 0.5] {
                    let left = at.0 - wide / 2.0 + shift * wide;
                    let area = [left, at.1 - high / 2.0, left + wide, at.1 + high / 2.0];
                    let cost = self.cost(area) + off * 3.0 + f64::abs(shift) * 4.0;
                    if best.as_ref().is_none_or(|(least, _)| cost < *least) {
                        best = Some((cost, area));
                    }
                }
            }
        }
        let Some((_, area)) = best else { return };
        let [left, top, right, bottom] = area;
        let from = self.page.point(middle.at);
        let nearest = (from.0.clamp(left, right), from.1.clamp(top, bottom));
        if (nearest.0 - from.0).hypot(nearest.1 - from.1) > 24.0 {
            let share = 14.0 / (nearest.0 - from.0).hypot(nearest.1 - from.1);
            let start = (from.0 + share * (nearest.0 - from.0), from.1 + share * (nearest.1 - from.1));
            svg.line(start, nearest, Stroke::full(1.0));
        }
        self.taken.push(area);
        let centre = f64::midpoint(left, right);
        if beside.is_none() {
            svg.text((centre, top + 17.0), Type { size: 16.0, ..Type::LABEL }.bold().middle(), &line.distance);
            svg.text((centre, top + 37.0), Type::LABEL.middle(), &line.measured);
        }
        Self::counts(svg, line, centre, top + text + 4.0);
    }
}
