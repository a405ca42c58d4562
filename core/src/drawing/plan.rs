//! The plan of a layout, to scale.
use super::arena::{scale_bar, walls, way_in};
use super::fences;
use super::findings;
use super::labels::Labels;
use super::marks::{PlanGate, PlanPaceMark};
use super::page::{Frame, Page};
use super::svg::{At, Stroke, Svg, Type, number};
use crate::layout::LaidFence;
use crate::track::plane::Vector;
use crate::track::{ArenaSize, Point, Stretch, Track};
use crate::units::Metres;

/// How wide a drawing is, how high at most, and its margins.
#[derive(Debug, Clone, Copy)]
pub(super) struct Format {
    pub width: f64,
    pub height: f64,
    pub margin: f64,
}

/// By itself.
const ALONE: Format = Format { width: 1280.0, height: f64::INFINITY, margin: 92.0 };

/// A fence of a plan, with its words as the barn says them.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanFence {
    /// Its number.
    pub label: String,
    /// Its kind.
    pub name: String,
    /// Its height and depth, in the barn's units and the others.
    pub size: String,
    /// Where it stands.
    pub laid: LaidFence,
    /// Ridden along its heading.
    pub along: bool,
    /// Ridden against it.
    pub against: bool,
}

/// A line of a plan.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanLine {
    /// As it is ridden.
    pub track: Track,
    /// Its length, in the barn's units and the others.
    pub distance: String,
    /// How it is measured.
    pub measured: String,
    /// Counts that fit, ascending, and whether each is asked for.
    pub counts: Vec<(u32, bool)>,
    /// From the first fence to the landing, and the stride of the count asked for first.
    pub strides: Option<(Metres, Metres)>,
}

/// Something that is found about a layout.
#[derive(Debug, Clone, PartialEq)]
pub struct PlanFinding {
    /// Where; none where it is about the whole.
    pub at: Option<Point>,
    /// What, by how much, and what would mend it.
    pub words: String,
}

/// All that a plan shows.
#[derive(Debug, Clone, PartialEq)]
pub struct Plan {
    /// What it is called.
    pub title: String,
    /// Where and when.
    pub place: String,
    /// The arena.
    pub arena: ArenaSize,
    /// In the order of their numbers.
    pub fences: Vec<PlanFence>,
    /// Measured lines.
    pub lines: Vec<PlanLine>,
    /// Ways between lines.
    pub ways: Vec<Track>,
    /// Where the canter is chosen.
    pub pace_marks: Vec<PlanPaceMark>,
    /// Where counts are rehearsed.
    pub gates: Vec<PlanGate>,
    /// Where one comes in: both ends of a gap in a wall.
    pub way_in: Option<[Point; 2]>,
    /// What is found about it, the first with the letter A.
    pub findings: Vec<PlanFinding>,
    /// The same in words, for whoever does not see it.
    pub words: String,
}

/// Draws the plan as SVG.
///
/// ```
/// use stridewright_core::drawing::{Plan, plan};
/// use stridewright_core::{track::ArenaSize, units::Metres};
/// let svg = plan(&Plan {
///     title: "Nothing set yet".to_owned(),
///     place: "Long school".to_owned(),
///     arena: ArenaSize { length: Metres::new(58.0)?, width: Metres::new(27.0)? },
///     fences: Vec::new(),
///     lines: Vec::new(),
///     ways: Vec::new(),
///     pace_marks: Vec::new(),
///     gates: Vec::new(),
///     way_in: None,
///     findings: Vec::new(),
///     words: "An empty arena of 58 by 27 m.".to_owned(),
/// });
/// assert!(svg.starts_with("<svg ") && svg.contains("An empty arena"));
/// # Ok::<(), stridewright_core::units::OutOfRange>(())
/// ```
#[must_use]
pub fn plan(plan: &Plan) -> String {
    let (svg, (width, height)) = draw(plan, ALONE, true);
    svg.finish(width, height, &plan.title, &plan.words)
}

/// The same for a page that has a title and tables of its own: without them, so wide, and at most so high.
///
/// Units are those of the page; text keeps its size, so that a smaller drawing shows less room between its labels.
#[must_use]
pub fn plan_on_page(plan: &Plan, width: u16, height: u16) -> String {
    let format = Format { width: width.into(), height: height.into(), margin: 54.0 };
    let (svg, (width, height)) = upon(plan, format);
    svg.finish(width, height, &plan.title, &plan.words)
}

/// The drawing without what the page around it says in its tables: names, sizes, and how straight lines are measured.
pub(super) fn upon(plan: &Plan, format: Format) -> (Svg, At) {
    let mut spare = Plan { findings: Vec::new(), ..plan.clone() };
    for fence in &mut spare.fences {
        fence.name.clear();
        fence.size.clear();
    }
    for line in spare.lines.iter_mut().filter(|line| line.track.curved.is_none()) {
        line.measured.clear();
    }
    draw(&spare, format, false)
}

/// The drawing and its size; with its title, or upon a page that has one.
fn draw(plan: &Plan, format: Format, titled: bool) -> (Svg, At) {
    let Format { width, height, margin } = format;
    let below = if titled { 60.0 } else { 30.0 };
    let (long, wide) = (plan.arena.length.get().max(1.0), plan.arena.width.get().max(1.0));
    let scale = ((width - 2.0 * margin) / long).min((height - 2.0 * margin - below) / wide).max(0.1);
    let page = Page { left: (width - long * scale) / 2.0, top: margin, scale, arena: plan.arena };
    let height = margin * 2.0 + wide * scale + below;
    let said = findings::height(&plan.findings, width - 2.0 * margin);
    let mut svg = Svg::default();
    let mut labels = Labels::new(&page);
    if titled {
        svg.text((margin, 44.0), Type { size: 26.0, ..Type::LABEL }.bold(), &plan.title);
        svg.text((width - margin, 44.0), Type { size: 16.0, ..Type::LABEL }.end(), &plan.place);
    }
    walls(&mut svg, &page);
    if let Some(gap) = plan.way_in {
        way_in(&mut svg, &page, gap);
    }
    scale_bar(&mut svg, &page, height);
    for way in &plan.ways {
        svg.path(&outline(&page, way), Stroke::dashed(1.25));
        labels.keep_clear_of(way);
    }
    for line in &plan.lines {
        svg.path(&outline(&page, &line.track), Stroke::full(1.75));
        ticks(&mut svg, &page, line);
        labels.keep_clear_of(&line.track);
    }
    for fence in &plan.fences {
        labels.stands(&fence.laid);
    }
    for fence in &plan.fences {
        fences::draw(&mut svg, &page, &fence.laid);
        for (ridden, way) in [(fence.along, 1.0), (fence.against, -1.0)] {
            if ridden {
                arrow(&mut svg, &page, &fence.laid, way);
            }
        }
    }
    for gate in &plan.gates {
        gate.draw(&mut svg, &page, &mut labels);
    }
    // a number alone has fewer places than the words of a line, with a name more
    if !titled {
        plan.fences.iter().for_each(|fence| labels.fence(&mut svg, fence));
    }
    plan.lines.iter().for_each(|line| labels.line(&mut svg, line));
    if titled {
        plan.fences.iter().for_each(|fence| labels.fence(&mut svg, fence));
    }
    for mark in &plan.pace_marks {
        mark.draw(&mut svg, &page, &mut labels);
    }
    findings::draw(&mut svg, &page, &plan.findings, (margin, height), width - 2.0 * margin);
    (svg, (width, height + said))
}

/// A track as a path of straights and arcs.
fn outline(page: &Page, track: &Track) -> String {
    let mut d = String::new();
    for stretch in track.stretches() {
        let (from, to, arc) = match stretch {
            Stretch::Straight { from, to } => (page.point(from), page.point(to), String::from("L")),
            Stretch::Arc { centre, radius, from, turn } => {
                let centre = Vector::of(centre);
                let at = |angle: f64| page.vector(centre + Vector::towards(angle.to_radians()) * radius.get());
                let r = number(radius.get() * page.scale);
                let (large, sweep) = (u8::from(turn.get().abs() > 180.0), u8::from(turn.get() < 0.0));
                let end = from.get() + turn.get();
                (at(from.get()), at(end), format!("A{r} {r} 0 {large} {sweep} "))
            }
        };
        if d.is_empty() {
            d.push_str(&format!("M{} {}", number(from.0), number(from.1)));
        }
        d.push_str(&format!("{arc}{} {}", number(to.0), number(to.1)));
    }
    d
}

/// One tick a stride, from the landing to the take-off.
fn ticks(svg: &mut Svg, page: &Page, line: &PlanLine) {
    let Some((landing, stride)) = line.strides else { return };
    let mut along = landing.get();
    while along < line.track.length.get() && stride.get() > 0.1 {
        let here = line.track.at(Metres::nearest(along));
        let across = Vector::towards(here.heading.get().to_radians()).left() * (6.0 / page.scale);
        let at = Vector::of(here.at);
        svg.line(page.vector(at + across), page.vector(at - across), Stroke::full(1.5));
        along += stride.get();
    }
}

/// On the take-off side, pointing at the fence.
fn arrow(svg: &mut Svg, page: &Page, fence: &LaidFence, way: f64) {
    let frame = Frame::of(&fence.placed);
    let tip = -way * (fence.placed.spread.get() / 2.0 + 0.45);
    let corner = |along: f64, left: f64| -> At { page.vector(frame.at(tip - way * along, left)) };
    svg.shape(&[corner(0.0, 0.0), corner(1.0, 0.45), corner(1.0, -0.45)], true, 0.0);
}
