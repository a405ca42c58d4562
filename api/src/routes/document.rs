//! The OpenAPI document, made from the registrations.
#![allow(
    clippy::indexing_slicing,
    reason = "an index into JSON answers null, or adds the field; the document is made of objects"
)]

use super::{Documented, Routes, example, links, strict};
use crate::access::reply::IF_MATCH;
use crate::problem::Problem;
use crate::problem::table::Kind;
use serde_json::{Map, Value, json};
use stridewright_core::policy::Action;
use utoipa::openapi::info::{Contact, License};
use utoipa::openapi::{Components, ComponentsBuilder, Info, OpenApiBuilder, PathItem, path::PathsBuilder};
use utoipa::{PartialSchema, ToSchema};

impl Routes {
    /// The document as JSON, keys sorted, so that it can be checked in and compared.
    pub fn document(self) -> Value {
        let mut paths = PathsBuilder::new();
        let mut marks = Vec::new();
        for Documented { path, method, operation, access } in self.operations {
            paths = paths.path(path.clone(), PathItem::new(method.clone(), operation));
            marks.push((path, method, access));
        }
        let mut schemas = Vec::new();
        Problem::schemas(&mut schemas);
        let mut components = ComponentsBuilder::new().schema(Problem::name(), Problem::schema());
        for (name, schema) in schemas.into_iter().chain(self.schemas) {
            components = components.schema(name, schema);
        }
        let components: Components = components.build();
        let mut info = Info::new("Stridewright", env!("CARGO_PKG_VERSION"));
        info.description = Some(DESCRIPTION.to_owned());
        let mut contact = Contact::new();
        contact.name = Some("Whoever runs this service; they put their own address here".to_owned());
        contact.url = Some("https://example.org/".to_owned());
        contact.email = Some("stridewright@example.org".to_owned());
        info.contact = Some(contact);
        let mut license = License::new("MIT OR Apache-2.0");
        license.url = Some("https://spdx.org/licenses/".to_owned());
        info.license = Some(license);
        let document = OpenApiBuilder::new().info(info).paths(paths.build()).components(Some(components)).build();
        let mut document = serde_json::to_value(document).unwrap_or_default();
        document["components"]["securitySchemes"] = json!({
            "bearer": {"type": "http", "scheme": "bearer", "bearerFormat": "JWT",
                       "description": "An access token from a sign-in, read as RFC8725 recommends, or a rail link's secret."}
        });
        let here = "This service itself, in production, or on the local machine that it runs on.";
        document["servers"] = json!([{"url": "/", "description": here, "x-internal": false}]);
        let mut tagged = Vec::new();
        for (path, method, access) in marks {
            let verb =
                serde_json::to_value(&method).ok().and_then(|v| v.as_str().map(str::to_owned)).unwrap_or_default();
            if let Some(operation) = document["paths"][&path].get_mut(&verb) {
                finish(operation, &access);
                if access.tagged {
                    tagged.push((path, verb));
                }
            }
        }
        shared(&mut document);
        strict::complete(&mut document);
        links::add(&mut document, &tagged);
        example::fill(&mut document);
        sorted(document)
    }
}

const DESCRIPTION: &str = "Barn management for jumping schooling: horses, riders, owners, arenas, sessions, \
rides, workload, rest and adjustability. Limits are editable conventions, not veterinary advice; local \
rules, the trainer on the ground and the vet decide.";

/// Adds what the guard implies: security, headers, and every error answer.
fn finish(operation: &mut Value, access: &crate::access::guard::Access) {
    operation["x-access"] = access.name.clone().into();
    operation["security"] = if access.public { json!([{}]) } else { json!([{"bearer": []}]) };
    let mut statuses: Vec<u16> = vec![400, 404, 405, 413, 429, 500, 503];
    if !access.public {
        statuses.push(401);
        if access.in_barn {
            statuses.push(403);
        }
    }
    let has_body = operation.get("requestBody").is_some();
    let writes = if access.action.is_none() { has_body } else { access.action != Some(Action::Read) };
    if has_body {
        statuses.extend([408, 409, 415, 422]);
        operation["requestBody"]["required"] = true.into();
    }
    for parameter in operation["parameters"].as_array_mut().into_iter().flatten().filter(|p| p["in"] == "query") {
        let usual = match parameter["name"].as_str() {
            Some("cursor") => "Where the page starts: the next_cursor of the page before.",
            Some("limit") => "How many items the page has at most.",
            _ => "",
        };
        if parameter.get("description").is_none() && !usual.is_empty() {
            parameter["description"] = usual.into();
        }
        statuses.push(422);
        if usual.is_empty() {
            statuses.push(409);
        }
    }
    if writes {
        statuses.push(409);
    }
    let mut headers = Vec::new();
    if access.action == Some(Action::Create) {
        headers.push(json!({"$ref": "#/components/parameters/IdempotencyKey"}));
        statuses.push(422);
    }
    if access.versioned {
        headers.push(json!({"$ref": "#/components/parameters/IfMatch"}));
        statuses.extend([412, 428]);
    }
    if operation.get("parameters").is_none_or(Value::is_null) {
        operation["parameters"] = json!([]);
    }
    if let Some(parameters) = operation["parameters"].as_array_mut() {
        parameters.extend(headers);
    }
    // a refusal that a handler names is a problem like the others
    let named = operation["responses"].as_object().into_iter().flatten().filter_map(|(status, _)| status.parse().ok());
    statuses.extend(named.filter(|status| *status >= 400).collect::<Vec<u16>>());
    for status in statuses {
        let status = status.to_string();
        if operation["responses"].get(&status).is_none_or(|answer| answer.get("content").is_none()) {
            operation["responses"][&status] = json!({"$ref": format!("#/components/responses/Problem{status}")});
        }
    }
}

/// The parts that operations share.
fn shared(document: &mut Value) {
    document["components"]["parameters"] = json!({
        "IdempotencyKey": {
            "name": "Idempotency-Key", "in": "header", "required": true,
            "description": "A fresh key for each new request; a repetition with the same key is answered with the first answer.",
            "schema": {"$ref": "#/components/schemas/IdempotencyKey"},
            "example": "0190b2c4-7f3a-7cc1-8e55-2b1f8c1f9a10"
        },
        "IfMatch": {
            "name": "If-Match", "in": "header", "required": true,
            "description": "The ETag of the version that the change was decided on.",
            "schema": {"$ref": "#/components/schemas/EntityTag"},
            "example": "\"v3-08d5c2b7a1f4e690\""
        }
    });
    // named, or a client would have another type of them for each operation
    document["components"]["schemas"]["IdempotencyKey"] = json!({
        "type": "string", "minLength": 8, "maxLength": 80, "pattern": "^[A-Za-z0-9_-]+$",
        "description": "A key that a client makes for one request."
    });
    document["components"]["schemas"]["EntityTag"] = json!({
        "type": "string", "format": "entity-tag", "minLength": 4, "maxLength": 200, "pattern": IF_MATCH,
        "description": "A version, as the header ETag said it."
    });
    let mut responses = Map::new();
    for kind in Kind::ALL {
        let row = kind.row();
        let name = format!("Problem{}", row.status);
        let entry = responses.entry(name).or_insert_with(|| {
            json!({
                "description": "",
                "content": {"application/problem+json": {"schema": {"$ref": "#/components/schemas/Problem"}}}
            })
        });
        let so_far = entry["description"].as_str().unwrap_or_default().to_owned();
        let separator = if so_far.is_empty() { "" } else { " Or: " };
        entry["description"] = format!("{so_far}{separator}{} (`{}`).", row.title, row.code).into();
        if entry["content"]["application/problem+json"].get("example").is_none() {
            entry["content"]["application/problem+json"]["example"] = json!({
                "type": row.path(), "title": row.title, "status": row.status, "code": row.code, "detail": row.cure
            });
        }
    }
    document["components"]["responses"] = Value::Object(responses);
}

fn sorted(value: Value) -> Value {
    match value {
        Value::Object(map) => {
            let mut pairs: Vec<_> = map.into_iter().collect();
            pairs.sort_by(|a, b| a.0.cmp(&b.0));
            Value::Object(pairs.into_iter().map(|(k, v)| (k, sorted(v))).collect())
        }
        Value::Array(values) => Value::Array(values.into_iter().map(sorted).collect()),
        other => other,
    }
}
