//! A service on each database under one clock and one source of chance: asked the same, they answer the same bytes,
//! ids, secrets and cursors included.
use std::sync::Arc;
use std::sync::atomic::{AtomicU64, Ordering};
use stridewright_api::state::{Random, Settings};
use stridewright_tests::server::{START, Server, settings};
use stridewright_tests::{Answer, Client, Database, Value, postgres};

/// What is not alike.
pub type Refused = String;

/// Counts instead of drawing, so that ids come in the order in which they are made.
struct Counting(AtomicU64);

impl Random for Counting {
    fn fill(&self, bytes: &mut [u8]) {
        let count = self.0.fetch_add(1, Ordering::SeqCst).to_be_bytes();
        bytes.fill(0);
        let ends = bytes.iter_mut().rev().zip(count.iter().rev());
        ends.for_each(|(byte, digit)| *byte = *digit);
    }
}

pub struct Pair {
    servers: [Server; 2],
    chances: [Arc<Counting>; 2],
    asked: AtomicU64,
    made: AtomicU64,
}

/// A request as it is sent to both.
#[derive(Debug, Clone, Default)]
pub struct Sent {
    pub method: &'static str,
    pub path: String,
    pub body: Option<Value>,
    /// In place of the body, bytes that are no JSON.
    pub raw: Option<&'static str>,
    pub key: Option<String>,
    pub if_match: Option<String>,
}

/// A bearer token on each side; none for nobody.
pub type Tokens = [Option<String>; 2];

impl Pair {
    pub fn start() -> Option<Self> {
        let chances = [0, 1].map(|_| Arc::new(Counting(AtomicU64::new(0))));
        // nobody need sign in again while a history lasts
        let year = || Settings { access_seconds: 365 * 24 * 3600, ..settings() };
        let server = |side: usize, database| Server::with_chance(database, year(), chances[side].clone());
        let postgres = server(1, Database::Postgres);
        if postgres.is_none() {
            postgres::skipped();
        }
        let servers = [server(0, Database::Sqlite)?, postgres?];
        Some(Self { servers, chances, asked: AtomicU64::new(1), made: AtomicU64::new(1) })
    }

    /// Every history begins at the same instant, so that its seed tells it whole.
    pub fn rewind(&self) {
        self.servers.iter().for_each(|server| server.clock.set(START));
    }

    pub fn now(&self) -> i64 {
        self.servers[0].clock.micros() / 1_000_000
    }

    pub fn advance(&self, seconds: i64) {
        self.servers.iter().for_each(|server| server.clock.advance_seconds(seconds));
    }

    pub fn urls(&self) -> [&str; 2] {
        [0, 1].map(|side| self.servers[side].url.as_str())
    }

    /// A client's id, later than all before it.
    pub fn fresh(&self) -> String {
        let mut bytes = [0; 10];
        bytes[2..].copy_from_slice(&self.made.fetch_add(1, Ordering::SeqCst).to_be_bytes());
        // so that it is none of those that the services make
        bytes[1] = 1;
        let millis = u64::try_from(self.now() * 1000).unwrap();
        uuid::Builder::from_unix_timestamp_millis(millis, &bytes).into_uuid().to_string()
    }

    /// Asks both; the answer, if they are alike.
    pub fn ask(&self, tokens: &Tokens, sent: &Sent) -> Result<Answer, Refused> {
        let chance = self.asked.fetch_add(1, Ordering::SeqCst) << 16;
        self.chances.iter().for_each(|counting| counting.0.store(chance, Ordering::SeqCst));
        let [sqlite, postgres] = std::thread::scope(|scope| {
            let other = scope.spawn(|| self.ask_one(1, tokens, sent));
            [self.ask_one(0, tokens, sent), other.join().unwrap()]
        });
        let told = [&sqlite, &postgres].map(told);
        if told[0] == told[1] || sent.path == "/metrics" {
            Ok(sqlite)
        } else {
            Err(format!("{sent:?}\n SQLite     {}\n PostgreSQL {}", told[0], told[1]))
        }
    }

    fn ask_one(&self, side: usize, tokens: &Tokens, sent: &Sent) -> Answer {
        let client = Client { base: self.servers[side].base.clone(), token: tokens[side].clone() };
        let mut ask = client.ask(sent.method, &sent.path);
        if let Some(key) = &sent.key {
            ask = ask.key(key);
        }
        if let Some(tag) = &sent.if_match {
            ask = ask.if_match(tag);
        }
        match (sent.raw, &sent.body) {
            (Some(raw), _) => ask.bytes("application/json", raw.as_bytes()).send(),
            (None, Some(body)) => ask.json(body).send(),
            (None, None) => ask.send(),
        }
    }
}

/// Status, headers and bytes of an answer.
fn told(answer: &Answer) -> String {
    let headers = ["etag", "location", "content-type", "allow", "retry-after", "cache-control", "www-authenticate"];
    let headers = headers.map(|name| answer.header(name)).join(" | ");
    format!("{} | {headers} | {}", answer.status, answer.text())
}
