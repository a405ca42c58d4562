//! Setting everything alone: where the tape is pinned for each thing, and in what order one walks.
use super::corner::Corner;
use super::square_off::{Legs, pinned};
use crate::track::plane::{Vector, apart};
use crate::track::{ArenaSize, Point, TrackError};
use crate::units::{Degrees, Metres};

/// One thing that is set: where the tape is pinned, and what is read.
#[derive(Debug, Clone, PartialEq)]
pub struct SetByOne {
    /// Which of the things, from 0 in the given order.
    pub thing: usize,
    /// Where the tape is pinned.
    pub corner: Corner,
    /// The corner towards which it lies along the wall.
    pub towards: Corner,
    /// It lies there already from the thing before.
    pub still: bool,
    /// One for each place of the thing.
    pub legs: Vec<Legs>,
}

/// Everything that is set, corner by corner.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct SetAlone {
    /// In the order of walking: round the arena, and along each wall away from the pin.
    pub rows: Vec<SetByOne>,
    /// Things that no corner reaches with this tape.
    pub out_of_reach: Vec<usize>,
}

/// How one person with that tape sets things, each of one place or of several that are read from the same pin.
///
/// ```
/// use stridewright_core::tape::{Corner, set_alone};
/// use stridewright_core::track::{ArenaSize, Point};
/// use stridewright_core::units::{Coordinate, Metres};
/// let place = |x, y| Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) };
/// let arena = ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) };
/// let rails = [vec![place(44.0, 4.0), place(44.0, 7.5)], vec![place(12.0, 5.0), place(12.0, 8.5)], vec![place(51.0, 6.0)]];
/// let alone = set_alone(&rails, arena, Metres::nearest(30.0))?;
/// let walked: Vec<_> = alone.rows.iter().map(|row| (row.thing, row.corner, row.still)).collect();
/// assert_eq!(walked, [(1, Corner::T, false), (2, Corner::U, false), (0, Corner::U, true)]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses an arena's side of 0.
pub fn set_alone(things: &[Vec<Point>], arena: ArenaSize, tape: Metres) -> Result<SetAlone, TrackError> {
    let mut alone = SetAlone::default();
    for (thing, places) in things.iter().enumerate() {
        match pinned(places, arena, tape)? {
            Some(found) => alone.rows.push(SetByOne {
                thing,
                corner: found.corner,
                towards: found.towards,
                still: false,
                legs: found.legs,
            }),
            None => alone.out_of_reach.push(thing),
        }
    }
    let nearest = |row: &SetByOne| row.legs.iter().map(|legs| legs.along.exact().get()).fold(f64::INFINITY, f64::min);
    alone.rows.sort_by(|one, other| {
        let pin = |row: &SetByOne| (row.corner, row.towards);
        pin(one).cmp(&pin(other)).then(nearest(one).total_cmp(&nearest(other)))
    });
    let mut before = None;
    for row in &mut alone.rows {
        row.still = before == Some((row.corner, row.towards));
        before = Some((row.corner, row.towards));
    }
    Ok(alone)
}

/// The two corners that say best which way a fence is ridden: from the one to the other.
///
/// ```
/// use stridewright_core::tape::{Corner, ridden_between};
/// use stridewright_core::track::ArenaSize;
/// use stridewright_core::units::{Degrees, Metres};
/// let arena = ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) };
/// assert_eq!(ridden_between(Degrees::nearest(5.0), arena)?, [Corner::T, Corner::U]);
/// assert_eq!(ridden_between(Degrees::nearest(-20.0), arena)?, [Corner::Z, Corner::U]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses an arena's side of 0.
pub fn ridden_between(heading: Degrees, arena: ArenaSize) -> Result<[Corner; 2], TrackError> {
    arena.sides()?;
    let wanted = heading.get().to_radians();
    let mut best = (f64::INFINITY, [Corner::T, Corner::U]);
    for from in Corner::ALL {
        for to in Corner::ALL.into_iter().filter(|to| *to != from) {
            let way: Vector = to.place(arena) - from.place(arena);
            let off = apart(way.heading(), wanted);
            if off < best.0 - 1e-9 {
                best = (off, [from, to]);
            }
        }
    }
    Ok(best.1)
}
