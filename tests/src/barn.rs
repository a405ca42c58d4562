//! The world of one test: a barn of its own, and the people in it.
use crate::client::{Client, fresh};
use crate::server::{Database, Server, settings};
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

    /// A barn on a server of its own, beside which there is nothing.
    pub fn apart(&self) -> Self {
        let server = Server::alone(self.server.database, settings()).expect("a database, as before");
        Self::new(Box::leak(Box::new(server)))
    }

    /// A new horse; answers its id.
    #[track_caller]
    pub fn horse(&self, name: &str) -> String {
        self.make("horses", json!({"name": name, "profile": "horse"}))
    }

    /// A new arena of 60 by 25 m, always open; answers its id.
    #[track_caller]
    pub fn arena(&self) -> String {
        self.make("arenas", json!({"name": "Top school", "length_m": 60, "width_m": 25}))
    }

    /// A new fence set with enough for a small course; answers its id.
    #[track_caller]
    pub fn fence_set(&self) -> String {
        let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
        self.make("fence-sets", json!({"name": "Top school set", "items": items}))
    }

    /// A jumping session booked by the trainer, without entries; answers its id.
    #[track_caller]
    pub fn session(&self, arena_id: &str, starts_at: &str, ends_at: &str) -> String {
        let session = json!({
            "kind": "jumping", "title": "Lines", "arena_id": arena_id, "trainer_id": self.trainer.person_id,
            "starts_at": starts_at, "ends_at": ends_at
        });
        self.make("sessions", session)
    }

    /// A new account that came by an invitation with these roles.
    #[track_caller]
    pub fn member(&self, roles: &[&str]) -> Member {
        self.invited(json!({"name": "Robin", "roles": roles}))
    }

    #[track_caller]
    pub fn rider(&self) -> Member {
        self.member(&["rider"])
    }

    #[track_caller]
    pub fn owner(&self) -> Member {
        self.member(&["owner"])
    }

    /// An owner of this horse.
    #[track_caller]
    pub fn owner_of(&self, horse_id: &str) -> Member {
        let owner = self.owner();
        let ownership = json!({"person_id": owner.person_id, "kind": "owner"});
        self.make(&format!("horses/{horse_id}/ownerships"), ownership);
        owner
    }

    /// A rider who is paired with this horse, up to 110 cm.
    #[track_caller]
    pub fn rider_of(&self, horse_id: &str) -> Member {
        let rider = self.rider();
        self.pair(horse_id, &rider.person_id);
        rider
    }

    /// Pairs them, up to 110 cm; answers the pairing's id.
    #[track_caller]
    pub fn pair(&self, horse_id: &str, rider_id: &str) -> String {
        let pairing = json!({"rider_id": rider_id, "level": "usual", "up_to_height_cm": 110});
        self.make(&format!("horses/{horse_id}/pairings"), pairing)
    }

    /// A rider under age, without a sign-in; answers the person's id.
    #[track_caller]
    pub fn minor(&self) -> String {
        self.make("people", json!({"name": "Pip", "roles": ["rider"], "birth_date": "2014-03-09"}))
    }

    /// A new account that acts for the minor.
    #[track_caller]
    pub fn guardian_of(&self, minor_id: &str) -> Member {
        self.invited(json!({"name": "Jo", "roles": [], "guardian_of": minor_id}))
    }

    #[track_caller]
    fn invited(&self, invitation: Value) -> Member {
        let secret = self.trainer.post(&self.at("invitations"), invitation).expect(201).text_of("secret");
        let email = fresh_email("member");
        let account = json!({"email": email, "name": "Robin", "password": PASSWORD, "invitation": secret});
        self.anonymous().post("/api/v1/accounts", account).expect(201);
        sign_in(&self.anonymous(), &email).member
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
