//! The database: SQLite embedded, or PostgreSQL by its URL; one text per query for both.
pub mod check;
pub mod conn;
pub mod errors;
pub mod migrate;
pub mod pool;
pub mod role;
pub mod schema;
pub mod scope;
pub mod statistics;
pub mod types;
