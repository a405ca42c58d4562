//! Invitations: the ways into a barn.
pub mod rows;
