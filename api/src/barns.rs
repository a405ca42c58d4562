//! Barns: the tenants, their settings, and who belongs to them.
pub mod handlers;
pub mod memberships;
pub mod rows;
pub mod wire;
