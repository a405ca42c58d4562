//! Setting fences by tape: from two corners, or alone from one.
mod alone;
mod corner;
mod marks;
mod reading;
mod square_off;

pub use alone::{SetAlone, SetByOne, ridden_between, set_alone};
pub use corner::Corner;
pub use marks::{FromTwo, from_two};
pub use reading::Reading;
pub use square_off::{Legs, Pinned, pinned};
