//! A fence where it stands, and how it is jumped.
use super::plane::{Point, Pose, Vector};
use crate::units::{Centimetres, Coordinate, Degrees, Metres};

/// A fence where it stands.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PlacedFence {
    /// The middle of it.
    pub centre: Point,
    /// The direction in which it is jumped.
    pub heading: Degrees,
    /// 0 is a pole on the ground.
    pub height: Centimetres,
    /// How deep it is, along the heading.
    pub spread: Metres,
    /// Along the rail, between the wings.
    pub width: Metres,
}

/// Where a fence is jumped, and how far off square.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Aim {
    /// Left of the middle, along the rail; right of it below 0.
    pub left: Coordinate,
    /// Off square, to the left; to the right below 0.
    pub off_square: Degrees,
}

impl Aim {
    /// The middle of the fence, square.
    pub const SQUARE: Self = Self { left: Coordinate::nearest(0.0), off_square: Degrees::nearest(0.0) };
}

/// A fence as it is jumped in a line.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Jump {
    /// Where it stands.
    pub fence: PlacedFence,
    /// Where on it.
    pub aim: Aim,
}

impl PlacedFence {
    /// The same fence jumped the other way.
    #[must_use]
    pub fn turned(&self) -> Self {
        Self { heading: Degrees::nearest((self.heading.get() + 180.0).rem_euclid(360.0)), ..*self }
    }

    /// Jumped in the middle, square.
    #[must_use]
    pub const fn square(self) -> Jump {
        Jump { fence: self, aim: Aim::SQUARE }
    }

    pub(crate) fn along(&self) -> f64 {
        self.heading.get().to_radians()
    }
}

impl Jump {
    /// Where the jump begins, on the near face of the fence.
    pub(crate) fn take_off(&self) -> Pose {
        self.face(-0.5)
    }

    /// Where it ends, on the far face.
    pub(crate) fn landing(&self) -> Pose {
        self.face(0.5)
    }

    /// The depth lies along the fence, however it is jumped.
    fn face(&self, spreads: f64) -> Pose {
        let forward = Vector::towards(self.fence.along());
        let middle = Vector::of(self.fence.centre) + forward.left() * self.aim.left.get();
        Pose {
            at: middle + forward * (spreads * self.fence.spread.get()),
            heading: self.fence.along() + self.aim.off_square.get().to_radians(),
        }
    }
}
