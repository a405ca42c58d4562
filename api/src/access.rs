//! The one way in: a guard that knows who asks for what, and reads or writes only after the policy said yes.
pub mod answer;
pub mod audit;
pub mod caller;
pub mod file;
pub mod guard;
pub mod query;
pub mod read;
pub mod refusal;
pub mod reply;
pub mod standing;
pub mod write;
