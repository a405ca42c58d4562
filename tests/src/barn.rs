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
        let anonymous = Client::new(&server.base);
        let email = fresh_email("trainer");
        let body = json!({
            "email": email, "name": "Mara", "password": PASSWORD,
            "barn": {"name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"}
        });
        anonymous.post("/api/v1/accounts", body).expect(201);
        let client = sign_in(&anonymous, &email);
        let me = client.get("/api/v1/me").expect(200);
        let membership = &me["memberships"][0];
        let text = |field: &str| membership[field].as_str().expect("a membership").to_owned();
        Self { server, barn_id: text("barn_id"), trainer: Member { client, email, person_id: text("person_id") } }
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

/// An e-mail address that nobody has used.
pub fn fresh_email(who: &str) -> String {
    format!("{who}.{}@example.org", fresh())
}

/// Signs in and answers the client with its token.
#[track_caller]
pub fn sign_in(anonymous: &Client, email: &str) -> Client {
    let answer = anonymous.post("/api/v1/sign-ins", json!({"email": email, "password": PASSWORD})).expect(201);
    anonymous.with_token(&answer.text_of("access_token"))
}
