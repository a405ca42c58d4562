//! Booking: the only use case that spans horses, people, arenas and the log.
pub mod flags;
