//! Fence sets: what fences are built from.
pub mod handlers;
pub mod rows;
pub mod wire;
