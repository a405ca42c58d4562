//! The promises, each held against what the document and the database's catalogue list, so that a new
//! operation or table is covered on the day it is written. Each says its figures.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot go on must stop, and say where"
)]

mod access;
mod audit;
mod bad_json;
mod crashes;
mod cursor_walks;
mod differential;
mod lost_updates;
mod migrations;
mod plans;
mod problems;
mod races;
mod raw_sockets;
mod repeats;
mod sign_ins;
mod twins;
mod wall;
