//! What horses have jumped and will jump, the limits and stand-downs on it, and what all that says.
pub mod efforts;
pub mod history;
pub mod limits;
pub mod presets;
pub mod reasons;
pub mod rest;
pub mod rider_stand_downs;
pub mod stand_downs;
pub mod words;
