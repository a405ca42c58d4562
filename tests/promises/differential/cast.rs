//! The accounts that act in the histories. Each founded a barn of its own, in which the others are strangers.
use super::pair::{Pair, Sent, Tokens};
use stridewright_tests::barn::PASSWORD;
use stridewright_tests::{Answer, Value, json};

/// How many histories one cast plays: an account may belong to a hundred barns.
pub const PLAYS: usize = 40;

/// What they are called; the barns that they are invited to give them their parts.
const NAMES: [&str; 6] = ["Mara", "Robin", "Alex", "Jo", "Sam", "Noor"];

pub struct Account {
    pub name: String,
    pub email: String,
    pub password: String,
    pub tokens: Tokens,
}

pub struct Cast {
    pub accounts: Vec<Account>,
    /// Whether the last one signed in again, at a time that has not come yet for the next history.
    pub signed_in: bool,
    /// The ids of things of another barn.
    pub elsewhere: Elsewhere,
}

/// A barn of the last one's, with a thing of each kind.
pub struct Elsewhere {
    pub horse: String,
    pub person: String,
    pub arena: String,
    pub exercise: String,
    pub session: String,
    pub entry: String,
}

/// Asks where nothing may go wrong.
pub fn must(pair: &Pair, tokens: &Tokens, path: &str, body: Value) -> Answer {
    let sent =
        Sent { method: "POST", path: path.to_owned(), body: Some(body), key: Some(pair.fresh()), ..Sent::default() };
    let answer = pair.ask(tokens, &sent).unwrap();
    assert!(answer.status < 300, "{sent:?}: {}", answer.text());
    answer
}

impl Cast {
    pub fn sign_up(pair: &Pair) -> Self {
        pair.rewind();
        let accounts: Vec<Account> = NAMES.iter().map(|name| account(pair, name)).collect();
        let last = accounts.last().unwrap();
        let elsewhere = elsewhere(pair, &last.tokens);
        Self { accounts, signed_in: false, elsewhere }
    }

    /// The beginning of a history.
    pub fn begin(&mut self, pair: &Pair) {
        pair.rewind();
        if std::mem::take(&mut self.signed_in) {
            let last = self.accounts.last_mut().unwrap();
            last.tokens = sign_in(pair, &last.email, &last.password);
        }
    }
}

fn account(pair: &Pair, name: &str) -> Account {
    let email = format!("{}.{}@example.org", name.to_lowercase(), pair.fresh());
    let barn = json!({"name": "Elsewhere", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"});
    let account = json!({"email": email, "name": name, "password": PASSWORD, "barn": barn});
    must(pair, &[None, None], "/api/v1/accounts", account);
    let tokens = sign_in(pair, &email, PASSWORD);
    Account { name: name.to_owned(), email, password: PASSWORD.to_owned(), tokens }
}

pub fn sign_in(pair: &Pair, email: &str, password: &str) -> Tokens {
    let answer = must(pair, &[None, None], "/api/v1/sign-ins", json!({"email": email, "password": password}));
    // the services draw alike, so the tokens are the same
    let token = answer.text_of("access_token");
    [Some(token.clone()), Some(token)]
}

fn elsewhere(pair: &Pair, tokens: &Tokens) -> Elsewhere {
    let barn = json!({"id": pair.fresh(), "name": "Elsewhere too", "time_zone": "Europe/Lisbon", "units": "metric",
        "labels": "british"});
    let barn = must(pair, tokens, "/api/v1/barns", barn).id();
    let make = |things: &str, body: Value| must(pair, tokens, &format!("/api/v1/barns/{barn}/{things}"), body);
    let id = |things: &str, body: Value| make(things, body).id();
    let arena = id("arenas", json!({"name": "Top school", "length_m": 60, "width_m": 25}));
    let horse = id("horses", json!({"name": "Bramble", "profile": "horse"}));
    let fence = json!({"label": "1", "kind": "vertical", "height_cm": 60});
    let exercise = json!({"name": "One fence", "revision": {"level": "usual", "fences": [fence]}});
    let session = json!({"kind": "flat", "title": "Flat", "arena_id": arena, "starts_at": "2026-06-02T08:00:00Z",
        "ends_at": "2026-06-02T09:00:00Z", "entries": [{"horse_id": horse}]});
    let session = make("sessions", session);
    Elsewhere {
        person: id("people", json!({"name": "Lee", "roles": ["rider", "owner", "trainer"]})),
        exercise: id("exercises", exercise),
        entry: session["entries"][0]["id"].as_str().unwrap().to_owned(),
        session: session.id(),
        horse,
        arena,
    }
}
