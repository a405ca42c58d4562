//! A service on each database, asked the same.
use stridewright_tests::barn::{PASSWORD, found, fresh_email, sign_in};
use stridewright_tests::server::{START, Server, settings};
use stridewright_tests::{Answer, Client, Database, Value, json, postgres};

/// What is not alike.
pub type Refused = String;

pub struct Pair([Server; 2]);

/// Somebody as each of the two services knows them.
pub struct Person {
    email: [String; 2],
    clients: [Client; 2],
    pub ids: [String; 2],
}

/// A barn on each.
pub struct Barn {
    ids: [String; 2],
    /// The trainer, a rider, an owner.
    pub people: Vec<Person>,
    /// Ids in the order in which each service showed them.
    known: [Vec<String>; 2],
}

impl Pair {
    pub fn start() -> Option<Self> {
        let postgres = Server::alone(Database::Postgres, settings());
        if postgres.is_none() {
            postgres::skipped();
        }
        Some(Self([Server::alone(Database::Sqlite, settings())?, postgres?]))
    }

    pub fn micros(&self) -> i64 {
        self.0[0].clock.micros()
    }

    pub fn advance(&self, seconds: i64) {
        self.0.iter().for_each(|server| server.clock.advance_seconds(seconds));
    }

    pub fn found(&self) -> Barn {
        // every history begins at the same instant, so that its seed tells it whole
        self.0.iter().for_each(|server| server.clock.set(START));
        let barns = [0, 1].map(|side| found(&Client::new(&self.0[side].base)));
        let people = barns.each_ref().map(|(_, trainer)| trainer.clone());
        let mut barn = Barn {
            ids: barns.map(|(id, _)| id),
            people: vec![Person {
                email: people.each_ref().map(|m| m.email.clone()),
                clients: people.each_ref().map(|m| m.client.clone()),
                ids: people.map(|m| m.person_id),
            }],
            known: [Vec::new(), Vec::new()],
        };
        for role in ["rider", "owner"] {
            // ids of one instant have no order that both databases would share
            self.advance(1);
            let joined = [0, 1].map(|side| {
                let anonymous = Client::new(&self.0[side].base);
                let at = format!("/api/v1/barns/{}/invitations", barn.ids[side]);
                let invitation = json!({"name": "Robin", "roles": [role]});
                let secret = barn.people[0].clients[side].post(&at, invitation).expect(201).text_of("secret");
                let email = fresh_email(role);
                let account = json!({"email": email, "name": "Robin", "password": PASSWORD, "invitation": secret});
                anonymous.post("/api/v1/accounts", account).expect(201);
                sign_in(&anonymous, &email).member
            });
            barn.people.push(Person {
                email: joined.each_ref().map(|m| m.email.clone()),
                clients: joined.each_ref().map(|m| m.client.clone()),
                ids: joined.map(|m| m.person_id),
            });
        }
        barn
    }

    /// Everybody signs in again, after the clock moved.
    pub fn sign_in(&self, barn: &mut Barn) {
        for person in &mut barn.people {
            for side in [0, 1] {
                let signed_in = sign_in(&Client::new(&self.0[side].base), &person.email[side]);
                person.clients[side] = signed_in.member.client;
            }
        }
    }
}

/// A request as it is sent to both; `{rider}` and `{owner}` stand for the ids of people.
#[derive(Debug, Clone)]
pub struct Sent {
    pub method: &'static str,
    pub path: String,
    pub body: Option<Value>,
    /// The Idempotency-Key, or the ETag.
    pub mark: String,
}

impl Barn {
    /// Asks both; an answer, if they are alike.
    pub fn ask(&mut self, who: usize, sent: &Sent) -> Result<Answer, Refused> {
        let answers = [0, 1].map(|side| {
            let path = format!("/api/v1/barns/{}/{}", self.ids[side], sent.path);
            let ask = self.people[who].clients[side].ask(sent.method, &path);
            let ask = match sent.method {
                "POST" => ask.key(&sent.mark),
                "DELETE" => ask.if_match(&sent.mark),
                _ => ask,
            };
            match &sent.body {
                Some(body) => ask.json(&self.of_side(side, body)).send(),
                None => ask.send(),
            }
        });
        let told = [0, 1].map(|side| self.told(side, &answers[side]));
        let [answer, _] = answers;
        if told[0] == told[1] {
            Ok(answer)
        } else {
            Err(format!("{sent:?}\n SQLite     {}\n PostgreSQL {}", told[0], told[1]))
        }
    }

    fn of_side(&self, side: usize, body: &Value) -> Value {
        let text = body.to_string().replace("{rider}", &self.people[1].ids[side]);
        serde_json::from_str(&text.replace("{owner}", &self.people[2].ids[side])).unwrap()
    }

    /// Status, headers and bytes of an answer, with the ids in it numbered as they appeared.
    fn told(&mut self, side: usize, answer: &Answer) -> String {
        let headers = ["etag", "location", "content-type", "allow", "retry-after", "cache-control"];
        let headers = headers.map(|name| answer.header(name)).join(" | ");
        let text = format!("{} | {headers} | {}", answer.status, answer.text());
        let apart = |c: char| !(c.is_ascii_alphanumeric() || c == '-');
        let found: Vec<String> = text.split(apart).filter(|part| is_id(part)).map(str::to_owned).collect();
        for id in found {
            if !self.known[side].contains(&id) {
                self.known[side].push(id);
            }
        }
        let known = self.known[side].iter().enumerate();
        let text = known.fold(text, |text, (n, id)| text.replace(id, &format!("ID{n:04}")));
        text.replace(&self.ids[side], "BARN")
    }
}

fn is_id(part: &str) -> bool {
    part.len() == 36 && part.parse::<uuid::Uuid>().is_ok()
}
