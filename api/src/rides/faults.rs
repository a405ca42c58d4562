//! Faults of rides, each with its place in the body, collected so that a batch names all of them.
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};

/// What refuses a ride or a batch.
#[derive(Debug, Default)]
pub struct Faults(Vec<(Kind, FieldError)>);

impl Faults {
    /// A field that breaks a rule.
    pub fn invalid(&mut self, pointer: String, message: impl Into<String>) {
        self.0.push((Kind::AtOdds, FieldError::new(pointer, "invalid", message)));
    }

    /// A field that is missing.
    pub fn required(&mut self, pointer: String, message: &str) {
        self.0.push((Kind::AtOdds, FieldError::new(pointer, "required", message)));
    }

    /// A reference to what the caller does not know.
    pub fn unknown(&mut self, pointer: String, message: &str) {
        self.0.push((Kind::AtOdds, FieldError::new(pointer, "not_found", message)));
    }

    /// What is fit by itself, but stands there already or in another state.
    pub fn conflict(&mut self, kind: Kind, pointer: String, message: &str) {
        self.0.push((kind, FieldError::new(pointer, "conflict", message)));
    }

    pub fn count(&self) -> usize {
        self.0.len()
    }

    /// Refuses where there is a fault: what does not fit before what is in conflict, all of one kind together.
    pub fn refuse(self) -> Result<(), Problem> {
        let Some((first, _)) = self.0.first() else { return Ok(()) };
        let unfit = self.0.iter().any(|(kind, _)| *kind == Kind::AtOdds);
        let kind = if unfit { Kind::AtOdds } else { *first };
        let mut errors: Vec<FieldError> = self.0.into_iter().filter(|(k, _)| *k == kind).map(|(_, e)| e).collect();
        errors.truncate(1000);
        Err(Problem::new(kind).with_errors(errors))
    }
}
