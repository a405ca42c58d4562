//! The service over HTTP, one file a thing; and the rules of the house.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot go on must stop, and say where"
)]

mod accounts;
mod adjustability;
mod arenas;
mod barns;
mod bodies;
mod busy;
mod check;
mod document;
mod evaluations;
mod exercises;
mod health;
mod horses;
mod invitations;
mod layouts;
mod library;
mod limits;
mod lint;
mod order_of_answers;
mod outings;
mod pairings;
mod people;
mod places;
mod rail_links;
mod requests;
mod rest;
mod rides;
mod ringside;
mod session_changes;
mod sessions;
mod setting;
mod stand_downs;
mod tokens;
