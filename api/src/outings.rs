//! Jumping elsewhere, done or planned.
pub mod handlers;
pub mod plan;
pub mod rows;
pub mod wire;
