//! From metres on the ground to places on the page.
use super::svg::At;
use crate::track::plane::Vector;
use crate::track::{ArenaSize, PlacedFence, Point};

/// Where the arena lies on the page.
#[derive(Debug, Clone, Copy)]
pub(super) struct Page {
    pub left: f64,
    pub top: f64,
    /// Of one metre.
    pub scale: f64,
    pub arena: ArenaSize,
}

impl Page {
    pub fn at(&self, x: f64, y: f64) -> At {
        (self.left + x * self.scale, self.top + (self.arena.width.get() - y) * self.scale)
    }

    pub fn point(&self, point: Point) -> At {
        self.at(point.x.get(), point.y.get())
    }

    pub fn vector(&self, at: Vector) -> At {
        self.at(at.x, at.y)
    }
}

/// A fence's own directions: along the jump, and to the left.
#[derive(Debug, Clone, Copy)]
pub(super) struct Frame {
    centre: Vector,
    forward: Vector,
}

impl Frame {
    pub fn of(fence: &PlacedFence) -> Self {
        Self { centre: Vector::of(fence.centre), forward: Vector::towards(fence.along()) }
    }

    /// So far along the jump and so far to the left of the middle.
    pub fn at(&self, along: f64, left: f64) -> Vector {
        self.centre + self.forward * along + self.forward.left() * left
    }
}
