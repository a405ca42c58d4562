//! The track that is ridden from one fence to the next.
//!
//! A line that is not straight is ridden on arcs of one radius with straights between them and at both fences:
//! what a rider can steer, and what can be chalked on a plan. The tightest canter decides the least radius; wider
//! tracks are longer, and a stride count is chosen by choosing among them.
//!
//! Everything here is a convention for planning: the trainer on the ground decides.
mod circle;
mod csc;
mod error;
mod fence;
mod fit;
pub(crate) mod ground;
mod outline;
pub(crate) mod path;
pub(crate) mod plane;
mod ridable;

pub use circle::{CircleBetween, CircleCount, circle_between, circle_length, moved_out, ridden_diameter};
pub use csc::{Bends, Curve, curves};
pub use error::TrackError;
pub(crate) use error::positive;
pub use fence::{Aim, Jump, PlacedFence};
pub use fit::{FittingCount, fitting_counts};
pub use ground::{ArenaSize, Ground, Obstruction, Stands};
pub use outline::Stretch;
pub use plane::{Passage, Point};
pub(crate) use ridable::Path;
pub use ridable::{Curved, GroundLine, Track, TrackRules, track};
