//! The limits on a horse's work.
pub mod rows;
pub mod wire;
