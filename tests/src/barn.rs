//! The world of one test: a barn of its own, and the people in it.
use crate::client::{Client, fresh};
use crate::server::{Database, Server};
use serde_json::{Value, json};

/// The password of everybody in the tests.
pub const PASSWORD: &str = "four-strides-to-the-oxer";

/// A fresh barn in Europe/Lisbon with its founder, a trainer, signed in.
pub struct World {
    pub server: &'static Server,
    pub barn_id: String,
    pub trainer: Member,
}

/// Somebody of a barn, signed in.
#[derive(Debug, Clone)]
pub struct Member {
    pub client: Client,
    pub email: String,
    /// Their person in the barn.
    pub person_id: String,
}

impl std::ops::Deref for Member {
    type Target = Client;
    fn deref(&self) -> &Client {
        &self.client
    }
}

impl World {
    /// Runs a test in a fresh barn on the database; says so where it is not installed.
    pub fn on(database: Database, test: fn(&Self)) {
        if let Some(server) = Server::shared(database) {
            test(&Self::new(server));
        }
    }

    pub fn new(server: &'static Server) -> Self {
        let (barn_id, trainer) = found(&Client::new(&server.base));
        Self { server, barn_id, trainer }
    }

    /// The address of something of this barn: `at("horses")`.
    pub fn at(&self, rest: &str) -> String {
        format!("/api/v1/barns/{}/{rest}", self.barn_id)
    }

    /// Nobody.
    pub fn anonymous(&self) -> Client {
        Client::new(&self.server.base)
    }

    /// Another barn on the same service: its trainer is a stranger here.
    pub fn elsewhere(&self) -> Self {
        Self::new(self.server)
    }

    /// A new horse; answers its id.
    #[track_caller]
    pub fn horse(&self, name: &str) -> String {
        self.make("horses", json!({"name": name, "profile": "horse"}))
    }

    /// The trainer makes something; answers its id.
    #[track_caller]
    pub fn make(&self, things: &str, body: Value) -> String {
        self.trainer.post(&self.at(things), body).expect(201).id()
    }
}

/// Founds a barn; answers its id and its trainer.
pub fn found(anonymous: &Client) -> (String, Member) {
    let email = fresh_email("trainer");
    let barn = json!({"name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"});
    let account = json!({"email": email, "name": "Mara", "password": PASSWORD, "barn": barn});
    anonymous.post("/api/v1/accounts", account).expect(201);
    let trainer = sign_in(anonymous, &email);
    (trainer.barn_id, trainer.member)
}

/// An e-mail address that nobody has used.
pub fn fresh_email(who: &str) -> String {
    format!("{who}.{}@example.org", fresh())
}

/// Somebody who signed in, and the first barn they belong to.
pub struct SignedIn {
    pub member: Member,
    pub barn_id: String,
}

/// Signs in.
#[track_caller]
pub fn sign_in(anonymous: &Client, email: &str) -> SignedIn {
    let answer = anonymous.post("/api/v1/sign-ins", json!({"email": email, "password": PASSWORD})).expect(201);
    let membership = &answer["memberships"][0];
    let text = |value: &Value| value.as_str().expect("a membership").to_owned();
    let (barn_id, person_id) = (text(&membership["barn"]["id"]), text(&membership["person_id"]));
    let client = anonymous.with_token(&answer.text_of("access_token"));
    SignedIn { member: Member { client, email: email.to_owned(), person_id }, barn_id }
}
