//! Two fields of which exactly one is said: as schema an object for each, see `routes/alternatives.rs`.
use super::patch::Patch;
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};

/// Which of the two it is.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Either<A, B> {
    First(A),
    Second(B),
}

/// The one that is said; `at` is the object's pointer, and each comes with its name.
pub fn either<A, B>(at: &str, first: (&str, Patch<A>), second: (&str, Patch<B>)) -> Result<Either<A, B>, Problem> {
    let fault = |name: &str, code: &str, rule: String| {
        let error = FieldError::new(format!("{at}/{name}"), code, rule);
        Problem::new(Kind::InvalidBody).with_errors(vec![error])
    };
    match (first.1.into_option(), second.1.into_option()) {
        (Some(value), None) => Ok(Either::First(value)),
        (None, Some(value)) => Ok(Either::Second(value)),
        (None, None) => Err(fault(first.0, "required", format!("is required, or else {}", second.0))),
        (Some(_), Some(_)) => Err(fault(second.0, "invalid", format!("must not stand beside {}", first.0))),
    }
}
