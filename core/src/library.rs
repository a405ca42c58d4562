//! Exercises of our own, by the trade's usual kinds: laid out for horse or pony and a level, and placed where they fit.
//!
//! Heights, repeats and radii are choices for planning, well below what a pair jumps. The trainer on the ground decides;
//! an approved helmet and an adult on the ground go without saying, and are said all the same.
mod bending;
mod list;
mod place;
mod sketch;
mod straight;

pub use list::EXERCISES;
pub use place::{PlacedSketch, place};
pub use sketch::{Sketch, SketchFence, SketchLine, Terms};

use crate::stride::{Pair, StrideError};

/// The trade's kinds of exercises.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum ExerciseKind {
    /// Two fences in a row, counted.
    RelatedDistance,
    /// Poles on the ground.
    Poles,
    /// Several fences close together.
    Grid,
    /// Two fences on a bend.
    BendingLine,
    /// Poles or fences spread like the sticks of a fan.
    Fan,
    /// Loops to and fro over a row of fences.
    Serpentine,
    /// A circle between two fences.
    CircleBetween,
    /// Two loops that cross.
    FigureOfEight,
    /// A fence that is easily run past.
    NarrowFence,
    /// Elements that are one obstacle.
    Combination,
    /// Several lines one after the other.
    Course,
}

/// An exercise of the library.
#[derive(Debug, Clone, Copy)]
pub struct Exercise {
    /// Unlike every other's.
    pub key: &'static str,
    /// What it is called.
    pub name: &'static str,
    /// What kind it is.
    pub kind: ExerciseKind,
    /// For whom; the first is where it begins.
    pub levels: &'static [Pair],
    /// What horse and rider learn.
    pub teaches: &'static str,
    /// What the trainer looks at.
    pub look_for: &'static str,
    /// How to ask more.
    pub step_up: &'static str,
    /// How to ask less.
    pub step_back: &'static str,
    build: fn(&Terms) -> Result<Sketch, StrideError>,
}

impl Exercise {
    /// How it is laid out for them.
    ///
    /// ```
    /// use stridewright_core::library::{EXERCISES, Terms};
    /// use stridewright_core::stride::{Pair, Profile};
    /// let five = EXERCISES.iter().find(|exercise| exercise.key == "related_five").unwrap();
    /// let sketch = five.sketch(Terms { profile: Profile::Horse, level: Pair::Usual })?;
    /// assert_eq!((sketch.efforts(), sketch.lines[0].asks.as_slice()), (2, [5, 6, 5, 4].as_slice()));
    /// # Ok::<(), stridewright_core::stride::StrideError>(())
    /// ```
    ///
    /// # Errors
    /// None for the built-in profiles.
    pub fn sketch(&self, terms: Terms) -> Result<Sketch, StrideError> {
        (self.build)(&terms)
    }

    /// How often it is ridden in one day at most, so that the jumps stay enough: twice at least, six times at most.
    ///
    /// # Errors
    /// None for the built-in profiles.
    pub fn repeats(&self, terms: Terms) -> Result<u32, StrideError> {
        let efforts = self.sketch(terms)?.efforts();
        Ok(terms.enough().checked_div(efforts).unwrap_or(6).clamp(2, 6))
    }
}
