//! JSON Schema, as far as the document uses it: are all values bounded, does a value fit.
use stridewright_tests::Value;

/// What a reference names.
pub fn resolve<'a>(document: &'a Value, reference: &str) -> Option<&'a Value> {
    document.pointer(reference.strip_prefix('#')?)
}

/// Types of a schema: one, or a list of them.
fn types(schema: &Value) -> Vec<&str> {
    match &schema["type"] {
        Value::String(one) => vec![one],
        Value::Array(several) => several.iter().filter_map(Value::as_str).collect(),
        _ => Vec::new(),
    }
}

const BOUNDED_FORMATS: [&str; 3] = ["uuid", "date", "date-time"];

/// Strings without a greatest length, lists without a greatest size, numbers without bounds, references to nothing.
pub fn unbounded(document: &Value, schema: &Value, at: &str, faults: &mut Vec<String>) {
    if let Some(reference) = schema["$ref"].as_str() {
        if resolve(document, reference).is_none() {
            faults.push(format!("{at}: {reference} names nothing"));
        }
        return;
    }
    let closed = schema.get("enum").is_some() || schema.get("const").is_some();
    let has = |keys: &[&str]| keys.iter().any(|key| schema.get(key).is_some());
    for kind in types(schema) {
        let fault = match kind {
            "string" if closed || has(&["maxLength"]) => None,
            "string" if schema["format"].as_str().is_some_and(|f| BOUNDED_FORMATS.contains(&f)) => None,
            "string" => Some("a string without maxLength, enum or a format of fixed length"),
            "array" if !has(&["maxItems"]) => Some("a list without maxItems"),
            "array" if !has(&["items", "prefixItems"]) => Some("a list without items"),
            "integer" | "number" if closed => None,
            "integer" | "number" if !has(&["minimum", "exclusiveMinimum"]) => Some("a number without minimum"),
            "integer" | "number" if !has(&["maximum", "exclusiveMaximum"]) => Some("a number without maximum"),
            "object" | "array" | "integer" | "number" | "boolean" | "null" => None,
            _ => Some("a type that JSON does not have"),
        };
        faults.extend(fault.map(|fault| format!("{at}: {fault}")));
    }
    for (name, field) in schema["properties"].as_object().into_iter().flatten() {
        unbounded(document, field, &format!("{at}.{name}"), faults);
    }
    for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
        if schema["properties"].get(name).is_none() {
            faults.push(format!("{at}: {name} is required, but not a field"));
        }
    }
    for key in ["items", "additionalProperties", "propertyNames"] {
        if schema[key].is_object() {
            unbounded(document, &schema[key], &format!("{at} {key}"), faults);
        }
    }
    for key in ["oneOf", "anyOf", "allOf", "prefixItems"] {
        for (n, part) in schema[key].as_array().into_iter().flatten().enumerate() {
            unbounded(document, part, &format!("{at} {key}[{n}]"), faults);
        }
    }
}

fn is_of(value: &Value, kind: &str) -> bool {
    match kind {
        "string" => value.is_string(),
        "array" => value.is_array(),
        "object" => value.is_object(),
        "boolean" => value.is_boolean(),
        "null" => value.is_null(),
        "integer" => value.is_i64() || value.is_u64(),
        "number" => value.is_number(),
        _ => false,
    }
}

/// Why a value does not fit a schema; nothing where it fits. Patterns are not looked at.
pub fn misfits(document: &Value, schema: &Value, value: &Value, at: &str) -> Vec<String> {
    let inside = |schema: &Value, value: &Value, at: &str| misfits(document, schema, value, at);
    if let Some(reference) = schema["$ref"].as_str() {
        return resolve(document, reference).map_or_else(Vec::new, |schema| inside(schema, value, at));
    }
    let mut faults = Vec::new();
    let mut fault = |text: String| faults.push(format!("{at}: {text}"));
    let kinds = types(schema);
    if !kinds.is_empty() && !kinds.iter().any(|kind| is_of(value, kind)) {
        fault(format!("{value} is not {}", kinds.join(" or ")));
        return faults;
    }
    if schema["enum"].as_array().is_some_and(|list| !list.contains(value)) {
        fault(format!("{value} is not one of {}", schema["enum"]));
    }
    if let Some(number) = value.as_f64() {
        let below = schema["minimum"].as_f64().is_some_and(|least| number < least);
        let above = schema["maximum"].as_f64().is_some_and(|most| number > most);
        if below || above {
            fault(format!("{value} is out of bounds"));
        }
    }
    let size = match value {
        Value::String(text) => Some((text.chars().count(), "minLength", "maxLength")),
        Value::Array(list) => Some((list.len(), "minItems", "maxItems")),
        _ => None,
    };
    if let Some((size, least, most)) = size {
        let bound = |key: &str| schema[key].as_u64().and_then(|n| usize::try_from(n).ok());
        if bound(least).is_some_and(|n| size < n) || bound(most).is_some_and(|n| size > n) {
            fault(format!("{value} is too short or too long"));
        }
    }
    if let Value::Object(map) = value {
        for name in schema["required"].as_array().into_iter().flatten().filter_map(Value::as_str) {
            if !map.contains_key(name) {
                fault(format!("{name} is missing"));
            }
        }
        let fields = &schema["properties"];
        if schema["additionalProperties"] == false {
            map.keys()
                .filter(|name| fields.get(name.as_str()).is_none())
                .for_each(|name| fault(format!("{name} is unknown")));
        }
    }
    for (name, value) in value.as_object().into_iter().flatten() {
        if let Some(field) = schema["properties"].get(name) {
            faults.extend(inside(field, value, &format!("{at}.{name}")));
        }
    }
    for (n, item) in value.as_array().into_iter().flatten().enumerate() {
        faults.extend(inside(&schema["items"], item, &format!("{at}[{n}]")));
    }
    for part in schema["allOf"].as_array().into_iter().flatten() {
        faults.extend(inside(part, value, at));
    }
    for key in ["oneOf", "anyOf"] {
        if let Some(parts) = schema[key].as_array() {
            let fitting = parts.iter().filter(|part| inside(part, value, at).is_empty()).count();
            if fitting == 0 || (key == "oneOf" && fitting > 1) {
                faults.push(format!("{at}: {value} fits {fitting} of {key}"));
            }
        }
    }
    faults
}
