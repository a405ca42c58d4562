//! What must hold of the range, its trend and the next ask whatever was ridden.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

#[path = "adjustability_properties/next_ask.rs"]
mod next_ask;
#[path = "adjustability_properties/range.rs"]
mod range;
#[path = "adjustability_properties/rides.rs"]
mod rides;
#[path = "adjustability_properties/unusual.rs"]
mod unusual;
