//! The question when a session closes with less logged than planned.
use super::{Attempt, Session};

/// What became of the efforts that were planned and not logged.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Closing {
    /// They were not jumped.
    NotJumped,
    /// They were jumped as planned.
    AsPlanned,
    /// So many were jumped in all.
    InAll(u32),
}

/// Fewer efforts in all than are logged already.
#[derive(Debug, Clone, Copy, PartialEq, Eq, thiserror::Error)]
#[error("must be at least the {logged} efforts logged already")]
pub struct TooFew {
    /// Efforts logged.
    pub logged: u32,
}

/// The attempt to add for the answer, without a time and at the planned height; none where nothing is to be added.
///
/// # Errors
/// [`TooFew`] where the number in all is below what is logged.
pub fn close<K>(session: &Session<K>, answer: Closing) -> Result<Option<Attempt>, TooFew> {
    let logged = session.logged();
    let missing = match answer {
        Closing::NotJumped => 0,
        Closing::AsPlanned => session.planned_efforts.saturating_sub(logged),
        Closing::InAll(all) => all.checked_sub(logged).ok_or(TooFew { logged })?,
    };
    Ok((missing > 0).then_some(Attempt {
        at: None,
        efforts: missing,
        height: session.planned_height,
        pole_passes: 0,
        superseded: false,
    }))
}
