//! How far a horse, or a pair, shortens and lengthens on request, and what to ask next.
pub mod attempts;
pub mod handlers;
pub mod next;
pub mod next_ask;
pub mod progress;
pub mod wire;
