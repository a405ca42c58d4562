//! A sequence of fences as a course: its length, its time, its strides, and what rule books say of it.
//!
//! Everything here is for planning and schooling; at a show its own rules decide.
mod rules;
mod walk;

pub use rules::{RuleSet, TimePenalty, time_allowed, time_limit};
pub use walk::{CourseFinding, CourseJump, CourseTerms, CourseWalk, Leg, walk};
