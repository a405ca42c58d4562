//! The addresses of barns and people.
use crate::access::guard::Key;
use serde::Deserialize;
use stridewright_core::ids::{Barn, Id};
use utoipa::IntoParams;

/// The address of a barn, and of what hangs under it.
#[derive(Debug, Clone, Deserialize, IntoParams)]
#[into_params(parameter_in = Path)]
pub struct BarnKey {
    /// The barn.
    pub barn_id: Id<Barn>,
}

impl Key for BarnKey {
    fn barn(&self) -> Option<Id<Barn>> {
        Some(self.barn_id)
    }
}
