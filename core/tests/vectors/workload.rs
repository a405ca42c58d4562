//! The cases of `workload_*.json`.
use crate::Outcome;
use serde_json::Value;

pub fn run(_kind: &str, _case: &Value) -> Outcome {
    Outcome::UnknownKind
}
