//! Horses and ponies, whose they are, and who rides them.
pub mod handlers;
pub mod ownerships;
pub mod pairings;
pub mod rows;
pub mod wire;
