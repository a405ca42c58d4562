//! Invitations: the ways into a barn.
pub mod accept;
pub mod handlers;
pub mod rows;
pub mod wire;
