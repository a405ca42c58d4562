//! The log of what was ridden: facts, never refused for a rule and never overwritten.
pub mod batch;
pub mod content;
pub mod entities;
pub mod faults;
pub mod handlers;
pub mod log;
pub mod pages;
pub mod rows;
pub mod shown;
pub mod today;
pub mod versions;
pub mod wire;
