//! The ground that a track has: the arena's walls, and what stands on it.
use super::error::{TrackError, positive};
use super::fence::PlacedFence;
use super::path::{Piece, passes};
use super::plane::{Point, Vector};
use super::ridable::Path;
use crate::stride::SLACK;
use crate::units::{Metres, SquareMetres};

/// The inside of an arena, from the corner where x and y are 0.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct ArenaSize {
    /// Along x.
    pub length: Metres,
    /// Along y.
    pub width: Metres,
}

impl ArenaSize {
    /// Its ground.
    ///
    /// ```
    /// use stridewright_core::track::ArenaSize;
    /// use stridewright_core::units::{Metres, SquareMetres};
    /// let arena = ArenaSize { length: Metres::nearest(60.0), width: Metres::nearest(30.0) };
    /// assert_eq!(arena.area(), SquareMetres::nearest(1800.0));
    /// ```
    #[must_use]
    pub const fn area(self) -> SquareMetres {
        SquareMetres::nearest(self.length.get() * self.width.get())
    }

    pub(crate) fn sides(&self) -> Result<(f64, f64), TrackError> {
        Ok((positive("arena_length", self.length)?, positive("arena_width", self.width)?))
    }

    /// How far the piece stays from the walls; below 0 where it is outside.
    pub(crate) fn clearance(&self, piece: &Piece) -> f64 {
        piece.extremes().map(|at| self.inside(at)).fold(f64::INFINITY, f64::min)
    }

    pub(crate) fn inside(&self, at: Vector) -> f64 {
        at.x.min(self.length.get() - at.x).min(at.y).min(self.width.get() - at.y)
    }
}

/// What a fence takes of the ground beyond its rail and depth: choices of ours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Stands {
    /// Each wing, beyond the rail.
    pub wing: Metres,
    /// Before and behind.
    pub foot: Metres,
}

impl Stands {
    /// Half a metre a wing, and 0.3 m before and behind.
    pub const USUAL: Self = Self { wing: Metres::nearest(0.5), foot: Metres::nearest(0.3) };
}

/// A rectangle on the ground, however it is turned.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Footprint {
    centre: Vector,
    forward: Vector,
    half_depth: f64,
    half_width: f64,
}

/// Something fixed in an arena that is no fence: a rectangle along its walls.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Obstruction {
    /// Its corner nearest to where x and y are 0.
    pub corner: Point,
    /// Along x.
    pub length: Metres,
    /// Along y.
    pub width: Metres,
}

impl Footprint {
    pub fn of_obstruction(thing: &Obstruction) -> Self {
        let half = Vector { x: thing.length.get() / 2.0, y: thing.width.get() / 2.0 };
        Self {
            centre: Vector::of(thing.corner) + half,
            forward: Vector { x: 1.0, y: 0.0 },
            half_depth: half.x,
            half_width: half.y,
        }
    }

    pub fn of(fence: &PlacedFence, stands: Stands) -> Self {
        Self {
            centre: Vector::of(fence.centre),
            forward: Vector::towards(fence.along()),
            half_depth: fence.spread.get() / 2.0 + stands.foot.get(),
            half_width: fence.width.get() / 2.0 + stands.wing.get(),
        }
    }

    pub fn corners(&self) -> [Vector; 4] {
        let (deep, wide) = (self.forward * self.half_depth, self.forward.left() * self.half_width);
        [self.centre + deep + wide, self.centre - deep + wide, self.centre - deep - wide, self.centre + deep - wide]
    }

    /// Whether the two have ground in common; to touch is none.
    pub fn overlaps(&self, other: &Self) -> bool {
        self.depth_in(other) > SLACK
    }

    /// How far one would have to be moved to be clear of the other; 0 or below where they are apart.
    pub fn depth_in(&self, other: &Self) -> f64 {
        let axes = [self.forward, self.forward.left(), other.forward, other.forward.left()];
        let depths = axes.into_iter().map(|axis| {
            let span = |print: &Self| {
                let along = print.corners().map(|corner| corner.dot(axis));
                (along.into_iter().fold(f64::INFINITY, f64::min), along.into_iter().fold(f64::NEG_INFINITY, f64::max))
            };
            let ((low, high), (other_low, other_high)) = (span(self), span(other));
            high.min(other_high) - low.max(other_low)
        });
        depths.fold(f64::INFINITY, f64::min)
    }

    /// The least distance to the piece; 0 where it meets or lies within.
    pub fn distance(&self, piece: &Piece) -> f64 {
        match *piece {
            Piece::Straight { from, to } => self.off_straight(self.seen(from), self.seen(to)),
            Piece::Arc { centre, radius, from, sweep } => {
                let from = from - self.forward.heading();
                self.off_arc(self.seen(centre), radius, from, sweep)
            }
        }
    }

    pub fn distance_to_all<'a>(&self, pieces: impl Iterator<Item = &'a Piece>) -> f64 {
        pieces.map(|piece| self.distance(piece)).fold(f64::INFINITY, f64::min)
    }

    /// As seen from the middle, looking along.
    fn seen(&self, at: Vector) -> Vector {
        let at = at - self.centre;
        Vector { x: at.dot(self.forward), y: self.forward.cross(at) }
    }

    fn off_point(&self, at: Vector) -> f64 {
        (at.x.abs() - self.half_depth).max(0.0).hypot((at.y.abs() - self.half_width).max(0.0))
    }

    fn corners_seen(&self) -> [Vector; 4] {
        let (a, b) = (self.half_depth, self.half_width);
        [(a, b), (-a, b), (-a, -b), (a, -b)].map(|(x, y)| Vector { x, y })
    }

    fn off_straight(&self, from: Vector, to: Vector) -> f64 {
        if self.is_crossed(from, to) {
            return 0.0;
        }
        let ends = self.off_point(from).min(self.off_point(to));
        let along = to - from;
        let square = along.dot(along);
        self.corners_seen().into_iter().fold(ends, |least, corner| {
            let share = if square > 0.0 { ((corner - from).dot(along) / square).clamp(0.0, 1.0) } else { 0.0 };
            least.min((corner - (from + along * share)).length())
        })
    }

    /// Whether a part of the straight lies within.
    fn is_crossed(&self, from: Vector, to: Vector) -> bool {
        let along = to - from;
        let (mut enters, mut leaves) = (0.0f64, 1.0f64);
        for (start, by, half) in [(from.x, along.x, self.half_depth), (from.y, along.y, self.half_width)] {
            if by == 0.0 {
                if start.abs() > half {
                    return false;
                }
            } else {
                let (one, other) = ((-half - start) / by, (half - start) / by);
                enters = enters.max(one.min(other));
                leaves = leaves.min(one.max(other));
            }
        }
        enters <= leaves
    }

    fn off_arc(&self, centre: Vector, radius: f64, from: f64, sweep: f64) -> f64 {
        let arc = Piece::Arc { centre, radius, from, sweep };
        let nearest = arc.extremes().map(|at| self.off_point(at)).fold(f64::INFINITY, f64::min);
        if nearest == 0.0 || self.is_met_by_arc(centre, radius, from, sweep) {
            return 0.0;
        }
        self.corners_seen().into_iter().fold(nearest, |least, corner| {
            let out = corner - centre;
            if passes(from, sweep, out.heading()) { least.min((out.length() - radius).abs()) } else { least }
        })
    }

    fn is_met_by_arc(&self, centre: Vector, radius: f64, from: f64, sweep: f64) -> bool {
        let on_edge = |offset: f64, other: f64, half: f64, upright: bool| {
            // where the circle passes the line of this edge
            let square = radius * radius - offset * offset;
            square >= 0.0
                && [-1.0, 1.0].into_iter().any(|side| {
                    let across = side * square.sqrt();
                    let angle = if upright { across.atan2(offset) } else { offset.atan2(across) };
                    (other + across).abs() <= half && passes(from, sweep, angle)
                })
        };
        [-1.0, 1.0].into_iter().any(|side| {
            on_edge(side * self.half_depth - centre.x, centre.y, self.half_width, true)
                || on_edge(side * self.half_width - centre.y, centre.x, self.half_depth, false)
        })
    }
}

/// The ground that a line has: where its track may go.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Ground<'a> {
    /// The arena.
    pub arena: ArenaSize,
    /// How far from the walls a track stays.
    pub wall_clearance: Metres,
    /// The fences that are not the line's own.
    pub others: &'a [PlacedFence],
    /// What else stands there and stays.
    pub obstructions: &'a [Obstruction],
    /// What every fence takes beyond its rail.
    pub stands: Stands,
}

impl Ground<'_> {
    /// What stands on it: other fences, then obstructions.
    pub(crate) fn standing(&self) -> impl Iterator<Item = Footprint> {
        let fences = self.others.iter().map(|fence| Footprint::of(fence, self.stands));
        fences.chain(self.obstructions.iter().map(Footprint::of_obstruction))
    }
}

/// The same, with every footprint worked out.
pub(crate) struct Obstacles {
    arena: ArenaSize,
    wall_clearance: f64,
    own: [Footprint; 2],
    others: Vec<Footprint>,
}

impl Obstacles {
    pub fn of(ground: &Ground<'_>, own: [&PlacedFence; 2]) -> Result<Self, TrackError> {
        ground.arena.sides()?;
        Ok(Self {
            arena: ground.arena,
            wall_clearance: ground.wall_clearance.get(),
            own: own.map(|fence| Footprint::of(fence, ground.stands)),
            others: ground.standing().collect(),
        })
    }

    /// Whether the track keeps from the walls, meets no other fence, and does not curve over its own.
    pub fn leave_room_for(&self, path: &Path) -> bool {
        let wall = path.pieces().map(|piece| self.arena.clearance(piece)).fold(f64::INFINITY, f64::min);
        wall >= self.wall_clearance - SLACK
            && self.others.iter().all(|print| print.distance_to_all(path.pieces()) > SLACK)
            && self.own.iter().all(|print| path.curve.is_empty() || print.distance_to_all(path.curve.iter()) > SLACK)
    }
}
