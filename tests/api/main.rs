//! The service over HTTP, one file a thing.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot go on must stop, and say where"
)]

mod arenas;
mod evaluations;
mod exercises;
mod horses;
mod rail_links;
mod rides;
mod ringside;
