//! Whether there is room to turn onto a line, and off it.
use crate::stride::SLACK;
use crate::track::path::Piece;
use crate::track::plane::{Pose, Vector};
use crate::track::{ArenaSize, Jump, TrackError, positive};
use crate::units::{Clearance, Metres};
use std::f64::consts::{FRAC_PI_2, PI};

/// A side of a line, looking along the jump.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Side {
    /// The turn lies to the left.
    Left,
    /// The turn lies to the right.
    Right,
}

impl Side {
    const BOTH: [Self; 2] = [Self::Left, Self::Right];

    pub(super) const fn sign(self) -> f64 {
        match self {
            Self::Left => 1.0,
            Self::Right => -1.0,
        }
    }
}

/// How much room a turn wants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnWanted {
    /// Straight before the first fence, or after the last.
    pub straight: Metres,
    /// Of the quarter turn beyond it.
    pub radius: Metres,
    /// From the walls, all along.
    pub wall_clearance: Metres,
}

/// The room there is for a turn.
#[derive(Debug, Clone, PartialEq)]
pub struct TurnRoom {
    /// How far a turn to the left stays from the walls.
    pub left: Clearance,
    /// How far one to the right does.
    pub right: Clearance,
    /// The sides with room enough, the left first.
    pub sides: Vec<Side>,
    /// Where neither has: how much the better one lacks.
    pub missing: Option<Metres>,
    /// Where neither has: the longest straight with which one would; `None` where not even the turn alone fits.
    pub longest_straight: Option<Metres>,
}

/// The room to turn onto the line before its first fence.
///
/// ```
/// use stridewright_core::layout::{Side, TurnWanted, approach_room};
/// use stridewright_core::track::{ArenaSize, PlacedFence, Point};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = |x, y, heading| PlacedFence {
///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
///     heading: Degrees::nearest(heading),
///     height: Centimetres::new(90).unwrap(),
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// let wanted = TurnWanted {
///     straight: Metres::nearest(11.0),
///     radius: Metres::nearest(7.0),
///     wall_clearance: Metres::nearest(1.5),
/// };
/// let arena = ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) };
/// // 8 m from the long side on its right: only a turn from the left has room
/// let room = approach_room(&fence(22.0, 8.0, 0.0).square(), wanted, arena)?;
/// assert_eq!(room.sides, [Side::Left]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a radius or an arena's side of 0.
pub fn approach_room(first: &Jump, wanted: TurnWanted, arena: ArenaSize) -> Result<TurnRoom, TrackError> {
    // ridden backwards: what turns left onto the line lies to the right then
    room(backwards(first.take_off()), -1.0, wanted, arena)
}

/// The room to turn off the line after its last fence.
///
/// # Errors
/// Refuses a radius or an arena's side of 0.
pub fn getaway_room(last: &Jump, wanted: TurnWanted, arena: ArenaSize) -> Result<TurnRoom, TrackError> {
    room(last.landing(), 1.0, wanted, arena)
}

/// The straight run before the first fence or after the last.
pub(super) fn run(from: Pose, straight: Metres) -> Piece {
    Piece::straight(from, straight.get())
}

pub(super) fn backwards(face: Pose) -> Pose {
    Pose { heading: face.heading + PI, ..face }
}

fn room(face: Pose, left: f64, wanted: TurnWanted, arena: ArenaSize) -> Result<TurnRoom, TrackError> {
    arena.sides()?;
    let (straight, radius) = (wanted.straight.get(), positive("turn_radius", wanted.radius)?);
    let least = wanted.wall_clearance.get();
    let turn = |side: Side| Piece::arc(face.on(straight), radius, left * side.sign(), FRAC_PI_2);
    let clearance = |side: Side| arena.clearance(&Piece::straight(face, straight)).min(arena.clearance(&turn(side)));
    let [on_left, on_right] = Side::BOTH.map(clearance);
    let sides: Vec<Side> = Side::BOTH.into_iter().filter(|side| clearance(*side) >= least - SLACK).collect();
    let short = sides.is_empty();
    let longest = || {
        let of = |side: Side| longest_straight(face, &turn(side), straight, least, arena);
        Side::BOTH
            .into_iter()
            .filter_map(of)
            .fold(None, |most: Option<f64>, this| Some(most.map_or(this, |m| m.max(this))))
    };
    Ok(TurnRoom {
        left: Clearance::nearest(on_left),
        right: Clearance::nearest(on_right),
        missing: short.then(|| Metres::nearest(least - on_left.max(on_right))),
        longest_straight: if short { longest().map(Metres::nearest) } else { None },
        sides,
    })
}

/// The longest straight, up to the one wanted, with which the turn stays inside: its extremes move with the straight,
/// so that each wall bounds it from above or from below.
fn longest_straight(face: Pose, turn: &Piece, straight: f64, least: f64, arena: ArenaSize) -> Option<f64> {
    if arena.inside(face.at) < least - SLACK {
        return None;
    }
    let along = Vector::towards(face.heading);
    let (mut low, mut high) = (0.0f64, straight);
    for at in turn.extremes() {
        let start = at - along * straight;
        let walls = [
            (start.x, along.x),
            (arena.length.get() - start.x, -along.x),
            (start.y, along.y),
            (arena.width.get() - start.y, -along.y),
        ];
        for (from, by) in walls {
            if by.abs() < 1e-12 {
                if from < least - SLACK {
                    return None;
                }
            } else if by < 0.0 {
                high = high.min((from - least) / -by);
            } else {
                low = low.max((least - from) / by);
            }
        }
    }
    (low <= high + SLACK && high >= -SLACK).then(|| high.max(0.0))
}
