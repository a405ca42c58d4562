//! The black-box suite: the service over HTTP, on SQLite and on PostgreSQL.
//!
//! A test says `on_both! { fn name(world) { … } }` and gets a fresh barn on each database.
#![allow(
    clippy::unwrap_used,
    clippy::expect_used,
    clippy::panic,
    clippy::indexing_slicing,
    reason = "a test that cannot go on must stop, and say where"
)]

pub mod barn;
pub mod client;
pub mod operations;
pub mod postgres;
pub mod program;
pub mod raw;
pub mod rows;
pub mod server;
pub mod size;
pub mod temporary;
pub mod watch;
pub mod yard;

pub use barn::World;
pub use client::{Answer, Client};
pub use serde_json::{Value, json};
pub use server::Database;

/// Makes two tests of each function, `name::sqlite` and `name::postgres`, each with a fresh barn.
#[macro_export]
macro_rules! on_both {
    ($($(#[$meta:meta])* fn $name:ident($world:ident) $body:block)+) => { $(
        mod $name {
            #[allow(unused_imports, reason = "a test need not use what its file imports")]
            use super::*;

            fn run($world: &$crate::World) $body

            $(#[$meta])*
            #[test]
            fn sqlite() {
                $crate::World::on($crate::Database::Sqlite, run);
            }

            $(#[$meta])*
            #[test]
            fn postgres() {
                $crate::World::on($crate::Database::Postgres, run);
            }
        }
    )+ };
}
