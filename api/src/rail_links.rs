//! Links that let a helper log the rides of one session.
pub mod handlers;
pub mod rows;
pub mod wire;
