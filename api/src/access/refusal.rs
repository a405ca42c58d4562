//! What a member was refused is kept in the audit log too, in a transaction of its own: the refused one was
//! rolled back. Only what they know of but may not do (403) or what a rule refuses (409): the rest, and whoever is
//! no member, stands in the log file.
use super::audit;
use super::guard::Head;
use super::write::write_unjudged;
use crate::db::scope::Scope;
use crate::problem::Problem;
use crate::state::App;
use std::sync::{Arc, OnceLock};
use stridewright_core::ids::{Barn, Id};
use uuid::Uuid;

/// The member that a request was found to be from, and what it is about; empty until the guard knows.
#[derive(Debug, Clone, Default)]
pub(super) struct Asked(Arc<OnceLock<(Id<Barn>, Uuid, String)>>);

impl Asked {
    pub fn by(&self, barn: Id<Barn>, caller: Uuid, subject: String) {
        let _ = self.0.set((barn, caller, subject)); // it is judged twice, with one outcome
    }

    /// Hands the result on; a member's refusal is kept first. It is answered even where it cannot be kept.
    pub async fn keep<T>(
        &self,
        app: &Arc<App>,
        head: Head,
        resource: &'static str,
        result: Result<T, Problem>,
    ) -> Result<T, Problem> {
        let (Err(problem), Some((barn, caller, subject))) = (&result, self.0.get().cloned()) else { return result };
        let status = problem.status();
        if ![403, 409].contains(&status) || barn.uuid().is_nil() {
            return result;
        }
        let action = crate::log::plain(&format!("{} {}", head.method, head.path));
        let kept = write_unjudged(app, Scope::barn(barn), move |_, c, now| {
            Ok(audit::append(c, barn, caller, &head, resource, &subject, status, b"", now)?)
        });
        if let Err(lost) = kept.await {
            tracing::error!(%barn, %caller, action, status, code = lost.code(), "a refusal is missing in the audit log");
        }
        result
    }
}
