//! Runs every reference vector in `tests/vectors/<topic>_*.json` and prints one line a file.
//!
//! Fails on a topic or kind it does not know, on a case that differs, and on a case it skips, apart
//! from the kinds that still await their computation; those are printed, too.
#![allow(clippy::unwrap_used, clippy::expect_used, clippy::indexing_slicing, clippy::panic, reason = "test code")]

#[path = "vectors/adjustability.rs"]
mod adjustability;
#[path = "vectors/close.rs"]
mod close;
#[path = "vectors/geometry.rs"]
mod geometry;
#[path = "vectors/layouts.rs"]
mod layouts;
#[path = "vectors/tracks.rs"]
mod tracks;
#[path = "vectors/workload.rs"]
mod workload;

use serde_json::Value;
use std::collections::{BTreeMap, BTreeSet};
use std::path::Path;
use std::process::ExitCode;

/// What became of one case.
pub enum Outcome {
    Agrees,
    Differs(String),
    /// The kind's computation is not part of the program yet.
    Awaits,
    UnknownKind,
}

/// Kinds without a computation yet: topic and kind.
const AWAITED: &[(&str, &str)] = &[("planner", "planner")];

fn main() -> ExitCode {
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("tests/vectors");
    let mut files: Vec<_> = std::fs::read_dir(&folder)
        .expect("the folder of vectors")
        .map(|entry| entry.expect("a readable entry").path())
        .filter(|path| path.extension().is_some_and(|ending| ending == "json"))
        .collect();
    files.sort();
    let mut failures = Vec::new();
    let mut awaited = BTreeSet::new();
    for path in &files {
        let name = path.file_name().unwrap().to_string_lossy().into_owned();
        let (cases, awaiting) = run_file(path, &name, &mut failures);
        let left: usize = awaiting.values().sum();
        println!("{name}: {cases} cases{}", if left == 0 { String::new() } else { format!(" ({left} await)") });
        awaited.extend(awaiting.into_keys());
    }
    println!("kinds that await their computation: {}", awaited.into_iter().collect::<Vec<_>>().join(", "));
    for failure in failures.iter().take(40) {
        println!("FAILED {failure}");
    }
    println!("{} files, {} failures", files.len(), failures.len());
    if failures.is_empty() && !files.is_empty() { ExitCode::SUCCESS } else { ExitCode::FAILURE }
}

/// Runs one file; answers how many cases were compared and how many await, by kind.
fn run_file(path: &Path, name: &str, failures: &mut Vec<String>) -> (usize, BTreeMap<String, usize>) {
    let topic = name.split('_').next().unwrap_or_default();
    let document: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).expect("a JSON file");
    let cases = document["vectors"].as_array().or(document["cases"].as_array()).expect("vectors or cases");
    let mut compared = 0;
    let mut awaiting = BTreeMap::new();
    for case in cases {
        let kind = case["kind"].as_str().or(document["kind"].as_str()).expect("a kind");
        let id = case["id"].as_str().unwrap_or("?");
        if AWAITED.contains(&(topic, kind)) {
            *awaiting.entry(format!("{topic}/{kind}")).or_default() += 1;
            continue;
        }
        let outcome = match topic {
            "adjustability" => adjustability::run(kind, case, &document),
            "geometry" => geometry::run(kind, case),
            "workload" => workload::run(kind, case),
            _ => Outcome::UnknownKind,
        };
        match outcome {
            Outcome::Agrees => compared += 1,
            Outcome::Differs(how) => failures.push(format!("{name} {id} ({kind}): {how}")),
            Outcome::Awaits => failures.push(format!("{name} {id}: {kind} was skipped but is not on the list")),
            Outcome::UnknownKind => failures.push(format!("{name} {id}: unknown kind {kind}")),
        }
    }
    if compared == 0 && awaiting.is_empty() {
        failures.push(format!("{name}: no case"));
    }
    (compared, awaiting)
}
