//! Pure computation for a barn that schools jumping horses: strides and canter, tracks, layouts and courses,
//! setting by tape, workload and rest, adjustability, booking and policy. No I/O, no clock, no randomness, no web,
//! no database.
#![deny(missing_docs)]

pub mod adjustability;
pub mod booking;
pub mod calendar;
pub mod course;
pub mod drawing;
pub mod equipment;
pub mod ids;
pub mod layout;
pub mod library;
pub mod policy;
pub mod rest;
#[cfg(feature = "diesel")]
pub mod sql;
pub mod stride;
pub mod tape;
pub mod track;
pub mod units;
pub mod workload;
