//! Barns and the people they know.
pub mod handlers;
