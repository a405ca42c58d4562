//! A track as it is drawn.
use super::path::Piece;
use super::plane::{Passage, Point, Pose, Vector};
use super::ridable::Track;
use crate::units::{Degrees, Metres};

/// A part of a track, in the order of riding.
#[derive(Debug, Clone, Copy, PartialEq)]
pub enum Stretch {
    /// Straight on.
    Straight {
        /// Where it begins.
        from: Point,
        /// Where it ends.
        to: Point,
    },
    /// Along a circle.
    Arc {
        /// Of the circle.
        centre: Point,
        /// Of the circle.
        radius: Metres,
        /// The direction in which its begin is seen from the centre.
        from: Degrees,
        /// How far round, to the left; to the right below 0.
        turn: Degrees,
    },
}

impl Track {
    /// Its straights and arcs, from the landing to the take-off.
    ///
    /// ```
    /// use stridewright_core::stride::Profile;
    /// use stridewright_core::track::{GroundLine, PlacedFence, Point, Stretch, TrackRules, track};
    /// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
    /// let fence = |x, y, heading| PlacedFence {
    ///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
    ///     heading: Degrees::nearest(heading),
    ///     height: Centimetres::GROUND,
    ///     spread: Metres::MIN,
    ///     width: Metres::nearest(3.5),
    /// };
    /// let turn = GroundLine { first: fence(12.0, 8.0, 0.0).square(), second: fence(30.0, 26.0, 90.0).square() };
    /// let rules = TrackRules::usual(Profile::Horse.design_stride());
    /// let ridden = track(&turn, &rules, Metres::nearest(6.0), Metres::MIN)?.unwrap();
    /// let stretches = ridden.stretches();
    /// assert!(matches!(stretches[0], Stretch::Straight { .. }));
    /// assert!(matches!(stretches[1], Stretch::Arc { .. }));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn stretches(&self) -> Vec<Stretch> {
        let (first, last) = self.path.runs.split_at(1);
        first.iter().chain(&self.path.curve).chain(last).map(shown).collect()
    }
}

impl Track {
    /// Where one is so many metres along it, and which way one goes there; its ends beyond them.
    ///
    /// ```
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
    /// assert_eq!(straight.at(Metres::nearest(5.0)).at.x, Coordinate::nearest(15.0));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    #[must_use]
    pub fn at(&self, along: Metres) -> Passage {
        let (first, last) = self.path.runs.split_at(1);
        let mut left = along.get();
        let mut here = Pose { at: Vector { x: 0.0, y: 0.0 }, heading: 0.0 };
        // what has no length leads nowhere
        for piece in first.iter().chain(&self.path.curve).chain(last).filter(|piece| piece.length() > 0.0) {
            let length = piece.length();
            here = piece.at(left.min(length));
            if left <= length {
                break;
            }
            left -= length;
        }
        Passage { at: here.at.point(), heading: Degrees::nearest(here.heading.to_degrees() % 360.0) }
    }
}

fn shown(piece: &Piece) -> Stretch {
    match *piece {
        Piece::Straight { from, to } => Stretch::Straight { from: from.point(), to: to.point() },
        Piece::Arc { centre, radius, from, sweep } => Stretch::Arc {
            centre: centre.point(),
            radius: Metres::nearest(radius),
            from: Degrees::nearest(from.to_degrees()),
            turn: Degrees::nearest(sweep.to_degrees()),
        },
    }
}
