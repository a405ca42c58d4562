//! The Stridewright service: HTTP, database, pages.
pub mod access;
pub mod adjustability;
pub mod app;
pub mod arenas;
pub mod barns;
pub mod booking;
pub mod config;
pub mod db;
pub mod docs;
pub mod evaluations;
pub mod exercises;
pub mod fence_sets;
pub mod health;
pub mod horses;
pub mod invitations;
pub mod labels;
pub mod library;
pub mod limits;
pub mod log;
pub mod outings;
pub mod people;
pub mod points;
pub mod problem;
pub mod rail_links;
pub mod rides;
pub mod routes;
pub mod sessions;
pub mod setting;
pub mod sign_in;
pub mod state;
pub mod wire;
pub mod workload;

// linked for their bundled libraries
use libsqlite3_sys as _;
use pq_sys as _;

/// The system's keeps up to 64 MiB for each thread that ever read a large body; this one gives it back.
#[global_allocator]
static ALLOCATOR: mimalloc::MiMalloc = mimalloc::MiMalloc;
