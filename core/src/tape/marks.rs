//! Finding a place by two people: a tape from each of two corners, and where both readings meet.
use super::corner::Corner;
use super::reading::Reading;
use crate::track::plane::Vector;
use crate::track::{ArenaSize, Point, TrackError};
use crate::units::{Degrees, Metres};

/// Places that are found from two corners.
#[derive(Debug, Clone, PartialEq)]
pub struct FromTwo {
    /// The corners, at both ends of one wall.
    pub corners: [Corner; 2],
    /// For each place, in the given order: from the one and from the other.
    pub readings: Vec<[Reading; 2]>,
    /// How far from square the tapes cross at the worst of the places; near 90 they hardly cross.
    pub off_square: Degrees,
}

/// How the places are found from the two corners of one wall whose tapes cross most squarely; `None` where the tapes are
/// too short from every wall, or a place lies outside or upon the wall.
///
/// # Errors
/// Refuses an arena's side of 0.
pub fn from_two(places: &[Point], arena: ArenaSize, tape: Metres) -> Result<Option<FromTwo>, TrackError> {
    arena.sides()?;
    let places: Vec<Vector> = places.iter().map(|place| Vector::of(*place)).collect();
    if places.iter().any(|place| arena.inside(*place) <= 0.0) {
        return Ok(None);
    }
    let walls = [[Corner::T, Corner::U], [Corner::U, Corner::Y], [Corner::Y, Corner::Z], [Corner::Z, Corner::T]];
    let mut best: Option<FromTwo> = None;
    for corners in walls {
        let [one, other] = corners.map(|corner| corner.place(arena));
        let mut worst = 0.0f64;
        let mut readings = Vec::with_capacity(places.len());
        for place in &places {
            let (to_one, to_other) = (*place - one, *place - other);
            let crossing = to_one.cross(to_other).abs().atan2(to_one.dot(to_other)).to_degrees();
            worst = worst.max((90.0 - crossing).abs());
            readings.push([to_one, to_other].map(|way| Reading::of(Metres::nearest(way.length()))));
        }
        let reach = readings.iter().flatten().all(|reading| reading.exact().get() <= tape.get());
        if reach && best.as_ref().is_none_or(|best| worst < best.off_square.get()) {
            best = Some(FromTwo { corners, readings, off_square: Degrees::nearest(worst) });
        }
    }
    Ok(best)
}
