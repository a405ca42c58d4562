//! What leads to what: the headers of good answers, and links from a creation or a list to the operations on its things.
#![allow(
    clippy::indexing_slicing,
    reason = "an index into JSON answers null, or adds the field; the document is made of objects"
)]
use serde_json::{Map, Value, json};

/// The address of an operation and its method, as the document has them.
pub type Place = (String, String);

/// Says which answers carry the version of what they show, and the address of what was made; then links them.
pub fn add(document: &mut Value, tagged: &[Place]) {
    headers(document, tagged);
    let paths = document["paths"].clone();
    let known = |(path, method): &Place| paths[path].get(method).is_some();
    for path in paths.as_object().into_iter().flatten().map(|(path, _)| path) {
        let Some((thing, parameter)) = thing_of(path, &paths) else { continue };
        let below = beneath(&thing, &paths);
        for (method, status, base) in [("post", "201", ""), ("get", "200", "/items/0")] {
            let from = (path.clone(), method.to_owned());
            let answer = &document["paths"][path][method]["responses"][status];
            let Some(field) = field_of(answer, base, &parameter, document) else { continue };
            let value = format!("$response.body#{base}/{field}");
            let mut to = vec![(thing.clone(), "get".to_owned())];
            if method == "post" {
                to.extend(["patch", "delete"].map(|method| (thing.clone(), method.to_owned())));
                to.extend(below.clone());
            }
            let made = to.iter().filter(|to| known(to)).map(|to| link(document, to, (&parameter, &value)));
            let links: Map<String, Value> = made.collect();
            document["paths"][&from.0][&from.1]["responses"][status]["links"] = Value::Object(links);
        }
    }
}

fn headers(document: &mut Value, tagged: &[Place]) {
    document["components"]["headers"]["ETag"] = json!({
        "required": true, "example": "\"v3-08d5c2b7a1f4e690\"",
        "description": "What is shown, and of which version; for If-Match.",
        "schema": {"type": "string", "minLength": 21, "maxLength": 39, "pattern": "^\"v[0-9]{1,19}-[0-9a-f]{16}\"$"}
    });
    document["components"]["headers"]["Location"] = json!({
        "required": true, "example": "/api/v1/me", "description": "The address of what was made.",
        "schema": {"type": "string", "minLength": 8, "maxLength": 400, "pattern": "^/api/v1/[a-z0-9/-]+$"}
    });
    let paths = document["paths"].clone();
    for (path, item) in paths.as_object().into_iter().flatten() {
        let shows = |path: &str, method: &str| tagged.iter().any(|(p, m)| (p.as_str(), m.as_str()) == (path, method));
        let made_with_version = thing_of(path, &paths).is_some_and(|(thing, _)| shows(&thing, "get"));
        for (method, operation) in item.as_object().into_iter().flatten() {
            for status in ["200", "201"].into_iter().filter(|status| operation["responses"].get(status).is_some()) {
                let answer = &mut document["paths"][path][method]["responses"][status];
                if status == "201" {
                    answer["headers"]["Location"] = json!({"$ref": "#/components/headers/Location"});
                }
                if shows(path, method) || (status == "201" && made_with_version) {
                    answer["headers"]["ETag"] = json!({"$ref": "#/components/headers/ETag"});
                }
            }
        }
    }
}

/// The address of one thing of a collection, and the parameter that names it.
fn thing_of(collection: &str, paths: &Value) -> Option<(String, String)> {
    let under = |path: &str| {
        let name = path.strip_prefix(collection)?.strip_prefix("/{")?.strip_suffix('}')?;
        (!name.contains('/')).then(|| (path.to_owned(), name.to_owned()))
    };
    paths.as_object()?.keys().find_map(|path| under(path))
}

/// What is read of a thing, and made in it, one step below its address.
fn beneath(thing: &str, paths: &Value) -> Vec<Place> {
    let step = |path: &str| path.strip_prefix(thing).is_some_and(|rest| rest.starts_with('/') && !rest.contains('{'));
    let below = paths.as_object().into_iter().flatten().filter(|(path, _)| step(path));
    below
        .flat_map(|(path, item)| item.as_object().into_iter().flatten().map(|(m, _)| (path.clone(), m.clone())))
        .collect()
}

/// The field of an answer that names the thing: called as the parameter is, or its id.
fn field_of(answer: &Value, base: &str, parameter: &str, document: &Value) -> Option<String> {
    let mut schema = resolved(&answer["content"]["application/json"]["schema"], document);
    if !base.is_empty() {
        schema = resolved(&schema["properties"]["items"]["items"], document);
    }
    let whole = parameter.to_owned();
    [whole, "id".to_owned()].into_iter().find(|name| schema["properties"].get(name).is_some())
}

fn resolved<'a>(schema: &'a Value, document: &'a Value) -> &'a Value {
    let reference = schema["$ref"].as_str().and_then(|reference| document.pointer(reference.trim_start_matches('#')));
    reference.unwrap_or(schema)
}

/// A link to an operation on the thing: what the address has above it stays, and the version is that of the answer.
fn link(document: &Value, (path, method): &Place, (parameter, value): (&str, &str)) -> (String, Value) {
    let operation = &document["paths"][path][method];
    let id = operation["operationId"].as_str().unwrap_or_default().to_owned();
    let mut parameters = Map::new();
    for name in path.split('{').skip(1).filter_map(|rest| rest.split('}').next()) {
        let from = if name == parameter { value.to_owned() } else { format!("$request.path.{name}") };
        parameters.insert(format!("path.{name}"), from.into());
    }
    let versioned = operation["parameters"].as_array().into_iter().flatten();
    if versioned.into_iter().any(|p| p["$ref"] == "#/components/parameters/IfMatch") {
        parameters.insert("header.If-Match".to_owned(), "$response.header.ETag".into());
    }
    let description = operation["summary"].as_str().unwrap_or_default();
    (id.clone(), json!({"operationId": id, "description": description, "parameters": parameters}))
}
