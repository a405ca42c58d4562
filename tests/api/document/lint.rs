//! What a document must say of every operation. Structure: OpenAPI Specification 3.1.1, sections 4.8.8 to 4.8.24.
use super::schemas::{misfits, resolve, unbounded};
use std::collections::BTreeSet;
use stridewright_tests::Value;

const METHODS: [&str; 8] = ["get", "put", "post", "delete", "options", "head", "patch", "trace"];

fn text_of<'a>(value: &'a Value, key: &str) -> &'a str {
    value[key].as_str().unwrap_or_default().trim()
}

/// Every fault of the document, each with its place.
pub fn faults(document: &Value) -> Vec<String> {
    let mut faults = Vec::new();
    if !text_of(document, "openapi").starts_with("3.1.") {
        faults.push("not OpenAPI 3.1".to_owned());
    }
    for key in ["title", "version", "description"] {
        if text_of(&document["info"], key).is_empty() {
            faults.push(format!("info: no {key}"));
        }
    }
    for (name, schema) in document["components"]["schemas"].as_object().into_iter().flatten() {
        if !name.chars().all(|c| c.is_ascii_alphanumeric() || "._-".contains(c)) {
            faults.push(format!("{name}: not a name for a component"));
        }
        unbounded(document, schema, name, &mut faults);
    }
    references(document, document, &mut faults);
    unused(document, &mut faults);
    let mut ids = BTreeSet::new();
    for (path, item) in document["paths"].as_object().into_iter().flatten() {
        if !path.starts_with('/') {
            faults.push(format!("{path}: does not begin with /"));
        }
        for (method, operation) in item.as_object().into_iter().flatten() {
            let at = format!("{} {path}", method.to_uppercase());
            if !METHODS.contains(&method.as_str()) {
                faults.push(format!("{at}: not a method"));
                continue;
            }
            if !ids.insert(text_of(operation, "operationId")) {
                faults.push(format!("{at}: the operationId {} stands twice", operation["operationId"]));
            }
            self::operation(document, path, operation, &at, &mut faults);
        }
    }
    faults
}

fn operation(document: &Value, path: &str, operation: &Value, at: &str, faults: &mut Vec<String>) {
    for key in ["operationId", "summary", "description", "x-access"] {
        if text_of(operation, key).is_empty() {
            faults.push(format!("{at}: no {key}"));
        }
    }
    if operation["tags"].as_array().is_none_or(Vec::is_empty) {
        faults.push(format!("{at}: no tags"));
    }
    for need in operation["security"].as_array().into_iter().flatten() {
        for name in need.as_object().into_iter().flatten().map(|(name, _)| name) {
            if document["components"]["securitySchemes"].get(name).is_none() {
                faults.push(format!("{at}: no security scheme {name}"));
            }
        }
    }
    parameters(document, path, operation, at, faults);
    if let Some(content) = operation.get("requestBody").and_then(|body| body["content"].as_object()) {
        for (kind, media) in content {
            self::media(document, kind, media, &format!("{at}, its body"), faults);
            open_objects(document, &media["schema"], &mut BTreeSet::new(), faults);
        }
    }
    let none = serde_json::Map::new();
    let responses = operation["responses"].as_object().unwrap_or(&none);
    if !responses.keys().any(|status| status.starts_with('2')) {
        faults.push(format!("{at}: no good answer"));
    }
    for (status, response) in responses {
        let response = response["$ref"].as_str().and_then(|r| resolve(document, r)).unwrap_or(response);
        let at = format!("{at}, {status}");
        if text_of(response, "description").is_empty() {
            faults.push(format!("{at}: no description"));
        }
        for (kind, media) in response["content"].as_object().into_iter().flatten() {
            self::media(document, kind, media, &at, faults);
        }
        if status.starts_with(['4', '5']) && response["content"].get("application/problem+json").is_none() {
            faults.push(format!("{at}: not a problem"));
        }
    }
}

fn parameters(document: &Value, path: &str, operation: &Value, at: &str, faults: &mut Vec<String>) {
    let mut seen = BTreeSet::new();
    for parameter in operation["parameters"].as_array().into_iter().flatten() {
        let parameter = parameter["$ref"].as_str().and_then(|r| resolve(document, r)).unwrap_or(parameter);
        let (name, place) = (text_of(parameter, "name"), text_of(parameter, "in"));
        let at = format!("{at}, parameter {name}");
        if !seen.insert((place, name)) {
            faults.push(format!("{at}: stands twice"));
        }
        if !["path", "query", "header", "cookie"].contains(&place) || parameter["schema"].is_null() {
            faults.push(format!("{at}: no place or no schema"));
        }
        if place == "path" && parameter["required"] != true {
            faults.push(format!("{at}: must be required"));
        }
        if text_of(parameter, "description").is_empty() {
            faults.push(format!("{at}: no description"));
        }
        unbounded(document, &parameter["schema"], &at, faults);
    }
    let named: BTreeSet<&str> = path.split('{').skip(1).filter_map(|rest| rest.split('}').next()).collect();
    let declared: BTreeSet<&str> = seen.iter().filter(|(place, _)| *place == "path").map(|(_, name)| *name).collect();
    for name in named.symmetric_difference(&declared) {
        faults.push(format!("{at}: {{{name}}} is not both in the address and among the parameters"));
    }
}

/// A body: what is JSON needs an example, and the example must fit.
fn media(document: &Value, kind: &str, media: &Value, at: &str, faults: &mut Vec<String>) {
    let is_json = kind == "application/json" || kind.ends_with("+json");
    if !is_json {
        return;
    }
    unbounded(document, &media["schema"], at, faults);
    match media.get("example") {
        None | Some(Value::Null) => faults.push(format!("{at}: no example")),
        Some(example) => faults.extend(misfits(document, &media["schema"], example, &format!("{at}, the example"))),
    }
}

/// Objects of a request that leave room for fields nobody knows.
fn open_objects<'a>(document: &'a Value, schema: &'a Value, seen: &mut BTreeSet<&'a str>, faults: &mut Vec<String>) {
    match schema {
        Value::Object(map) => {
            for (key, value) in map {
                let Some(reference) = value.as_str().filter(|_| key == "$ref") else {
                    open_objects(document, value, seen, faults);
                    continue;
                };
                let Some(schema) = resolve(document, reference).filter(|_| seen.insert(reference)) else { continue };
                if schema["type"] == "object" && schema["additionalProperties"] != false {
                    faults.push(format!("{reference}: an object of a request that is not closed"));
                }
                open_objects(document, schema, seen, faults);
            }
        }
        Value::Array(values) => values.iter().for_each(|value| open_objects(document, value, seen, faults)),
        _ => {}
    }
}

/// References anywhere that name nothing.
fn references(document: &Value, value: &Value, faults: &mut Vec<String>) {
    match value {
        Value::Object(map) => {
            for (key, value) in map {
                match value.as_str().filter(|_| key == "$ref") {
                    Some(reference) if resolve(document, reference).is_none() => {
                        faults.push(format!("{reference} names nothing"));
                    }
                    _ => references(document, value, faults),
                }
            }
        }
        Value::Array(values) => values.iter().for_each(|value| references(document, value, faults)),
        _ => {}
    }
}

/// Schemas that nothing refers to.
fn unused(document: &Value, faults: &mut Vec<String>) {
    let text = document.to_string();
    for name in document["components"]["schemas"].as_object().into_iter().flatten().map(|(name, _)| name) {
        if !text.contains(&format!("\"#/components/schemas/{name}\"")) {
            faults.push(format!("{name}: nothing refers to this schema"));
        }
    }
}
