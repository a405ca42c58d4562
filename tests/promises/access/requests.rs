//! A request to an operation, put together from the document and a place; and what of its answer can be compared.
use super::bodies::{self, About};
use super::operations::Operation;
use std::collections::BTreeSet;
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, Client, Value};

#[derive(Debug, Clone)]
pub struct Request {
    pub method: String,
    pub path: String,
    pub headers: Vec<(String, String)>,
    pub body: Option<Value>,
}

impl Request {
    /// To the operation, about the place, with a body that is taken; `tag` reads the version to be changed.
    pub fn new(operation: &Operation, line: &str, about: About<'_>, tag: &Client) -> Self {
        let mut path = operation.template.clone();
        for name in &operation.in_path {
            let value = match name.as_str() {
                "revision" => "1",
                "exercise_key" => "related_five",
                "file" => "start.js",
                "code" => "invalid-body",
                name => about.place.id(line, name).unwrap_or_else(|| panic!("the yard has no {name} for {line}")),
            };
            path = path.replace(&format!("{{{name}}}"), value);
        }
        let mut headers = Vec::new();
        if operation.wants_key {
            headers.push(("Idempotency-Key".to_owned(), fresh()));
        }
        if operation.wants_match {
            // what is done to a thing has its version
            let thing = path.strip_suffix("/clearance").unwrap_or(&path);
            let read = tag.get(thing);
            let etag = if read.status == 200 { read.etag() } else { "\"v1\"".to_owned() };
            headers.push(("If-Match".to_owned(), etag));
        }
        let required: Vec<String> =
            operation.in_query.iter().filter_map(|p| Some(format!("{}={}", p.name, p.required?))).collect();
        if !required.is_empty() {
            path = format!("{path}?{}", required.join("&"));
        }
        Self { method: operation.method.clone(), path, headers, body: bodies::of(operation, line, about) }
    }

    pub fn send(&self, client: &Client) -> Answer {
        self.send_with(client, &[])
    }

    /// With half a body: who may not know of a thing is told nothing of what is sent to it.
    pub fn send_half(&self, client: &Client) -> Answer {
        let mut ask = client.ask(&self.method, &self.path);
        for (name, value) in &self.headers {
            ask = ask.header(name, value);
        }
        ask.bytes("application/json", b"{\"nothing\": ").send()
    }

    /// With Authorization headers beside the client's own.
    pub fn send_with(&self, client: &Client, authorizations: &[String]) -> Answer {
        let mut ask = client.ask(&self.method, &self.path);
        for value in authorizations {
            ask = ask.header("Authorization", value);
        }
        for (name, value) in &self.headers {
            // a repetition would be answered from the store
            ask = if name == "Idempotency-Key" { ask.key(&fresh()) } else { ask.header(name, value) };
        }
        match &self.body {
            Some(body) => ask.json(body).send(),
            None => ask.send(),
        }
    }

    /// The same about something else: `with` stands wherever `from` stood.
    pub fn swap(&self, from: &str, with: &str) -> Self {
        let swapped = |text: &str| text.replace(from, with);
        let body = self.body.as_ref().map(|body| serde_json::from_str(&swapped(&body.to_string())).unwrap());
        Self { path: swapped(&self.path), body, ..self.clone() }
    }

    /// `name=value` behind the `?`.
    pub fn query(&self, name: &str, value: &str) -> Self {
        let sign = if self.path.contains('?') { '&' } else { '?' };
        Self { path: format!("{}{sign}{name}={value}", self.path), ..self.clone() }
    }
}

/// Status and headers of an answer, without the date and the request's own id.
pub fn head(answer: &Answer) -> String {
    let headers: BTreeSet<String> = answer
        .headers
        .iter()
        .filter(|(name, _)| !["date", "x-request-id"].contains(&name.as_str()))
        .map(|(name, value)| format!("{name}: {}", value.to_str().unwrap_or("?")))
        .collect();
    format!("{}\n{}\n", answer.status, headers.into_iter().collect::<Vec<_>>().join("\n"))
}

/// An answer whole: its head, and its bytes.
pub fn whole(answer: &Answer) -> String {
    let mut body = answer.text();
    if let Some(id) = answer.json["instance"].as_str() {
        body = body.replace(id, "<the request>");
    }
    head(answer) + &body
}

/// The same, but for whether the connection goes on: that tells only whether the body was read.
pub fn said(answer: &Answer) -> String {
    whole(answer).replace("connection: close\n", "")
}

/// The same without what is new each time: ids that were not there before, secrets, and the hash of all that.
pub fn lasting(answer: &Answer, known: &BTreeSet<String>) -> String {
    let mut text = whole(answer);
    if let Some((_, hash)) = answer.header("etag").split_once('-') {
        text = text.replace(hash, "????????????????\"");
    }
    hide(&answer.json, &mut text);
    let mut from = 0;
    while let Some(at) = next_uuid(&text, from) {
        from = at + 36;
        if !known.contains(&text[at..at + 36]) {
            text.replace_range(at..at + 36, "????????-????-????-????-????????????");
        }
    }
    text
}

fn hide(value: &Value, text: &mut String) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                match value.as_str() {
                    Some(secret) if ["secret", "access_token", "refresh_token"].contains(&name.as_str()) => {
                        *text = text.replace(secret, "<secret>");
                    }
                    _ => hide(value, text),
                }
            }
        }
        Value::Array(values) => values.iter().for_each(|value| hide(value, text)),
        _ => {}
    }
}

fn next_uuid(text: &str, from: usize) -> Option<usize> {
    let bytes = text.as_bytes();
    (from..bytes.len().saturating_sub(35)).find(|at| {
        (0..36).all(|n| match n {
            8 | 13 | 18 | 23 => bytes[at + n] == b'-',
            _ => bytes[at + n].is_ascii_hexdigit(),
        })
    })
}
