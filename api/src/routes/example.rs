//! The document's last pass: examples put together from the leaves, and closed request objects.
#![allow(
    clippy::indexing_slicing,
    reason = "an index into JSON answers null, or adds the field; the document is made of objects"
)]

use super::named;
use serde_json::{Map, Value, json};
use std::collections::BTreeSet;

/// Gives every operation an example body and answer, and marks the objects of requests as closed.
pub fn fill(document: &mut Value) {
    optional_changes(document);
    super::alternatives::spread(document);
    let schemas = document["components"]["schemas"].clone();
    let mut requested = BTreeSet::new();
    if let Some(paths) = document["paths"].as_object_mut() {
        for operation in paths.values_mut().filter_map(Value::as_object_mut).flat_map(|item| item.values_mut()) {
            if let Some(media) = operation.get_mut("requestBody").and_then(|b| b["content"].as_object_mut()) {
                for content in media.values_mut() {
                    collect(&content["schema"], &schemas, &mut requested);
                    add_example(content, &schemas);
                }
            }
            let Some(responses) = operation.get_mut("responses").and_then(Value::as_object_mut) else { continue };
            for response in responses.values_mut() {
                let Some(media) = response.get_mut("content").and_then(Value::as_object_mut) else { continue };
                for (_, content) in media.iter_mut().filter(|(kind, _)| kind.ends_with("json")) {
                    add_example(content, &schemas);
                }
            }
        }
    }
    for name in requested {
        let schema = &mut document["components"]["schemas"][&name];
        if schema["type"] == "object" {
            schema["additionalProperties"] = false.into();
        }
    }
    drop_unused(document);
}

/// Registering a type brings the types inside it, some of which then stand in place.
fn drop_unused(document: &mut Value) {
    let mut used = BTreeSet::new();
    let schemas = document["components"]["schemas"].take();
    collect(document, &schemas, &mut used);
    let kept = schemas.as_object().into_iter().flatten().filter(|(name, _)| used.contains(*name));
    document["components"]["schemas"] = Value::Object(kept.map(|(n, s)| (n.clone(), s.clone())).collect());
}

fn add_example(content: &mut Value, schemas: &Value) {
    if content.get("example").is_none() && content.get("schema").is_some() {
        let example = of(&content["schema"], schemas, 0);
        content["example"] = example;
    }
}

/// The names of all schemas that a part of the document reaches.
fn collect(schema: &Value, schemas: &Value, names: &mut BTreeSet<String>) {
    match schema {
        Value::Object(map) => {
            for (key, value) in map {
                if let ("$ref", Some(name)) = (key.as_str(), value.as_str().and_then(|v| v.rsplit('/').next())) {
                    if names.insert(name.to_owned()) {
                        collect(&schemas[name], schemas, names);
                    }
                } else {
                    collect(value, schemas, names);
                }
            }
        }
        Value::Array(values) => values.iter().for_each(|value| collect(value, schemas, names)),
        _ => {}
    }
}

/// A value that fits the schema.
fn of(schema: &Value, schemas: &Value, depth: usize) -> Value {
    if depth > 30 {
        return Value::Null;
    }
    if let Some(name) = schema["$ref"].as_str().and_then(|v| v.rsplit('/').next()) {
        let mut example = of(&schemas[name], schemas, depth + 1);
        for (field, value) in example.as_object_mut().into_iter().flatten() {
            if let Some(better) = named::example(name, field) {
                *value = better;
            }
        }
        return example;
    }
    for key in ["example", "default", "const"] {
        if let Some(value) = schema.get(key) {
            return value.clone();
        }
    }
    for key in ["examples", "enum"] {
        if let Some(value) = schema[key].as_array().and_then(|list| list.first()) {
            return value.clone();
        }
    }
    for key in ["oneOf", "anyOf"] {
        if let Some(list) = schema[key].as_array() {
            let some = list.iter().find(|s| s["type"] != "null").or(list.first());
            return some.map_or(Value::Null, |s| of(s, schemas, depth + 1));
        }
    }
    if let Some(list) = schema["allOf"].as_array() {
        let mut all = Map::new();
        for part in list {
            if let Value::Object(map) = of(part, schemas, depth + 1) {
                all.extend(map);
            }
        }
        return Value::Object(all);
    }
    let kind = match &schema["type"] {
        Value::Array(kinds) => kinds.iter().find(|k| *k != "null").cloned().unwrap_or_default(),
        other => other.clone(),
    };
    match kind.as_str() {
        Some("object") => {
            let fields = schema["properties"].as_object().into_iter().flatten();
            Value::Object(fields.map(|(name, field)| (name.clone(), of(field, schemas, depth + 1))).collect())
        }
        Some("array") => json!([of(&schema["items"], schemas, depth + 1)]),
        Some("boolean") => true.into(),
        Some("integer") => schema["minimum"].as_i64().map_or_else(|| 1.into(), |n| n.max(1).into()),
        Some("number") => schema["minimum"].as_f64().map_or_else(|| json!(1.0), |n| json!(n.max(1.0))),
        Some("string") if schema["format"] == "uuid" => "01890a5d-ac96-774b-bcce-b302099a8057".into(),
        Some("string") => "text".into(),
        _ => Value::Null,
    }
}

/// A change may leave out any field: its schema's name says so, and is resolved away here.
fn optional_changes(document: &mut Value) {
    let Some(schemas) = document["components"]["schemas"].as_object_mut() else { return };
    let changed: Vec<(String, Value)> = schemas
        .iter()
        .filter(|(name, _)| name.starts_with("Changed") || name.starts_with("Cleared"))
        .map(|(name, schema)| (name.clone(), schema.clone()))
        .collect();
    for (name, _) in &changed {
        schemas.remove(name);
    }
    for schema in schemas.values_mut() {
        let Some(fields) = schema.get_mut("properties").and_then(Value::as_object_mut) else { continue };
        let mut optional = Vec::new();
        for (field, value) in fields {
            let target = value["$ref"].as_str().and_then(|v| v.rsplit('/').next()).map(str::to_owned);
            let Some((_, meaning)) = target.and_then(|t| changed.iter().find(|(name, _)| *name == t)) else { continue };
            let description = value.get("description").cloned();
            *value = meaning.clone();
            if let Some(description) = description {
                value["description"] = description;
            }
            optional.push(field.clone());
        }
        if let Some(required) = schema.get_mut("required").and_then(Value::as_array_mut) {
            required.retain(|name| !optional.iter().any(|o| name == o));
            if required.is_empty()
                && let Some(map) = schema.as_object_mut()
            {
                map.remove("required");
            }
        }
    }
}
