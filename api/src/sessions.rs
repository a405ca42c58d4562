//! Arena time and appointments, and who takes part.
pub mod calendar;
pub mod change;
pub mod closing;
pub mod create;
pub mod entities;
pub mod entry_handlers;
pub mod entry_rows;
pub mod entry_wire;
pub mod handlers;
pub mod rows;
pub mod show;
pub mod wire;
