//! Horses and ponies.
pub mod handlers;
pub mod rows;
pub mod wire;
