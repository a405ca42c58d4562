//! The database as a second wall: what keeps barns apart where a query does not.
pub mod catalogue;
mod keys;
mod references;
mod role;
mod rows;
pub mod two_barns;
