//! Places and directions on the ground; x along an arena's long side, angles counter-clockwise from it.
use crate::units::{Coordinate, Degrees};
use std::f64::consts::TAU;
use std::ops::{Add, Mul, Sub};

/// A place on the ground.
#[derive(Debug, Clone, Copy, PartialEq, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub struct Point {
    /// Along the long side.
    pub x: Coordinate,
    /// Along the short side.
    pub y: Coordinate,
}

/// A place, and the direction in which it is passed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Passage {
    /// Where.
    pub at: Point,
    /// Which way.
    pub heading: Degrees,
}

impl Passage {
    pub(crate) fn pose(&self) -> Pose {
        Pose { at: Vector::of(self.at), heading: self.heading.get().to_radians() }
    }
}

/// Metres along both sides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Vector {
    pub x: f64,
    pub y: f64,
}

impl Vector {
    pub fn of(point: Point) -> Self {
        Self { x: point.x.get(), y: point.y.get() }
    }

    /// The nearest point that can be said.
    pub fn point(self) -> Point {
        Point { x: Coordinate::nearest(self.x), y: Coordinate::nearest(self.y) }
    }

    /// One metre that way.
    pub fn towards(heading: f64) -> Self {
        let (y, x) = heading.sin_cos();
        Self { x, y }
    }

    /// The same turned a quarter to the left.
    pub const fn left(self) -> Self {
        Self { x: -self.y, y: self.x }
    }

    pub fn dot(self, other: Self) -> f64 {
        self.x * other.x + self.y * other.y
    }

    /// Above 0 where the other lies to the left.
    pub fn cross(self, other: Self) -> f64 {
        self.x * other.y - self.y * other.x
    }

    pub fn length(self) -> f64 {
        self.x.hypot(self.y)
    }

    pub fn heading(self) -> f64 {
        self.y.atan2(self.x)
    }
}

impl Add for Vector {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self { x: self.x + other.x, y: self.y + other.y }
    }
}

impl Sub for Vector {
    type Output = Self;
    fn sub(self, other: Self) -> Self {
        Self { x: self.x - other.x, y: self.y - other.y }
    }
}

impl Mul<f64> for Vector {
    type Output = Self;
    fn mul(self, by: f64) -> Self {
        Self { x: self.x * by, y: self.y * by }
    }
}

/// A place in metres and a heading in radians.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(crate) struct Pose {
    pub at: Vector,
    pub heading: f64,
}

impl Pose {
    /// The same so many metres on; back where they are below 0.
    pub fn on(self, by: f64) -> Self {
        Self { at: self.at + Vector::towards(self.heading) * by, ..self }
    }
}

/// The angle from 0 to a full turn; what lies within rounding of a full turn, or of 0, is 0, or two directions that
/// agree would be a whole circle apart.
pub(crate) fn within_a_turn(angle: f64) -> f64 {
    let angle = angle.rem_euclid(TAU);
    if (1e-12..=TAU - 1e-9).contains(&angle) { angle } else { 0.0 }
}

/// How far apart two headings are, from 0 to half a turn.
pub(crate) fn apart(one: f64, other: f64) -> f64 {
    let turn = (one - other).rem_euclid(TAU);
    turn.min(TAU - turn)
}
