//! Exercises of our own, by the trade's usual kinds: laid out for horse or pony and a level, and placed where they fit.
//!
//! Heights, repeats and radii are choices for planning, well below what a pair jumps. The trainer on the ground decides;
//! an approved helmet and an adult on the ground go without saying, and are said all the same.
mod bending;
mod place;
mod sketch;
mod straight;

pub use place::{PlaceWanted, PlacedSketch, place};
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

const ALL: &[Pair] = &[Pair::Novice, Pair::Usual, Pair::Schooled];
const EXPERIENCED: &[Pair] = &[Pair::Usual, Pair::Schooled];
const SCHOOLED: &[Pair] = &[Pair::Schooled];

/// Every exercise, the easier of a kind first.
pub const EXERCISES: &[Exercise] = &[
    Exercise {
        key: "pole_row",
        name: "Four poles in a row",
        kind: ExerciseKind::Poles,
        levels: ALL,
        teaches: "An even canter: one step over each pole.",
        look_for: "The same rhythm before, over and behind the poles; a straight way out.",
        step_up: "Ride it from the other rein, then raise every second pole to a hand's height.",
        step_back: "Two poles, or the same at the trot with half the distance.",
        build: straight::pole_row,
    },
    Exercise {
        key: "pole_five",
        name: "Two poles, five strides apart",
        kind: ExerciseKind::Poles,
        levels: ALL,
        teaches: "Counting aloud, and choosing the canter before the first pole.",
        look_for: "The count that was asked for, and a canter that does not change between the poles.",
        step_up: "One stride more from a steadier canter, then the normal count again.",
        step_back: "As it comes, until the same count comes three times.",
        build: straight::pole_five,
    },
    Exercise {
        key: "poles_on_a_circle",
        name: "Four poles on a circle of 20 m",
        kind: ExerciseKind::Poles,
        levels: ALL,
        teaches: "Keeping bend and rhythm at once: the same count in each quarter.",
        look_for: "Every pole met in its middle; a count that is the same in all four quarters.",
        step_up: "One stride more in each quarter, then every second round one fewer.",
        step_back: "Two poles across from each other.",
        build: bending::poles_on_a_circle,
    },
    Exercise {
        key: "fan",
        name: "A fan of poles",
        kind: ExerciseKind::Fan,
        levels: ALL,
        teaches: "Holding a line on a bend: a hand's breadth out makes every step longer.",
        look_for: "The same place on each pole; eyes on the next one.",
        step_up: "A little further out for longer steps, a little further in for shorter ones.",
        step_back: "Through the middle at the trot, with every second pole taken out.",
        build: bending::fan,
    },
    Exercise {
        key: "trot_grid",
        name: "From the trot: cross-pole, vertical, oxer",
        kind: ExerciseKind::Grid,
        levels: ALL,
        teaches: "Waiting for the fence: the pole places the take-off, the grid does the rest.",
        look_for: "A quiet trot to the pole, and a rider who stays in balance to the end.",
        step_up: "Build it one fence at a time; raise the last before any other.",
        step_back: "The cross-pole alone behind its pole.",
        build: straight::trot_grid,
    },
    Exercise {
        key: "bounces",
        name: "Three low bounces",
        kind: ExerciseKind::Grid,
        levels: EXPERIENCED,
        teaches: "Quick hind legs and a supple back, low enough to do no harm.",
        look_for: "Three alike; a rider who folds once for each and pulls at none.",
        step_up: "A fourth, never higher ones.",
        step_back: "Poles on the ground at the same places.",
        build: straight::bounces,
    },
    Exercise {
        key: "related_five",
        name: "A straight five",
        kind: ExerciseKind::RelatedDistance,
        levels: ALL,
        teaches: "The normal count first, then one more by a steadier canter that was there before the line.",
        look_for: "The canter seven strides before the first fence, and none of it changed in the line.",
        step_up: "Six, then five again, then four; another count only when the last came twice.",
        step_back: "Poles on the ground on the same marks.",
        build: straight::related_five,
    },
    Exercise {
        key: "related_seven",
        name: "A straight seven to an oxer",
        kind: ExerciseKind::RelatedDistance,
        levels: ALL,
        teaches: "Patience: a long line tempts to run on at its end.",
        look_for: "Strides as long at the end of the line as at its beginning.",
        step_up: "Eight, and for the schooled nine; then seven from the other rein.",
        step_back: "A vertical in place of the oxer.",
        build: straight::related_seven,
    },
    Exercise {
        key: "related_three",
        name: "A straight three",
        kind: ExerciseKind::RelatedDistance,
        levels: EXPERIENCED,
        teaches: "A short line leaves no time: the canter has to be right before it.",
        look_for: "The landing: straight, and no pull in the first stride.",
        step_up: "Four from a steady canter; three again the same day.",
        step_back: "Five strides; short lines come late.",
        build: straight::related_three,
    },
    Exercise {
        key: "on_the_angle",
        name: "A straight line on the angle",
        kind: ExerciseKind::RelatedDistance,
        levels: SCHOOLED,
        teaches: "Holding a line that the fences do not show.",
        look_for: "The middle of both, and no drifting along the rail.",
        step_up: "The same from the other side of the angle.",
        step_back: "Fences square to the line.",
        build: straight::on_the_angle,
    },
    Exercise {
        key: "circle_between",
        name: "A circle between two fences",
        kind: ExerciseKind::CircleBetween,
        levels: ALL,
        teaches: "Turning after a fence without losing the canter; it comes before the direct bend.",
        look_for: "A round circle from the first landing stride on, the same to both hands.",
        step_up: "A smaller circle, then straight on without one.",
        step_back: "The circle behind the second fence.",
        build: straight::circle_between,
    },
    Exercise {
        key: "bending_five",
        name: "A bending five",
        kind: ExerciseKind::BendingLine,
        levels: ALL,
        teaches: "Choosing the count by choosing the track.",
        look_for: "Eyes on the second fence at the landing; one bend, not two.",
        step_up: "Six on the wider track, then five again on the direct one.",
        step_back: "A circle between the fences.",
        build: bending::bending_five,
    },
    Exercise {
        key: "bending_six",
        name: "A bending six, more turned",
        kind: ExerciseKind::BendingLine,
        levels: EXPERIENCED,
        teaches: "Keeping the shoulders up through a longer bend.",
        look_for: "The same lean to the end of the bend, and a straight stride before the fence.",
        step_up: "Seven; then six on the other rein.",
        step_back: "The bending five.",
        build: bending::bending_six,
    },
    Exercise {
        key: "serpentine",
        name: "A serpentine over three poles",
        kind: ExerciseKind::Serpentine,
        levels: ALL,
        teaches: "A change of bend over every pole, the canter the same on both hands.",
        look_for: "The leg changes over the pole, or is changed before the next bend begins.",
        step_up: "Small cross-poles in place of the poles.",
        step_back: "The loops at the trot.",
        build: bending::serpentine,
    },
    Exercise {
        key: "figure_of_eight",
        name: "A figure of eight over two cross-poles",
        kind: ExerciseKind::FigureOfEight,
        levels: ALL,
        teaches: "Looking early and riding the same turn to both hands.",
        look_for: "Both loops alike; the middle of each fence.",
        step_up: "Verticals, then smaller loops.",
        step_back: "Poles on the ground, or one loop at a time.",
        build: bending::figure_of_eight,
    },
    Exercise {
        key: "narrow_last",
        name: "Five strides to a narrow fence",
        kind: ExerciseKind::NarrowFence,
        levels: EXPERIENCED,
        teaches: "A straight horse between hand and leg: there is nowhere to run.",
        look_for: "The line held from the landing; legs that close, hands that do not cross.",
        step_up: "Six strides; then without guide poles.",
        step_back: "Guide poles at both sides, the narrow fence as a pole on the ground.",
        build: straight::narrow_last,
    },
    Exercise {
        key: "double",
        name: "A vertical, and five strides to a double",
        kind: ExerciseKind::Combination,
        levels: EXPERIENCED,
        teaches: "One canter for both: in a double the count is not to be chosen.",
        look_for: "The first element met as the fence before; one stride in between, whatever came before.",
        step_up: "Six strides to it, and still one within.",
        step_back: "The double alone, lower, from a quiet canter.",
        build: straight::double,
    },
    Exercise {
        key: "treble",
        name: "A treble: two strides, then one",
        kind: ExerciseKind::Combination,
        levels: SCHOOLED,
        teaches: "Keeping the canter through three efforts.",
        look_for: "The last element jumped like the first.",
        step_up: "From the other side, with the distances measured anew.",
        step_back: "The last two elements only.",
        build: straight::treble,
    },
    Exercise {
        key: "small_course",
        name: "A small course of five",
        kind: ExerciseKind::Course,
        levels: EXPERIENCED,
        teaches: "Riding counts one after the other, with turns between that keep the canter.",
        look_for: "The count called before each line; the same pace at the last fence as at the first.",
        step_up: "One more stride on the first line, the normal count on the second.",
        step_back: "The first line and the last fence only.",
        build: bending::small_course,
    },
];
