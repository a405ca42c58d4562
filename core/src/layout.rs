//! Whether lines and fences fit where they are placed.
//!
//! Impossible is told apart from advice: a fence that stands outside cannot be set, a track near the wall can be
//! ridden. Clearances and turns are choices of ours for planning; the trainer on the ground decides.
mod check;
mod line_check;
mod room;
mod turn_room;
mod ways;
mod whole;

pub use check::{FenceKind, LaidFence, LayoutFinding, Ridden, check_layout};
pub use line_check::{Found, LineCheck, LineFinding, Weight, check_line};
pub use room::{RoomPreset, RoomWanted, TurnRadii, schooling, turn_radius};
pub use turn_room::{Side, TurnRoom, TurnWanted, approach_room, getaway_room};
pub use ways::{circle_on, way_off, way_on};
pub use whole::{LayoutCheck, LayoutWanted, check_whole, jumps, others};
