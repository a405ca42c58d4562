//! Booking: the only use case that spans horses, people, arenas and the log.
//!
//! Facts are gathered under the barn's lock, `core::booking` weighs them, and what is confirmed occupies
//! its arena, people, horses and fences; the database refuses whatever would overlap all the same.
pub mod against;
pub mod confirm;
pub mod facts;
pub mod flags;
pub mod leaving;
pub mod objections;
pub mod occupy;
pub mod places;
pub mod references;
