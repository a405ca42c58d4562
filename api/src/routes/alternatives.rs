//! Fields of which exactly one is said: the schema of their object becomes one object for each choice.
#![allow(
    clippy::indexing_slicing,
    reason = "an index into JSON answers null, or adds the field; the document is made of objects"
)]
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use utoipa::openapi::{RefOr, Schema};

/// A field, and what the object that has it is called.
type Choice = (&'static str, &'static str);

/// The objects that have such fields, and the groups of them; what reads them is `wire/either.rs`.
const EXACTLY_ONE: &[(&str, &[[Choice; 2]])] = &[
    ("AccountIn", &[[("barn", "Founder"), ("invitation", "Invited")]]),
    ("BarnEvaluationIn", &[RIDDEN_BY]),
    ("BarnLineIn", &[SET_AS, RIDDEN_BY]),
    ("BarnMemberIn", &[RIDDEN_BY]),
    ("LineIn", &[SET_AS]),
    ("OutingIn", &[[("on_date", "Day"), ("at", "Time")]]),
];
const SET_AS: [Choice; 2] = [("distance_m", "Metres"), ("distance", "Words")];
const RIDDEN_BY: [Choice; 2] = [("horse_id", "Horse"), ("pairing_id", "Pairing")];

/// Those that are not there, or have no such field; a test holds it empty.
pub fn unknown(schemas: &BTreeMap<String, RefOr<Schema>>) -> Vec<String> {
    let fields =
        EXACTLY_ONE.iter().flat_map(|(name, groups)| groups.iter().flatten().map(move |choice| (name, choice.0)));
    let there = |name: &str, field: &str| match schemas.get(name) {
        Some(RefOr::T(Schema::Object(object))) => object.properties.contains_key(field),
        _ => false,
    };
    fields.filter(|(name, field)| !there(name, field)).map(|(name, field)| format!("{name}.{field}")).collect()
}

/// Spreads their schemas.
pub fn spread(document: &mut Value) {
    let Some(schemas) = document["components"]["schemas"].as_object_mut() else { return };
    for (name, groups) in EXACTLY_ONE {
        let Some(Value::Object(mut whole)) = schemas.remove(*name) else { continue };
        let mut outside = Map::new();
        outside.extend(whole.remove("example").map(|example| ("example".to_owned(), example)));
        outside.extend(whole.get("description").map(|words| ("description".to_owned(), words.clone())));
        let mut choices = vec![((*name).to_owned(), whole)];
        for group in *groups {
            choices = choices.iter().flat_map(|(name, object)| chosen(name, object, group)).collect();
        }
        let of = |name: &str| json!({"$ref": format!("#/components/schemas/{name}")});
        outside.insert("oneOf".to_owned(), choices.iter().map(|(name, _)| of(name)).collect());
        schemas.extend(choices.into_iter().map(|(name, object)| (name, Value::Object(object))));
        schemas.insert((*name).to_owned(), Value::Object(outside));
    }
}

/// The object with each field of the group in turn, and without the others.
fn chosen(name: &str, object: &Map<String, Value>, fields: &[Choice]) -> Vec<(String, Map<String, Value>)> {
    let with = |(field, called): &Choice| {
        let mut object = object.clone();
        if let Some(properties) = object.get_mut("properties").and_then(Value::as_object_mut) {
            properties.retain(|name, _| name == field || !fields.iter().any(|(other, _)| name == other));
        }
        let required = object.entry("required").or_insert_with(|| json!([]));
        if let Some(required) = required.as_array_mut() {
            required.push((*field).into());
        }
        (format!("{name}_{called}"), object)
    };
    fields.iter().map(with).collect()
}
