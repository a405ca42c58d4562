//! Which operations of the document were met, and how they were answered.
use std::collections::BTreeMap;
use stridewright_tests::{Value, operations};

pub struct Tally {
    /// Method, segments of the template, and how often each status was answered.
    operations: Vec<(String, Vec<String>, BTreeMap<u16, usize>)>,
    /// How often each reason against a session was said, to who was refused and beside what was flagged or passed.
    reasons: BTreeMap<String, usize>,
}

fn segments(path: &str) -> Vec<String> {
    path.split('?').next().unwrap_or_default().split('/').map(str::to_owned).collect()
}

impl Tally {
    pub fn new() -> Self {
        let all = operations::all().into_iter();
        Self {
            operations: all.map(|o| (o.method, segments(&o.template), BTreeMap::new())).collect(),
            reasons: BTreeMap::new(),
        }
    }

    pub fn count(&mut self, method: &str, path: &str, status: u16) {
        let path = segments(path);
        let fits = |template: &[String]| {
            let same = template.iter().zip(&path).all(|(t, p)| t.starts_with('{') || t == p);
            same && template.len() == path.len()
        };
        let literal = |template: &[String]| template.iter().filter(|t| !t.starts_with('{')).count();
        let found = self.operations.iter_mut().filter(|(m, template, _)| m == method && fits(template));
        // of two that fit, the one that names more
        let (_, _, statuses) = found.max_by_key(|(_, t, _)| literal(t)).unwrap_or_else(|| panic!("{method} {path:?}"));
        *statuses.entry(status).or_default() += 1;
    }

    /// Reasons stand in refusals under `reasons`, and in entries under `overridden` and `flags`.
    pub fn reasons(&mut self, answer: &Value) {
        for field in ["reasons", "overridden", "flags", "warnings"] {
            for reason in answer[field].as_array().into_iter().flatten() {
                *self.reasons.entry(format!("{field} {}", reason["code"].as_str().unwrap())).or_default() += 1;
            }
        }
    }

    /// One line an operation.
    pub fn table(&self) -> String {
        let line = |(method, template, statuses): &(String, Vec<String>, BTreeMap<u16, usize>)| {
            let counts: Vec<String> = statuses.iter().map(|(status, n)| format!("{status}: {n}")).collect();
            format!(
                "  {method} {}  {}\n",
                template.join("/").replace("/api/v1/barns/{barn_id}", "~"),
                counts.join(", ")
            )
        };
        let operations: String = self.operations.iter().map(line).collect();
        format!("{operations}  {:?}", self.reasons)
    }

    /// What never succeeded.
    pub fn unmet(&self) -> Vec<String> {
        let unmet = self.operations.iter().filter(|(_, _, statuses)| !statuses.keys().any(|s| *s < 300));
        unmet.map(|(method, template, _)| format!("{method} {}", template.join("/"))).collect()
    }

    pub fn met(&self) -> (usize, usize) {
        (self.operations.len() - self.unmet().len(), self.operations.len())
    }
}
