//! For those who run the service: is it alive, is it ready, how does it fare.
pub mod counts;
pub mod handlers;
