//! Jumping elsewhere, done or planned.
pub mod wire;
