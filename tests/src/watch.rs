//! How long something took, for what a harness prints.
use std::time::{Duration, Instant};

pub struct Watch(Instant);

impl Watch {
    #[allow(clippy::disallowed_methods, reason = "this measures")]
    pub fn start() -> Self {
        Self(Instant::now())
    }

    pub fn elapsed(&self) -> Duration {
        self.0.elapsed()
    }

    pub fn seconds(&self) -> u64 {
        self.elapsed().as_secs()
    }
}
