//! Arenas: where one rides.
pub mod handlers;
pub mod hours;
pub mod rows;
pub mod wire;
