//! Finding a place for an exercise in an arena.
use super::sketch::Sketch;
use crate::layout::{LaidFence, LayoutCheck, LayoutWanted, check_whole};
use crate::track::ground::Footprint;
use crate::track::{PlacedFence, Point, TrackError};
use crate::units::{Coordinate, Degrees};

/// How far apart the places that are tried lie.
const STEP: f64 = 1.0;
/// No more of them are tried along a side: nobody sets an exercise in a larger arena by itself.
const MOST_STEPS: f64 = 200.0;
/// Every quarter turn.
const TURNS: [f64; 4] = [0.0, 90.0, 180.0, 270.0];

/// An exercise where it was placed.
#[derive(Debug, Clone, PartialEq)]
pub struct PlacedSketch {
    /// Its fences, in its order.
    pub fences: Vec<LaidFence>,
    /// What is found about it there; nothing is impossible.
    pub check: LayoutCheck,
}

/// The place where the exercise fits with the least to be said against it, nearest to the middle; `None` where it fits
/// nowhere.
///
/// # Errors
/// Refuses an arena's side, a radius or a stride of 0.
pub fn place(sketch: &Sketch, wanted: &LayoutWanted<'_>) -> Result<Option<PlacedSketch>, TrackError> {
    let (length, width) = wanted.ground.arena.sides()?;
    let standing: Vec<Footprint> = wanted.ground.standing().collect();
    let mut best: Option<(usize, PlacedSketch)> = None;
    for at in from_the_middle(length, width) {
        for turned in TURNS {
            let Some(placed) = try_at(sketch, wanted, &standing, turned, at)? else { continue };
            let advice = placed.check.len();
            if advice == 0 {
                return Ok(Some(placed));
            }
            if best.as_ref().is_none_or(|(least, _)| advice < *least) {
                best = Some((advice, placed));
            }
        }
    }
    Ok(best.map(|(_, placed)| placed))
}

/// The places that are tried, the nearest to the middle first.
fn from_the_middle(length: f64, width: f64) -> Vec<(f64, f64)> {
    let along = |side: f64| {
        let steps = (side / STEP).floor().min(MOST_STEPS);
        let first = (side - steps * STEP) / 2.0;
        std::iter::successors(Some(0.0), move |n| (n + 1.0 <= steps).then_some(n + 1.0)).map(move |n| first + n * STEP)
    };
    let off = |(x, y): &(f64, f64)| (x - length / 2.0).hypot(y - width / 2.0);
    let mut places: Vec<(f64, f64)> = along(length).flat_map(|x| along(width).map(move |y| (x, y))).collect();
    places.sort_by(|one, other| off(one).total_cmp(&off(other)));
    places
}

fn try_at(
    sketch: &Sketch,
    wanted: &LayoutWanted<'_>,
    standing: &[Footprint],
    turned: f64,
    at: (f64, f64),
) -> Result<Option<PlacedSketch>, TrackError> {
    let fences: Vec<LaidFence> = sketch.fences.iter().map(|fence| moved(&fence.laid, turned, at)).collect();
    // said again below of those that are left: most places end here
    let prints: Vec<Footprint> =
        fences.iter().map(|fence| Footprint::of(&fence.placed, wanted.ground.stands)).collect();
    let inside =
        |print: &Footprint| print.corners().into_iter().all(|corner| wanted.ground.arena.inside(corner) >= 0.0);
    if !prints.iter().all(inside) || standing.iter().any(|taken| prints.iter().any(|print| print.overlaps(taken))) {
        return Ok(None);
    }
    let check = check_whole(&fences, &sketch.ridden(), &[], wanted)?;
    Ok(check.fits().then_some(PlacedSketch { fences, check }))
}

fn moved(fence: &LaidFence, turned: f64, (x, y): (f64, f64)) -> LaidFence {
    let (sin, cos) = turned.to_radians().sin_cos();
    let (from_x, from_y) = (fence.placed.centre.x.get(), fence.placed.centre.y.get());
    let centre = Point {
        x: Coordinate::nearest(cos * from_x - sin * from_y + x),
        y: Coordinate::nearest(sin * from_x + cos * from_y + y),
    };
    let heading = Degrees::nearest((fence.placed.heading.get() + turned).rem_euclid(360.0));
    LaidFence { placed: PlacedFence { centre, heading, ..fence.placed }, ..*fence }
}
