//! The operations, as the document lists them.
use std::collections::{BTreeMap, BTreeSet};
use stridewright_api::routes::list;
use stridewright_tests::Value;

pub struct Operation {
    pub name: String,
    pub method: String,
    pub template: String,
    pub public: bool,
    /// Ids and names in the address.
    pub in_path: Vec<String>,
    /// What may stand behind the `?`.
    pub in_query: Vec<Parameter>,
    /// The document's own example.
    pub body: Option<Value>,
    pub wants_key: bool,
    pub wants_match: bool,
    /// The headers that the document names for each good answer.
    pub headers: BTreeMap<String, BTreeSet<String>>,
}

pub struct Parameter {
    pub name: String,
    /// One that fits, where it must be there.
    pub required: Option<&'static str>,
}

impl Operation {
    /// `GET /api/v1/…`
    pub fn line(&self) -> String {
        format!("{} {}", self.method, self.template)
    }

    pub fn in_barn(&self) -> bool {
        self.template.contains("{barn_id}")
    }

    /// Whether it asks only: nothing is stored.
    pub fn asks(&self) -> bool {
        self.method == "GET"
    }

    pub fn takes(&self, parameter: &str) -> bool {
        self.in_query.iter().any(|p| p.name == parameter)
    }
}

pub fn all() -> Vec<Operation> {
    let document = list::all().document();
    let mut found = Vec::new();
    for (template, item) in document["paths"].as_object().unwrap() {
        for (method, operation) in item.as_object().unwrap() {
            let parameters: Vec<Value> = operation["parameters"].as_array().cloned().unwrap_or_default();
            let parameters: Vec<Value> = parameters.into_iter().map(|p| resolve(&document, p)).collect();
            let of = |place: &str| -> Vec<&Value> { parameters.iter().filter(|p| p["in"] == place).collect() };
            let name = |p: &&Value| p["name"].as_str().unwrap().to_owned();
            let header = |wanted: &str| of("header").iter().any(|p| p["name"] == wanted);
            found.push(Operation {
                name: operation["operationId"].as_str().unwrap().to_owned(),
                method: method.to_uppercase(),
                template: template.clone(),
                public: operation["x-access"] == "public",
                in_path: of("path").iter().map(name).collect(),
                in_query: of("query")
                    .iter()
                    .map(|p| Parameter { name: name(p), required: (p["required"] == true).then(|| fitting(p)) })
                    .collect(),
                body: operation["requestBody"]["content"]["application/json"].get("example").cloned(),
                wants_key: header("Idempotency-Key"),
                wants_match: header("If-Match"),
                headers: good_headers(&operation["responses"]),
            });
        }
    }
    assert!(found.len() > 100, "{} operations", found.len());
    found
}

/// Names of headers, in small letters as they are sent, by status.
fn good_headers(answers: &Value) -> BTreeMap<String, BTreeSet<String>> {
    let good = answers.as_object().unwrap().iter().filter(|(status, _)| status.starts_with('2'));
    let names = |answer: &Value| {
        answer["headers"].as_object().into_iter().flatten().map(|(name, _)| name.to_lowercase()).collect()
    };
    good.map(|(status, answer)| (status.clone(), names(answer))).collect()
}

/// A value for a parameter that must be there.
fn fitting(parameter: &Value) -> &'static str {
    let schema = parameter["schema"]["$ref"].as_str().and_then(|name| name.rsplit('/').next());
    match (schema, parameter["name"] == "to") {
        (Some("Instant"), false) => "2026-06-01T00:00:00Z",
        (Some("Instant"), true) => "2026-06-09T00:00:00Z",
        (Some("Day"), false) => "2026-06-01",
        (Some("Day"), true) => "2026-06-09",
        (Some("QueryDistance"), _) => "20",
        (Some("QueryCentimetres"), _) => "80",
        _ => panic!("say what fits {parameter}"),
    }
}

fn resolve(document: &Value, parameter: Value) -> Value {
    match parameter["$ref"].as_str() {
        Some(reference) => document.pointer(reference.trim_start_matches('#')).expect("what is referred to").clone(),
        None => parameter,
    }
}
