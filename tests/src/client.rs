//! A small blocking client.
use serde_json::Value;
use std::ops::Index;
use std::sync::OnceLock;
use std::time::Duration;
use ureq::Agent;
use ureq::http::{HeaderMap, Request};

fn agent() -> &'static Agent {
    static AGENT: OnceLock<Agent> = OnceLock::new();
    AGENT.get_or_init(|| {
        Agent::config_builder()
            .http_status_as_error(false)
            .allow_non_standard_methods(true)
            .max_redirects(0)
            .timeout_global(Some(Duration::from_secs(60)))
            // As many as there are racers, so that none dials anew for each request.
            .max_idle_connections_per_host(64)
            .max_idle_connections(1_000)
            .build()
            .new_agent()
    })
}

/// A fresh key, or id, that nobody has used.
pub fn fresh() -> String {
    uuid::Uuid::now_v7().to_string()
}

/// Somebody who sends requests: anonymous until there is a token.
#[derive(Debug, Clone)]
pub struct Client {
    pub base: String,
    pub token: Option<String>,
}

impl Client {
    pub fn new(base: &str) -> Self {
        Self { base: base.to_owned(), token: None }
    }

    pub fn with_token(&self, token: &str) -> Self {
        Self { base: self.base.clone(), token: Some(token.to_owned()) }
    }

    /// The same person at another process.
    pub fn at(&self, base: &str) -> Self {
        Self { base: base.to_owned(), token: self.token.clone() }
    }

    /// A request to be put together by hand.
    pub fn ask(&self, method: &str, path: &str) -> Ask<'_> {
        let headers = self.token.iter().map(|t| ("Authorization".to_owned(), format!("Bearer {t}"))).collect();
        Ask { client: self, method: method.to_owned(), path: path.to_owned(), headers, body: None }
    }

    pub fn get(&self, path: &str) -> Answer {
        self.ask("GET", path).send()
    }

    /// Posts JSON with a fresh Idempotency-Key.
    pub fn post(&self, path: &str, body: Value) -> Answer {
        self.ask("POST", path).key(&fresh()).json(&body).send()
    }

    /// Changes the version that the ETag names.
    pub fn patch(&self, path: &str, etag: &str, body: Value) -> Answer {
        self.ask("PATCH", path).if_match(etag).json(&body).send()
    }

    /// Removes the version that the ETag names.
    pub fn delete(&self, path: &str, etag: &str) -> Answer {
        self.ask("DELETE", path).if_match(etag).send()
    }

    /// Reads the ETag and changes: for tests that are about something else.
    pub fn change(&self, path: &str, body: Value) -> Answer {
        let etag = self.get(path).expect(200).etag();
        self.patch(path, &etag, body)
    }
}

/// A request in the making.
#[must_use]
pub struct Ask<'a> {
    client: &'a Client,
    method: String,
    path: String,
    headers: Vec<(String, String)>,
    body: Option<Vec<u8>>,
}

impl Ask<'_> {
    pub fn header(mut self, name: &str, value: &str) -> Self {
        self.headers.push((name.to_owned(), value.to_owned()));
        self
    }

    pub fn key(self, key: &str) -> Self {
        self.header("Idempotency-Key", key)
    }

    pub fn if_match(self, etag: &str) -> Self {
        self.header("If-Match", etag)
    }

    pub fn json(self, body: &Value) -> Self {
        self.bytes("application/json", body.to_string().as_bytes())
    }

    /// Any bytes under any content type.
    pub fn bytes(mut self, content_type: &str, body: &[u8]) -> Self {
        self.body = Some(body.to_vec());
        self.header("Content-Type", content_type)
    }

    #[track_caller]
    pub fn send(self) -> Answer {
        self.try_send().unwrap_or_else(|e| panic!("{e}"))
    }

    /// The same where the service may be gone.
    pub fn try_send(self) -> Result<Answer, String> {
        let asked = format!("{} {}", self.method, self.path);
        let address = format!("{}{}", self.client.base, self.path);
        let mut request = Request::builder().method(self.method.as_str()).uri(address);
        for (name, value) in &self.headers {
            request = request.header(name, value);
        }
        let sent = match self.body {
            Some(body) => agent().run(request.body(body).expect("a request")),
            None => agent().run(request.body(()).expect("a request")),
        };
        let failed = |e: ureq::Error| format!("{asked}: {e}");
        let mut response = sent.map_err(failed)?;
        let bytes = response.body_mut().with_config().limit(64 << 20).read_to_vec().map_err(failed)?;
        let (status, headers) = (response.status().as_u16(), response.headers().clone());
        Ok(Answer::new(&asked, status, headers, bytes))
    }
}

/// What came back. `answer["name"]` is a field of its JSON.
#[derive(Debug, Clone)]
pub struct Answer {
    asked: String,
    pub status: u16,
    pub headers: HeaderMap,
    /// Null where the body is not JSON.
    pub json: Value,
    pub bytes: Vec<u8>,
}

impl Answer {
    pub(crate) fn new(asked: &str, status: u16, headers: HeaderMap, bytes: Vec<u8>) -> Self {
        let json = serde_json::from_slice(&bytes).unwrap_or(Value::Null);
        Self { asked: asked.to_owned(), status, headers, json, bytes }
    }

    /// Fails the test unless the status is this one.
    #[track_caller]
    pub fn expect(self, status: u16) -> Self {
        assert!(self.status == status, "{}: {} instead of {status}: {}", self.asked, self.status, self.text());
        self
    }

    /// Fails the test unless it is this problem: its status, and its code.
    #[track_caller]
    pub fn refused(self, status: u16, code: &str) -> Self {
        let answer = self.expect(status);
        let media = answer.header("content-type");
        assert!(media == "application/problem+json", "{}: {media}", answer.asked);
        assert!(answer["code"] == code, "{}: not {code}: {}", answer.asked, answer.text());
        answer
    }

    pub fn text(&self) -> String {
        String::from_utf8_lossy(&self.bytes).into_owned()
    }

    /// A header; empty where there is none.
    pub fn header(&self, name: &str) -> String {
        self.headers.get(name).and_then(|v| v.to_str().ok()).unwrap_or_default().to_owned()
    }

    #[track_caller]
    pub fn etag(&self) -> String {
        let etag = self.header("etag");
        assert!(!etag.is_empty(), "{}: no ETag", self.asked);
        etag
    }

    /// The version that the ETag names, as `If-Match` may say it; empty where there is none.
    pub fn version(&self) -> String {
        self.header("etag").split_once('-').map(|(version, _)| format!("{version}\"")).unwrap_or_default()
    }

    /// The id of what was made or read.
    #[track_caller]
    pub fn id(&self) -> String {
        self.text_of("id")
    }

    /// A field that is text.
    #[track_caller]
    pub fn text_of(&self, field: &str) -> String {
        self[field].as_str().unwrap_or_else(|| panic!("{}: no {field} in {}", self.asked, self.text())).to_owned()
    }

    #[track_caller]
    pub fn items(&self) -> &Vec<Value> {
        self["items"].as_array().unwrap_or_else(|| panic!("{}: no items in {}", self.asked, self.text()))
    }

    /// One field of every item of a list.
    #[track_caller]
    pub fn each(&self, field: &str) -> Vec<Value> {
        self.items().iter().map(|item| item[field].clone()).collect()
    }

    /// Where the faults of a refused body stand, sorted.
    pub fn pointers(&self) -> Vec<String> {
        let mut pointers: Vec<String> = texts(&self["errors"], "pointer");
        pointers.sort();
        pointers
    }

    /// The codes of the rules that refuse, in the order given.
    pub fn reasons(&self) -> Vec<String> {
        texts(&self["reasons"], "code")
    }
}

fn texts(list: &Value, field: &str) -> Vec<String> {
    list.as_array().into_iter().flatten().filter_map(|e| e[field].as_str().map(str::to_owned)).collect()
}

impl Index<&str> for Answer {
    type Output = Value;
    fn index(&self, field: &str) -> &Value {
        &self.json[field]
    }
}
