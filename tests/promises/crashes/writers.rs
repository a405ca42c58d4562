//! Those who write until the program is gone: horses, sessions with entries, rides in batches, corrections, removals.
use super::ledger::{Intent, Ledger};
use stridewright_tests::client::fresh;
use stridewright_tests::operations::Request;
use stridewright_tests::{Client, Value, json};

/// Entries of each session, and rides of each batch.
pub const TOGETHER: usize = 4;

/// What a writer has to work with: its arena, its horses, and what was acknowledged to it.
pub struct Writer {
    pub number: usize,
    pub barn: String,
    pub client: Client,
    pub arena: String,
    pub stable: Vec<String>,
    pub horses: Vec<String>,
    pub sessions: Vec<Vec<String>>,
    pub rides: Vec<(String, String)>,
    turn: usize,
}

impl Writer {
    pub fn new(number: usize, barn: &str, client: &Client) -> Self {
        let make = |things: &str, body: Value| client.post(&format!("{barn}/{things}"), body).expect(201).id();
        let arena = make("arenas", json!({"name": "Lower arena", "length_m": 60, "width_m": 25}));
        let stable = (0..TOGETHER).map(|_| make("horses", json!({"name": "stable", "profile": "horse"}))).collect();
        Self {
            number,
            barn: barn.to_owned(),
            client: client.clone(),
            arena,
            stable,
            horses: Vec::new(),
            sessions: Vec::new(),
            rides: Vec::new(),
            turn: 0,
        }
    }

    /// Takes note of what was acknowledged.
    pub fn learn(&mut self, intent: &Intent, ids: &[String]) {
        match intent.kind.as_str() {
            "horse" => self.horses.push(ids[0].clone()),
            "session" => self.sessions.push(ids.to_vec()),
            "batch" => self.rides.extend(ids.iter().map(|id| (intent.of.clone(), id.clone()))),
            _ => {}
        }
    }

    /// Writes one thing after another until nobody answers.
    pub fn write(&mut self, ledger: &Ledger) {
        while let Some(intent) = self.next() {
            ledger.intend(&intent);
            let answer = loop {
                match intent.request.try_send() {
                    Ok(busy) if busy.status == 503 => {} // told to come back
                    Ok(answer) => break answer,
                    Err(_) => return,
                }
            };
            assert!(answer.status < 300, "{}: {} {}", intent.kind, answer.status, answer.text());
            ledger.acknowledge(&intent.request.key, &answer);
            let ids: Vec<String> = super::ledger_ids(&answer);
            self.learn(&intent, &ids);
        }
    }

    /// What to write now; nothing where nobody answers.
    fn next(&mut self) -> Option<Intent> {
        self.turn += 1;
        let key = fresh();
        // every other one leaves the id to the service: then only the key tells a repetition
        let with_id = |mut body: Value| {
            if self.turn.is_multiple_of(2) {
                body["id"] = json!(fresh());
            }
            body
        };
        let post = |kind: &str, of: &str, path: String, body: Value| {
            Some(self.intent(kind, of, "POST", path, &key, None, Some(body)))
        };
        let ride = |n: usize| {
            let outcome = if n == 0 { "jumped" } else { "refusal" };
            json!({"fences": [{"fence": "1", "outcome": outcome}], "note": key, "at": "2026-06-01T07:30:00Z"})
        };
        match self.turn % 6 {
            1 if !self.sessions.is_empty() => {
                // of the newest: an entry has at most 500 goes
                let newest = self.sessions.len().saturating_sub(8);
                let entry =
                    &self.sessions[newest..][self.turn % (self.sessions.len() - newest)][1 + self.turn % TOGETHER];
                let of_entry = |n| {
                    let mut ride = with_id(ride(n));
                    ride["entry_id"] = json!(entry);
                    ride
                };
                let rides: Vec<Value> = (0..TOGETHER).map(of_entry).collect();
                post("batch", entry, format!("{}/rides", self.barn), json!({"rides": rides}))
            }
            2 if !self.rides.is_empty() => {
                let at = self.turn % self.rides.len();
                let (entry, old) = self.rides.swap_remove(at);
                let session = self.sessions.iter().find(|ids| ids.contains(&entry)).expect("its session");
                let path = format!("{}/sessions/{}/entries/{entry}/rides/{old}/corrections", self.barn, session[0]);
                let body = with_id(ride(1));
                Some(self.intent("correction", &old, "POST", path, &key, None, Some(body)))
            }
            3 if !self.horses.is_empty() => {
                let horse = self.horses.swap_remove(self.turn % self.horses.len());
                let path = format!("{}/horses/{horse}", self.barn);
                let etag = self.client.ask("GET", &path).try_send().ok()?.expect(200).etag();
                Some(self.intent("removal", &horse, "DELETE", path, &key, Some(etag), None))
            }
            4 if !self.sessions.is_empty() => {
                let session = &self.sessions[self.turn % self.sessions.len()][0];
                let path = format!("{}/sessions/{session}", self.barn);
                let etag = self.client.ask("GET", &path).try_send().ok()?.expect(200).etag();
                Some(self.intent("note", session, "PATCH", path.clone(), &key, Some(etag), Some(json!({"note": key}))))
            }
            5 => {
                let (starts_at, ends_at) = stridewright_tests::operations::next_hour();
                let entries: Vec<Value> = self.stable.iter().map(|horse| json!({"horse_id": horse})).collect();
                let body = json!({"kind": "flat", "title": key, "arena_id": self.arena, "starts_at": starts_at,
                    "ends_at": ends_at, "entries": entries});
                post("session", "", format!("{}/sessions", self.barn), with_id(body))
            }
            _ => post("horse", "", format!("{}/horses", self.barn), with_id(json!({"name": key, "profile": "horse"}))),
        }
    }

    #[allow(clippy::too_many_arguments, reason = "the parts of a request")]
    fn intent(
        &self,
        kind: &str,
        of: &str,
        method: &str,
        path: String,
        key: &str,
        etag: Option<String>,
        body: Option<Value>,
    ) -> Intent {
        let client = self.client.clone();
        let request = Request { client, method: method.to_owned(), path, key: key.to_owned(), etag, body };
        Intent { writer: self.number, kind: kind.to_owned(), of: of.to_owned(), request, ids: None }
    }
}
