//! Exercises: layouts of fences and the lines between them, in revisions that never change.
pub mod check;
pub mod ground;
pub mod handlers;
pub mod layout;
pub mod revision_rows;
pub mod revisions;
pub mod rows;
pub mod wire;
