//! The ways onto a line and off it, as they are drawn: straight before the first fence or after the last, a quarter turn,
//! and on.
use super::turn_room::{Side, TurnWanted, backwards};
use crate::track::path::Piece;
use crate::track::plane::{Pose, Vector};
use crate::track::{Jump, Path, Track, TrackError, positive};
use crate::units::{Degrees, Metres};
use std::f64::consts::{FRAC_PI_2, PI};

/// The way to the jump from so far back, with its turn on that side.
///
/// ```
/// use stridewright_core::layout::{Side, TurnWanted, way_on};
/// use stridewright_core::track::{PlacedFence, Point};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = PlacedFence {
///     centre: Point { x: Coordinate::nearest(30.0), y: Coordinate::nearest(12.0) },
///     heading: Degrees::nearest(0.0),
///     height: Centimetres::new(90).unwrap(),
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// let wanted = TurnWanted {
///     straight: Metres::nearest(11.0),
///     radius: Metres::nearest(7.0),
///     wall_clearance: Metres::nearest(1.5),
/// };
/// // the canter is chosen 25 m before it, beyond the turn
/// let way = way_on(&fence.square(), wanted, Side::Left, Metres::nearest(25.0))?;
/// assert!((way.length.get() - 25.0).abs() < 1e-9);
/// let chosen = way.at(Metres::MIN);
/// assert!((chosen.at.x.get() - 12.0).abs() < 1e-9 && chosen.at.y.get() > 19.0);
/// assert_eq!(way.at(way.length).at.x, Coordinate::nearest(30.0));
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a radius of 0.
pub fn way_on(first: &Jump, wanted: TurnWanted, side: Side, length: Metres) -> Result<Track, TrackError> {
    // ridden backwards: what turns left onto the line lies to the right then
    let mut pieces = way(backwards(first.take_off()), wanted, -side.sign(), length.get())?;
    pieces.reverse();
    Ok(track(pieces.into_iter().map(|piece| piece.reversed()).collect()))
}

/// The way on from the jump for so far, with its turn on that side.
///
/// # Errors
/// Refuses a radius of 0.
pub fn way_off(last: &Jump, wanted: TurnWanted, side: Side, length: Metres) -> Result<Track, TrackError> {
    Ok(track(way(last.landing(), wanted, side.sign(), length.get())?))
}

/// The straight, the turn and the straight beyond it, as far as the length reaches.
/// A circle of that diameter, begun so far along a track and ridden to that side, back to where it began.
///
/// ```
/// use stridewright_core::layout::{Side, circle_on};
/// use stridewright_core::stride::Profile;
/// use stridewright_core::track::{GroundLine, PlacedFence, Point, TrackRules, track};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = |x| PlacedFence {
///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(10.0) },
///     heading: Degrees::nearest(0.0),
///     height: Centimetres::GROUND,
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// let line = GroundLine { first: fence(10.0).square(), second: fence(30.0).square() };
/// let rules = TrackRules::usual(Profile::Horse.design_stride());
/// let straight = track(&line, &rules, Metres::nearest(8.0), Metres::MIN)?.unwrap();
/// let circle = circle_on(&straight, Metres::nearest(10.0), Metres::nearest(12.0), Side::Left)?;
/// let furthest = circle.at(Metres::nearest(circle.length.get() / 2.0)).at;
/// assert!((furthest.y.get() - 22.0).abs() < 1e-9 && (furthest.x.get() - 20.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a diameter of 0.
pub fn circle_on(on: &Track, at: Metres, diameter: Metres, side: Side) -> Result<Track, TrackError> {
    let radius = positive("diameter", diameter)? / 2.0;
    let here = on.at(at);
    let begin = Pose { at: Vector::of(here.at), heading: here.heading.get().to_radians() };
    // in two halves: an arc that ends where it begins has no way round
    let half = Piece::arc(begin, radius, side.sign(), PI);
    let across = Pose { at: half.ends().1, heading: begin.heading + side.sign() * PI };
    let nothing = Piece::straight(begin, 0.0);
    Ok(track(vec![nothing, half, Piece::arc(across, radius, side.sign(), PI), nothing]))
}

fn way(face: Pose, wanted: TurnWanted, left: f64, length: f64) -> Result<Vec<Piece>, TrackError> {
    let (straight, radius) = (wanted.straight.get().min(length), positive("turn_radius", wanted.radius)?);
    let turn = ((length - straight) / radius).clamp(0.0, FRAC_PI_2);
    let beyond = (length - straight - turn * radius).max(0.0);
    let mut pieces = vec![Piece::straight(face, straight)];
    if turn > 0.0 {
        let arc = Piece::arc(face.on(straight), radius, left, turn);
        let end = Pose { at: arc.ends().1, heading: face.heading + left * turn };
        // a path is a straight, its curve and a straight, however short
        pieces.extend([arc, Piece::straight(end, beyond)]);
    }
    Ok(pieces)
}

fn track(pieces: Vec<Piece>) -> Track {
    let turn = |piece: &Piece| if let Piece::Arc { sweep, .. } = piece { sweep.abs().to_degrees() } else { 0.0 };
    let length = pieces.iter().map(Piece::length).sum();
    let turned = pieces.iter().map(turn).sum();
    let (runs, curve) = pieces.into_iter().partition(|piece| matches!(piece, Piece::Straight { .. }));
    let path = Path { runs, curve };
    Track { length: Metres::nearest(length), turn: Degrees::nearest(turned), curved: None, path }
}
