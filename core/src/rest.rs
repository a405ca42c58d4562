//! How much a horse may jump, and why not more: limits, stand-downs, and what both say to a session,
//! counting what is logged and what is booked, before it and after it.
//!
//! Conventions for planning; the trainer, the vet and local rules decide. Every row is applied, so the
//! strictest wins and nobody can loosen another's. A *ceiling* is "at most", never a ration to use up.
mod bars;
mod book;
mod candidate;
mod ceiling;
mod flags;
mod limit;
pub mod presets;
mod reason;
mod seen;
mod stand_down;
mod violations;

pub use book::Book;
pub use candidate::{Candidate, Decision};
pub use ceiling::{Ceiling, LeftInSession};
pub use flags::{Flag, Flags};
pub use limit::{Faulty, Limit, Rule, Source};
pub use reason::{Code, Other, Reason};
pub use stand_down::{Scope, StandDown, StandDownSource, Subject};
