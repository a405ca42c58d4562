//! The people a barn knows, and their guardians.
pub mod changes;
pub mod guardian_rows;
pub mod guardians;
pub mod handlers;
pub mod rows;
pub mod wire;
