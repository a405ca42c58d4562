//! The pieces of a track, and how near they come to something.
use super::csc::Csc;
use super::plane::{Pose, Vector};
use std::f64::consts::{FRAC_PI_2, TAU};

/// A straight, or an arc of a circle.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) enum Piece {
    Straight {
        from: Vector,
        to: Vector,
    },
    /// From the angle at which its begin is seen from the centre, so far round; below 0 to the right.
    Arc {
        centre: Vector,
        radius: f64,
        from: f64,
        sweep: f64,
    },
}

impl Piece {
    /// The straight from there.
    pub fn straight(from: Pose, length: f64) -> Self {
        Self::Straight { from: from.at, to: from.on(length).at }
    }

    /// The arc from there; to the left for a `side` of 1, to the right for -1.
    pub fn arc(from: Pose, radius: f64, side: f64, turn: f64) -> Self {
        let outward = Vector::towards(from.heading).left() * -side;
        Self::Arc { centre: from.at - outward * radius, radius, from: outward.heading(), sweep: side * turn }
    }

    pub fn ends(&self) -> (Vector, Vector) {
        match *self {
            Self::Straight { from, to } => (from, to),
            Self::Arc { centre, radius, from, sweep } => {
                let at = |angle: f64| centre + Vector::towards(angle) * radius;
                (at(from), at(from + sweep))
            }
        }
    }

    /// The same ridden the other way.
    pub fn reversed(self) -> Self {
        match self {
            Self::Straight { from, to } => Self::Straight { from: to, to: from },
            Self::Arc { centre, radius, from, sweep } => {
                Self::Arc { centre, radius, from: from + sweep, sweep: -sweep }
            }
        }
    }

    pub fn length(&self) -> f64 {
        match *self {
            Self::Straight { from, to } => (to - from).length(),
            Self::Arc { radius, sweep, .. } => radius * sweep.abs(),
        }
    }

    /// Where one is so far along it, and which way one goes.
    pub fn at(&self, along: f64) -> Pose {
        match *self {
            Self::Straight { from, to } => {
                let heading = (to - from).heading();
                Pose { at: from, heading }.on(along)
            }
            Self::Arc { centre, radius, from, sweep } => {
                let angle = from + sweep.signum() * along / radius;
                let at = centre + Vector::towards(angle) * radius;
                Pose { at, heading: angle + sweep.signum() * FRAC_PI_2 }
            }
        }
    }

    /// Its ends, and where an arc reaches furthest along x and along y.
    pub fn extremes(&self) -> impl Iterator<Item = Vector> {
        let (from, to) = self.ends();
        let compass = match *self {
            Self::Straight { .. } => [None; 4],
            Self::Arc { centre, radius, from, sweep } => [0.0, 1.0, 2.0, 3.0].map(|quarters| {
                let angle = quarters * FRAC_PI_2;
                passes(from, sweep, angle).then(|| centre + Vector::towards(angle) * radius)
            }),
        };
        [from, to].into_iter().chain(compass.into_iter().flatten())
    }
}

/// Whether an arc passes a direction seen from its centre.
pub(crate) fn passes(from: f64, sweep: f64, angle: f64) -> bool {
    let on = if sweep >= 0.0 { angle - from } else { from - angle };
    on.rem_euclid(TAU) <= sweep.abs()
}

/// The arcs and the straight of a curve from there; those without a length are left out.
pub(crate) fn pieces(start: Pose, curve: &Csc, radius: f64) -> Vec<Piece> {
    let (s1, s2) = curve.bends.signs();
    let mut list = Vec::with_capacity(3);
    let mut at = start;
    let arc = |at: Pose, side: f64, turn: f64| {
        let piece = Piece::arc(at, radius, side, turn);
        let end = Pose { at: piece.ends().1, heading: at.heading + side * turn };
        (turn > 0.0).then_some((piece, end))
    };
    if let Some((piece, end)) = arc(at, s1, curve.first) {
        list.push(piece);
        at = end;
    }
    if curve.straight > 0.0 {
        list.push(Piece::straight(at, curve.straight * radius));
        at = at.on(curve.straight * radius);
    }
    list.extend(arc(at, s2, curve.last).map(|(piece, _)| piece));
    list
}
