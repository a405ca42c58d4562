//! The cases of `adjustability_*.json`.
use crate::Outcome;
use serde_json::Value;

pub fn run(_kind: &str, _case: &Value, _document: &Value) -> Outcome {
    Outcome::UnknownKind
}
