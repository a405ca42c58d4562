//! The audit log: every change in its own transaction, every refusal of a member in one after it, and nothing else.
mod append_only;
mod every_change;
mod log_file;
mod refusals;
mod rows;
