//! Curves of an arc, a straight and an arc: what a rider can steer and a plan can show.
//!
//! After L. E. Dubins, "On Curves of Minimal Length with a Constraint on Average Curvature", American Journal of
//! Mathematics 79 (1957); without the curves of three arcs, since two changes of bend without a straight between are
//! never planned.
use super::error::{TrackError, positive};
use super::plane::{Passage, Pose, within_a_turn};
use crate::units::{Degrees, Metres};

/// Which way a curve bends first and last: left or right, a straight between.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "SCREAMING_SNAKE_CASE")]
pub enum Bends {
    /// Left, then left.
    Lsl,
    /// Left, then right.
    Lsr,
    /// Right, then left.
    Rsl,
    /// Right, then right.
    Rsr,
}

impl Bends {
    /// All of them, in the order in which equals are taken.
    pub const ALL: [Self; 4] = [Self::Lsl, Self::Lsr, Self::Rsl, Self::Rsr];

    /// Whether the first and the last arc bend left: 1, or right: -1.
    pub(crate) const fn signs(self) -> (f64, f64) {
        match self {
            Self::Lsl => (1.0, 1.0),
            Self::Lsr => (1.0, -1.0),
            Self::Rsl => (-1.0, 1.0),
            Self::Rsr => (-1.0, -1.0),
        }
    }
}

/// One curve: its arcs in radians, its straight in radii.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Csc {
    pub bends: Bends,
    pub first: f64,
    pub straight: f64,
    pub last: f64,
}

impl Csc {
    pub fn turn(&self) -> f64 {
        self.first + self.last
    }

    /// In radii.
    pub fn length(&self) -> f64 {
        self.first + self.straight + self.last
    }
}

/// Two poses seen from the line between them, at one radius.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Ends {
    /// In metres.
    apart: f64,
    alpha: f64,
    beta: f64,
    sin_cos_alpha: (f64, f64),
    sin_cos_beta: (f64, f64),
}

impl Ends {
    pub fn of(start: Pose, end: Pose) -> Self {
        let between = end.at - start.at;
        let apart = between.length();
        let direction = if apart > 0.0 { between.heading() } else { 0.0 };
        let (alpha, beta) = (start.heading - direction, end.heading - direction);
        Self { apart, alpha, beta, sin_cos_alpha: alpha.sin_cos(), sin_cos_beta: beta.sin_cos() }
    }

    /// The curve of that radius that bends so, where there is one.
    pub fn curve(&self, radius: f64, bends: Bends) -> Option<Csc> {
        let (s1, s2) = bends.signs();
        let ((sin_a, cos_a), (sin_b, cos_b)) = (self.sin_cos_alpha, self.sin_cos_beta);
        let x = self.apart / radius + s1 * sin_a - s2 * sin_b;
        let y = s2 * cos_b - s1 * cos_a;
        let same_way = matches!(bends, Bends::Lsl | Bends::Rsr);
        let (straight, direction) = if same_way {
            let straight = x.hypot(y);
            if straight < 1e-9 {
                let first = within_a_turn(s1 * (self.beta - self.alpha));
                return Some(Csc { bends, first, straight: 0.0, last: 0.0 });
            }
            (straight, y.atan2(x))
        } else {
            let square = x * x + y * y - 4.0;
            if square < -1e-12 {
                return None;
            }
            let straight = square.max(0.0).sqrt();
            (straight, y.atan2(x) + s1 * 2.0f64.atan2(straight))
        };
        let first = within_a_turn(s1 * (direction - self.alpha));
        let last = within_a_turn(s2 * (self.beta - direction));
        Some(Csc { bends, first, straight, last })
    }
}

/// How one curve goes.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curve {
    /// Which way it bends.
    pub bends: Bends,
    /// Along the curve.
    pub length: Metres,
    /// Both arcs together, whichever way they bend.
    pub turn: Degrees,
}

/// The curves of `radius` from one passage to the other that bend as asked, in that order; those that do not exist
/// are left out.
///
/// ```
/// use stridewright_core::track::{Bends, Passage, Point, curves};
/// use stridewright_core::units::{Coordinate, Degrees, Metres};
/// let place = |x, y, heading| Passage {
///     at: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
///     heading: Degrees::nearest(heading),
/// };
/// // half a circle of 5 m, and 10 m straight
/// let half = curves(place(0.0, 0.0, 0.0), place(0.0, 20.0, 180.0), Metres::new(5.0)?, &[Bends::Lsl])?;
/// assert!((half[0].length.get() - (5.0 * std::f64::consts::PI + 10.0)).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `radius` of 0.
pub fn curves(from: Passage, to: Passage, radius: Metres, bends: &[Bends]) -> Result<Vec<Curve>, TrackError> {
    let radius = positive("radius", radius)?;
    let ends = Ends::of(from.pose(), to.pose());
    let found = bends.iter().filter_map(|bends| ends.curve(radius, *bends)).map(|csc| Curve {
        bends: csc.bends,
        length: Metres::nearest(radius * csc.length()),
        turn: Degrees::nearest(csc.turn().to_degrees()),
    });
    Ok(found.collect())
}
