//! What is true of every part of the document, said of each: bounds of texts, widths of whole numbers, tags,
//! and the headers that come with every answer.
#![allow(
    clippy::indexing_slicing,
    reason = "an index into JSON answers null, or adds the field; the document is made of objects"
)]
use serde_json::{Value, json};
use std::collections::BTreeSet;

/// Text without control characters but line ends and tabs: what the service writes itself.
const PLAIN: &str = "^[^\\u0000-\\u0008\\u000b-\\u001f\\u007f-\\u009f]*$";
/// A whole page or file.
const ANYTHING: &str = "^[\\s\\S]*$";
/// The most characters of such a page or file.
const LONGEST_FILE: u32 = 4_000_000;

/// Goes over the whole document.
pub fn complete(document: &mut Value) {
    if let Some(components) = document.get_mut("components") {
        schemas(components, PLAIN);
    }
    if let Some(paths) = document.get_mut("paths") {
        schemas(paths, ANYTHING);
    }
    tags(document);
    answers(document);
}

/// Every schema inside: a text has a pattern or format and a bound, a whole number its width.
fn schemas(value: &mut Value, pattern: &str) {
    match value {
        Value::Array(values) => values.iter_mut().for_each(|value| schemas(value, pattern)),
        Value::Object(map) => {
            let is = |kind: &str| match map.get("type") {
                Some(Value::String(one)) => one == kind,
                Some(Value::Array(several)) => several.iter().any(|one| one == kind),
                _ => false,
            };
            let (text, whole) = (is("string"), is("integer"));
            let said = |key: &str| map.contains_key(key);
            let bounded = ["pattern", "format", "enum", "const"].into_iter().any(said);
            let (limited, wide) = (said("maxLength") || said("enum") || said("const"), said("format"));
            if text && !bounded {
                map.insert("pattern".to_owned(), pattern.into());
            }
            if text && !limited {
                let most = if map.get("format").is_some_and(|f| f == "uuid") { 36 } else { LONGEST_FILE };
                map.insert("maxLength".to_owned(), most.into());
            }
            if whole && !wide {
                let fits = map.get("maximum").and_then(Value::as_i64).is_some_and(|most| i32::try_from(most).is_ok());
                map.insert("format".to_owned(), if fits { "int32" } else { "int64" }.into());
            }
            for (key, value) in
                map.iter_mut().filter(|(key, _)| !["example", "examples", "enum", "const"].contains(&key.as_str()))
            {
                // the pages of addresses are files; everything else that crosses the wire is plain
                schemas(value, if key == "application/json" { PLAIN } else { pattern });
            }
        }
        _ => {}
    }
}

/// The tags of all operations: each names the folder of the sources that serves it.
fn tags(document: &mut Value) {
    let operations =
        document["paths"].as_object().into_iter().flatten().flat_map(|(_, item)| item.as_object()).flatten();
    let named: BTreeSet<String> = operations
        .flat_map(|(_, operation)| operation["tags"].as_array().into_iter().flatten())
        .filter_map(|tag| tag.as_str().map(str::to_owned))
        .collect();
    document["tags"] = named.iter().map(|tag| json!({"name": tag, "description": about(tag)})).collect();
}

fn about(tag: &str) -> &'static str {
    match tag {
        "adjustability" => {
            "How far a horse, or a pair, lengthens and shortens, how that changes, and what to ask next."
        }
        "arenas" => "Arenas: their size and marks, what stands in them, and when they are open.",
        "barns" => "Barns: what one works in, its clock, units and words, and its audit log.",
        "docs" => "This document, pages to try it, and what every problem means.",
        "evaluations" => "Lines and distances for horses, reckoned without anything being saved.",
        "exercises" => "Exercises and their revisions: what is ridden, and how it is set.",
        "fence_sets" => "Sets of fences: what there is to build with.",
        "library" => "Exercises of our own, laid out for horse or pony and placed in an arena.",
        "setting" => "Plans to scale, and sheets by which an exercise is set by tape.",
        "health" => "Whether the program lives, whether it can serve, and its figures.",
        "horses" => "Horses, who owns them and who rides them.",
        "invitations" => "Bringing somebody with an account of their own into a barn.",
        "outings" => "What horses do away from home that counts: shows, lessons, rounds.",
        "people" => "The people of a barn, what they may do, and who looks after a minor.",
        "rail_links" => "Links for a helper at the rail, who logs one session without an account.",
        "rides" => "The log: what was asked, what was ridden, and which version of it counts.",
        "sessions" => "Bookings: who rides what where and when, and what speaks against it.",
        "sign_in" => "Accounts, signing in and out, and whom one is in each barn.",
        "workload" => "Jumps by day, limits, rest and stand-downs of a horse.",
        _ => "",
    }
}

/// Headers that the answers bring.
fn answers(document: &mut Value) {
    let text = |description: &str, pattern: &str, example: &str| {
        json!({"description": description, "example": example,
            "schema": {"type": "string", "minLength": 1, "maxLength": 200, "pattern": pattern}})
    };
    document["components"]["headers"] = json!({
        "RateLimit": text(
            "How many requests this address has left (r), and in how many seconds it has all again (t); absent where no bound is set.",
            "^\"address\";r=[0-9]+;t=[0-9]+$", "\"address\";r=199;t=1"),
        "RateLimitPolicy": text(
            "How many requests (q) in how many seconds (w) an address may send; absent where no bound is set.",
            "^\"address\";q=[0-9]+;w=[0-9]+$", "\"address\";q=200;w=1"),
        "RetryAfter": {"description": "In how many seconds to come back.", "required": true, "example": 1,
            "schema": {"type": "integer", "format": "int32", "minimum": 1, "maximum": 86400}},
        "Allow": {"required": true, "description": "The methods of this address.", "example": "GET, HEAD, POST",
            "schema": {"type": "string", "minLength": 3, "maxLength": 60, "pattern": "^[A-Z]+(, [A-Z]+)*$"}},
        "WwwAuthenticate": {"required": true, "description": "What credentials are asked for.", "example": "Bearer",
            "schema": {"type": "string", "const": "Bearer"}}
    });
    let add = |answer: &mut Value, status: &str| {
        if answer.get("$ref").is_some() {
            return;
        }
        let header = |name: &str| json!({"$ref": format!("#/components/headers/{name}")});
        let headers = &mut answer["headers"];
        if headers.is_null() {
            *headers = json!({});
        }
        headers["RateLimit"] = header("RateLimit");
        headers["RateLimit-Policy"] = header("RateLimitPolicy");
        match status {
            "401" => headers["WWW-Authenticate"] = header("WwwAuthenticate"),
            "405" => headers["Allow"] = header("Allow"),
            "429" | "503" => headers["Retry-After"] = header("RetryAfter"),
            _ => {}
        }
    };
    for (name, answer) in document["components"]["responses"].as_object_mut().into_iter().flatten() {
        add(answer, name.trim_start_matches("Problem"));
    }
    let items = document["paths"].as_object_mut().into_iter().flatten();
    for operation in items.flat_map(|(_, item)| item.as_object_mut()).flatten().map(|(_, operation)| operation) {
        for (status, answer) in operation["responses"].as_object_mut().into_iter().flatten() {
            add(answer, status);
        }
    }
}
