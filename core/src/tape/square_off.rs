//! Finding a place alone: the tape is pinned in a corner, read along the wall, and squared off.
use super::corner::Corner;
use super::reading::Reading;
use crate::track::plane::Vector;
use crate::track::{ArenaSize, Point, TrackError};
use crate::units::Metres;

/// One place: so far along the wall, and so far square off it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Legs {
    /// From the corner.
    pub along: Reading,
    /// From the wall.
    pub off: Reading,
}

/// Places that are found from one corner.
#[derive(Debug, Clone, PartialEq)]
pub struct Pinned {
    /// Where the tape is pinned.
    pub corner: Corner,
    /// The corner towards which it lies along the wall.
    pub towards: Corner,
    /// For each place, in the given order.
    pub legs: Vec<Legs>,
}

/// How the places are found from one corner with a tape of that length, the wall it lies along being the long one where
/// that serves; `None` where the tape is too short from every corner, or a place lies outside. The corner is the one
/// with the shortest way to walk.
///
/// ```
/// use stridewright_core::tape::{Corner, pinned};
/// use stridewright_core::track::{ArenaSize, Point};
/// use stridewright_core::units::{Coordinate, Metres};
/// let arena = ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) };
/// let place = |x, y| Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) };
/// // both ends of a rail in the far half
/// let found = pinned(&[place(40.0, 20.0), place(40.9, 23.4)], arena, Metres::nearest(30.0))?.unwrap();
/// assert_eq!((found.corner, found.towards), (Corner::Y, Corner::Z));
/// assert_eq!(found.legs[0].along.exact().get(), 18.0);
/// assert_eq!(found.legs[0].off.exact().get(), 7.0);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses an arena's side of 0.
pub fn pinned(places: &[Point], arena: ArenaSize, tape: Metres) -> Result<Option<Pinned>, TrackError> {
    arena.sides()?;
    let places: Vec<Vector> = places.iter().map(|place| Vector::of(*place)).collect();
    if places.iter().any(|place| arena.inside(*place) < 0.0) {
        return Ok(None);
    }
    let along_long = Corner::ALL.map(|corner| (corner, corner.along_long_wall(), true));
    let along_short = Corner::ALL.map(|corner| (corner, corner.along_short_wall(), false));
    for ways in [along_long, along_short] {
        let mut best: Option<(f64, Pinned)> = None;
        for (corner, towards, long) in ways {
            let from = corner.place(arena);
            let legs: Vec<(f64, f64)> = places
                .iter()
                .map(|place| {
                    let (x, y) = ((place.x - from.x).abs(), (place.y - from.y).abs());
                    if long { (x, y) } else { (y, x) }
                })
                .collect();
            if legs.iter().any(|(along, off)| along.max(*off) > tape.get()) {
                continue;
            }
            let walked: f64 = legs.iter().map(|(along, off)| along + off).sum();
            if best.as_ref().is_none_or(|(least, _)| walked < *least) {
                let reading = |length: f64| Reading::of(Metres::nearest(length));
                let legs =
                    legs.iter().map(|(along, off)| Legs { along: reading(*along), off: reading(*off) }).collect();
                best = Some((walked, Pinned { corner, towards, legs }));
            }
        }
        if let Some((_, best)) = best {
            return Ok(Some(best));
        }
    }
    Ok(None)
}
