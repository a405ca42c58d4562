//! Fields of which exactly one is said: the schema of their object becomes one object for each choice.
#![allow(
    clippy::indexing_slicing,
    reason = "an index into JSON answers null, or adds the field; the document is made of objects"
)]
use serde_json::{Map, Value, json};

/// The objects that have such fields, and the groups of them; what reads them is `wire/either.rs`.
const EXACTLY_ONE: &[(&str, &[&[&str]])] = &[
    ("AccountIn", &[&["barn", "invitation"]]),
    ("BarnLineIn", &[&["distance_m", "distance"], &["horse_id", "pairing_id"]]),
    ("BarnMemberIn", &[&["horse_id", "pairing_id"]]),
    ("LineIn", &[&["distance_m", "distance"]]),
    ("OutingIn", &[&["on_date", "at"]]),
];

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
fn chosen(name: &str, object: &Map<String, Value>, fields: &[&str]) -> Vec<(String, Map<String, Value>)> {
    let with = |field: &&str| {
        let mut object = object.clone();
        if let Some(properties) = object.get_mut("properties").and_then(Value::as_object_mut) {
            properties.retain(|name, _| name == field || !fields.contains(&name.as_str()));
        }
        let required = object.entry("required").or_insert_with(|| json!([]));
        if let Some(required) = required.as_array_mut() {
            required.push((*field).into());
        }
        (format!("{name}{}", camel(field)), object)
    };
    fields.iter().map(with).collect()
}

fn camel(field: &str) -> String {
    let capital = |word: &str| {
        let mut letters = word.chars();
        letters.next().map_or_else(String::new, |first| first.to_uppercase().collect::<String>() + letters.as_str())
    };
    field.split('_').map(capital).collect()
}
