//! A small blocking client: what is not expected is a failure that says method, path, status and body.
use crate::json::Fields;
use serde_json::Value;
use std::cell::Cell;
use std::rc::Rc;
use std::time::Duration;
use ureq::Agent;
use ureq::http::Request;

/// Why the program stops.
#[derive(Debug, thiserror::Error)]
pub enum Failure {
    #[error("unexpected answer: {method} {path}: {status}\n{body}")]
    Unexpected { method: String, path: String, status: u16, body: String },
    #[error("{method} {path}: {cause}")]
    Broken { method: String, path: String, cause: String },
    #[error("{0}")]
    Plain(String),
}

/// What came back.
#[derive(Debug)]
pub struct Answer {
    pub status: u16,
    pub etag: String,
    pub json: Value,
    body: String,
}

impl Answer {
    pub fn id(&self) -> String {
        self.json.of("id").as_str().unwrap_or_default().to_owned()
    }

    /// The problem's stable code; empty where it is none.
    pub fn code(&self) -> &str {
        self.json.of("code").as_str().unwrap_or_default()
    }
}

/// How often a request is sent again.
const PATIENCE: u32 = 5;

/// Somebody who sends requests: anonymous until there is a token.
#[derive(Clone)]
pub struct Client {
    agent: Agent,
    pub base: String,
    token: Option<String>,
    sent: Rc<Cell<u64>>,
}

impl Client {
    pub fn new(base: &str) -> Self {
        let agent = Agent::config_builder()
            .http_status_as_error(false)
            .max_redirects(0)
            .timeout_global(Some(Duration::from_secs(60)))
            .build()
            .new_agent();
        Self { agent, base: base.trim_end_matches('/').to_owned(), token: None, sent: Rc::default() }
    }

    /// The same service, as somebody who signed in.
    pub fn with_token(&self, token: &str) -> Self {
        Self { token: Some(token.to_owned()), ..self.clone() }
    }

    /// How many requests were sent so far.
    pub fn sent(&self) -> u64 {
        self.sent.get()
    }

    /// Any answer at all. Where the service asks to come back later, it does: the same key makes it safe.
    pub fn send(&self, method: &str, path: &str, etag: Option<&str>, body: Option<&Value>) -> Result<Answer, Failure> {
        self.sent.set(self.sent.get() + 1);
        let key = format!("seed-demo-{:08}", self.sent.get());
        let mut left = PATIENCE;
        loop {
            let (answer, later) = self.once(method, path, etag, body, &key)?;
            match later {
                Some(seconds) if left > 0 && matches!(answer.status, 429 | 503) => {
                    left -= 1;
                    std::thread::park_timeout(Duration::from_secs(seconds));
                }
                _ => return Ok(answer),
            }
        }
    }

    /// One request; its answer, and after how many seconds to come back where it says so.
    fn once(
        &self,
        method: &str,
        path: &str,
        etag: Option<&str>,
        body: Option<&Value>,
        key: &str,
    ) -> Result<(Answer, Option<u64>), Failure> {
        let broken = |cause: String| Failure::Broken { method: method.into(), path: path.into(), cause };
        let mut request = Request::builder().method(method).uri(format!("{}{path}", self.base));
        if let Some(token) = &self.token {
            request = request.header("Authorization", format!("Bearer {token}"));
        }
        if let Some(etag) = etag {
            request = request.header("If-Match", etag);
        }
        if method == "POST" {
            request = request.header("Idempotency-Key", key);
        }
        let sent = match body {
            Some(body) => {
                let request = request.header("Content-Type", "application/json").body(body.to_string());
                self.agent.run(request.map_err(|e| broken(e.to_string()))?)
            }
            None => self.agent.run(request.body(()).map_err(|e| broken(e.to_string()))?),
        };
        let mut response = sent.map_err(|e| broken(e.to_string()))?;
        let body = response.body_mut().with_config().limit(32 << 20).read_to_string();
        let body = body.map_err(|e| broken(e.to_string()))?;
        let header = |name: &str| response.headers().get(name).and_then(|v| v.to_str().ok());
        let (etag, later) = (header("etag").unwrap_or_default().to_owned(), header("retry-after"));
        let later = later.and_then(|seconds| seconds.parse().ok());
        let json = serde_json::from_str(&body).unwrap_or(Value::Null);
        Ok((Answer { status: response.status().as_u16(), etag, json, body }, later))
    }

    fn expect(&self, method: &str, path: &str, etag: Option<&str>, body: Option<&Value>) -> Result<Answer, Failure> {
        let answer = self.send(method, path, etag, body)?;
        if (200..300).contains(&answer.status) { Ok(answer) } else { Err(unexpected(method, path, answer)) }
    }

    pub fn get(&self, path: &str) -> Result<Value, Failure> {
        Ok(self.expect("GET", path, None, None)?.json)
    }

    pub fn post(&self, path: &str, body: &Value) -> Result<Answer, Failure> {
        self.expect("POST", path, None, Some(body))
    }

    pub fn patch(&self, path: &str, etag: &str, body: &Value) -> Result<Answer, Failure> {
        self.expect("PATCH", path, Some(etag), Some(body))
    }

    /// Changes a thing as it now stands: whatever was done beneath it may have made a new version of it.
    pub fn change(&self, path: &str, body: &Value) -> Result<Answer, Failure> {
        let etag = self.expect("GET", path, None, None)?.etag;
        self.patch(path, &etag, body)
    }

    /// Posts what the rules may refuse: the problem is an answer then, and no failure.
    pub fn offer(&self, path: &str, body: &Value) -> Result<Result<Answer, Value>, Failure> {
        let answer = self.send("POST", path, None, Some(body))?;
        match answer.status {
            200..=299 => Ok(Ok(answer)),
            409 if matches!(answer.code(), "rule_refused" | "occupied") => Ok(Err(answer.json)),
            _ => Err(unexpected("POST", path, answer)),
        }
    }

    /// Every item of a list, page by page.
    pub fn all(&self, path: &str) -> Result<Vec<Value>, Failure> {
        let (mut items, mut cursor) = (Vec::new(), None::<String>);
        let joint = if path.contains('?') { '&' } else { '?' };
        loop {
            let next = cursor.map(|c| format!("&cursor={c}")).unwrap_or_default();
            let mut page = self.get(&format!("{path}{joint}limit=200{next}"))?;
            if let Some(more) = page.get_mut("items").and_then(Value::as_array_mut) {
                items.append(more);
            }
            cursor = page.of("next_cursor").as_str().map(str::to_owned);
            if cursor.is_none() {
                return Ok(items);
            }
        }
    }
}

fn unexpected(method: &str, path: &str, answer: Answer) -> Failure {
    Failure::Unexpected { method: method.into(), path: path.into(), status: answer.status, body: answer.body }
}
