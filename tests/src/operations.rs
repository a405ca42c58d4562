//! The operations that the document lists, and for each a request that is good: its example, or a smaller body
//! where the example's parts do not go together, with ids of things made for it.
use crate::barn::{Member, PASSWORD, found, fresh_email, sign_in};
use crate::client::{Answer, Ask, Client, fresh};
use crate::{Value, json};
use std::sync::atomic::{AtomicI64, Ordering};

/// One operation of the document.
#[derive(Debug, Clone)]
pub struct Operation {
    pub method: String,
    pub template: String,
    /// What its guard lets it do, `Create` for instance; empty where it is public.
    pub action: String,
    /// Whether it needs an Idempotency-Key.
    pub keyed: bool,
    /// Whether it needs If-Match.
    pub versioned: bool,
    /// Whether it answers a list in pages.
    pub paged: bool,
    example: Option<Value>,
}

impl Operation {
    /// Whether it changes anything.
    pub fn writes(&self) -> bool {
        !["", "Read"].contains(&self.action.as_str())
    }

    /// For messages.
    pub fn name(&self) -> String {
        format!("{} {}", self.method, self.template)
    }
}

/// Every operation of the document.
pub fn all() -> Vec<Operation> {
    let document = stridewright_api::routes::list::all().document();
    let mut all = Vec::new();
    for (template, item) in document["paths"].as_object().expect("paths") {
        for (method, operation) in item.as_object().expect("an item") {
            let parameters = operation["parameters"].to_string();
            let access = operation["x-access"].as_str().unwrap_or_default();
            all.push(Operation {
                method: method.to_uppercase(),
                template: template.clone(),
                action: access.rsplit_once(':').map(|(_, action)| action.to_owned()).unwrap_or_default(),
                keyed: parameters.contains("/IdempotencyKey\""),
                versioned: parameters.contains("/IfMatch\""),
                paged: parameters.contains("\"cursor\""),
                example: operation["requestBody"]["content"]["application/json"].get("example").cloned(),
            });
        }
    }
    all
}

/// A request that was not sent yet, or was sent many times.
#[derive(Debug, Clone)]
pub struct Request {
    pub client: Client,
    pub method: String,
    pub path: String,
    pub key: String,
    pub etag: Option<String>,
    pub body: Option<Value>,
}

impl Request {
    fn ask(&self) -> Ask<'_> {
        let mut ask = self.client.ask(&self.method, &self.path).key(&self.key);
        if let Some(etag) = &self.etag {
            ask = ask.if_match(etag);
        }
        match &self.body {
            Some(body) => ask.json(body),
            None => ask,
        }
    }

    pub fn try_send(&self) -> Result<Answer, String> {
        self.ask().try_send()
    }

    /// Sends it until it is not told to come back.
    #[track_caller]
    pub fn send(&self) -> Answer {
        loop {
            let answer = self.ask().send();
            if answer.status != 503 {
                return answer;
            }
            assert!(!answer.header("retry-after").is_empty(), "not told when to come back: {}", answer.text());
        }
    }

    /// The same request to another process.
    #[must_use]
    pub fn at(&self, base: &str) -> Self {
        Self { client: self.client.at(base), ..self.clone() }
    }
}

/// A barn in which whatever a request needs is made for it.
pub struct Stage {
    pub barn_id: String,
    pub trainer: Member,
    operations: Vec<Operation>,
}

impl Stage {
    pub fn new(anonymous: &Client) -> Self {
        let (barn_id, trainer) = found(anonymous);
        Self { barn_id, trainer, operations: all() }
    }

    /// The same barn at another process.
    pub fn move_to(&mut self, base: &str) {
        self.trainer.client = self.trainer.client.at(base);
    }

    pub fn operations(&self) -> &[Operation] {
        &self.operations
    }

    /// A good request.
    #[track_caller]
    pub fn request(&self, operation: &Operation) -> Request {
        let path = self.path(&operation.template);
        self.request_to(operation, &path)
    }

    /// A good request to something that is there.
    #[track_caller]
    pub fn request_to(&self, operation: &Operation, path: &str) -> Request {
        let client = self.caller(&operation.template);
        let etag = operation.versioned.then(|| {
            let thing = path.strip_suffix("/clearance").unwrap_or(path);
            client.get(thing).expect(200).etag()
        });
        let (method, body) = (operation.method.clone(), self.body(operation));
        Request { client, method, path: path.to_owned(), key: fresh(), etag, body }
    }

    /// The trainer, or somebody whose sign-in may end, or who may join.
    fn caller(&self, template: &str) -> Client {
        let anonymous = Client::new(&self.trainer.base);
        match template {
            "/api/v1/me/memberships" | "/api/v1/me/password" => found(&anonymous).1.client,
            _ if template.starts_with("/api/v1/sign-ins") => {
                let (_, member) = found(&anonymous);
                sign_in(&anonymous, &member.email).member.client
            }
            _ => self.trainer.client.clone(),
        }
    }

    /// The address of a template, each thing in it being new.
    #[track_caller]
    pub fn path(&self, template: &str) -> String {
        let (mut path, mut so_far) = (String::new(), String::new());
        for segment in template.split('/').skip(1) {
            let filled = match segment {
                "{barn_id}" => self.barn_id.clone(),
                "{revision}" => "1".to_owned(),
                "{exercise_key}" => "related_five".to_owned(),
                "{ride_id}" if template.ends_with("/choice") => self.disputed(&path),
                _ if segment.starts_with('{') => self.make_at(&so_far, &path),
                _ => segment.to_owned(),
            };
            path = format!("{path}/{filled}");
            so_far = format!("{so_far}/{segment}");
        }
        path
    }

    /// Makes a thing in the collection of this template; answers its id.
    #[track_caller]
    pub fn make(&self, template: &str) -> String {
        self.make_at(template, &self.path(template))
    }

    #[track_caller]
    fn make_at(&self, template: &str, path: &str) -> String {
        let post = self.operations.iter().find(|o| o.method == "POST" && o.template == template);
        let post = post.unwrap_or_else(|| panic!("nothing makes what is in {template}"));
        let made = self.request_to(post, path).send().expect(201).header("location");
        made.rsplit('/').next().unwrap_or_default().to_owned()
    }

    /// A ride with the number of another that differs.
    fn disputed(&self, rides: &str) -> String {
        let go = |outcome: &str| json!({"fences": [{"fence": "1", "outcome": outcome}], "go": 1, "at": "2026-06-01T07:30:00Z"});
        self.trainer.post(rides, go("jumped")).expect(201);
        self.trainer.post(rides, go("refusal")).expect(201).id()
    }

    /// Another trainer of the barn.
    #[track_caller]
    pub fn second_trainer(&self) -> Client {
        let path = format!("/api/v1/barns/{}/invitations", self.barn_id);
        let secret =
            self.trainer.post(&path, json!({"name": "Sam", "roles": ["trainer"]})).expect(201).text_of("secret");
        let (anonymous, email) = (Client::new(&self.trainer.base), fresh_email("trainer"));
        let account = json!({"email": email, "name": "Sam", "password": PASSWORD, "invitation": secret});
        anonymous.post("/api/v1/accounts", account).expect(201);
        sign_in(&anonymous, &email).member.client
    }

    /// A person of age.
    fn adult(&self) -> String {
        let body = json!({"name": "Robin", "roles": ["rider", "owner", "trainer"], "birth_date": "1988-04-01"});
        self.trainer.post(&format!("/api/v1/barns/{}/people", self.barn_id), body).expect(201).id()
    }

    /// A good body.
    pub fn body(&self, operation: &Operation) -> Option<Value> {
        let mut body = smaller(&operation.method, &operation.template).or_else(|| operation.example.clone())?;
        self.fill(&mut body);
        Some(body)
    }

    /// Puts ids of things made for it where a body names things.
    fn fill(&self, value: &mut Value) {
        match value {
            Value::Object(fields) => {
                for (name, field) in fields {
                    match self.named(name) {
                        Some(text) if field.is_string() => *field = json!(text()),
                        _ => self.fill(field),
                    }
                }
            }
            Value::Array(items) => items.iter_mut().for_each(|item| self.fill(item)),
            _ => {}
        }
    }

    fn named(&self, field: &str) -> Option<Box<dyn Fn() -> String + '_>> {
        let things = |rest: &'static str| -> Option<Box<dyn Fn() -> String + '_>> {
            Some(Box::new(move || self.make(&format!("/api/v1/barns/{{barn_id}}/{rest}"))))
        };
        match field {
            "id" => Some(Box::new(fresh)),
            "horse_id" => things("horses"),
            "arena_id" => things("arenas"),
            "fence_set_id" => things("fence-sets"),
            "exercise_id" => things("exercises"),
            "entry_id" => things("sessions/{session_id}/entries"),
            "trainer_id" | "adult_id" | "rider_id" | "person_id" | "guardian_id" => Some(Box::new(|| self.adult())),
            "invitation" => Some(Box::new(|| {
                let path = format!("/api/v1/barns/{}/invitations", self.barn_id);
                let body = json!({"name": "Robin", "roles": ["rider"]});
                self.trainer.post(&path, body).expect(201).text_of("secret")
            })),
            _ => None,
        }
    }
}

/// Where the parts of the document's example do not go together.
fn smaller(method: &str, template: &str) -> Option<Value> {
    let of_barn = template.strip_prefix("/api/v1/barns/{barn_id}/").unwrap_or(template);
    let fence = |label: &str| json!({"label": label, "kind": "vertical", "height_cm": 80});
    let line = json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 21.0, "measured": "inside_to_inside"});
    let revision = json!({"level": "usual", "fences": [fence("1"), fence("2")], "lines": [line]});
    let go = json!({"id": "", "fences": [{"fence": "1", "outcome": "jumped"}], "at": "2026-06-01T07:30:00Z"});
    let entry = json!({"id": "", "horse_id": "", "planned_efforts": 4, "planned_height_cm": 60});
    Some(match (method, of_barn) {
        ("POST", "arenas") => json!({"id": "", "name": "Lower arena", "length_m": 60, "width_m": 25, "indoor": false}),
        ("PATCH", "arenas/{arena_id}") => json!({"name": "Upper arena"}),
        ("POST", "horses") => json!({"id": "", "name": "Bramble", "profile": "horse"}),
        ("PATCH", "horses/{horse_id}") => json!({"name": "Juniper"}),
        ("POST", "people") => json!({"id": "", "name": "Pip", "roles": ["rider"], "birth_date": "2014-03-09"}),
        ("PATCH", "people/{person_id}") => json!({"name": "Robin"}),
        ("POST", "horses/{horse_id}/outings") => {
            json!({"id": "", "kind": "lesson", "on_date": "2027-06-04", "planned_efforts": 20, "planned_height_cm": 90})
        }
        ("PATCH", "horses/{horse_id}/outings/{outing_id}") => json!({"planned_efforts": 12}),
        (method, rest) if rest.contains("/stand-downs") => match method {
            "POST" if rest.ends_with("/clearance") => json!({"cleared_on": "2026-05-25", "note": "Sound again."}),
            "POST" => json!({"id": "", "scope": "jumping", "source": "trainer", "reason": "Shod late yesterday.",
                "from_date": "2026-05-20", "free_from_date": "2027-06-04"}),
            _ => json!({"free_from_date": "2027-07-04"}),
        },
        ("POST", "invitations") => json!({"id": "", "name": "Robin", "roles": ["rider"]}),
        ("POST", "exercises") => json!({"id": "", "name": "Two fences, 66 ft", "revision": revision}),
        ("POST", "exercises/{exercise_id}/revisions") => revision,
        ("POST", "sessions") => {
            let (starts_at, ends_at) = next_hour();
            json!({
                "id": "", "kind": "jumping", "title": "Two fences, 66 ft", "arena_id": "", "trainer_id": "",
                "places": 4, "starts_at": starts_at, "ends_at": ends_at, "entries": [entry, entry]
            })
        }
        ("PATCH", "sessions/{session_id}") => json!({"title": "Three fences"}),
        ("POST", "sessions/{session_id}/entries") => entry,
        ("PATCH", "sessions/{session_id}/entries/{entry_id}") => json!({"planned_efforts": 3}),
        ("POST", "sessions/{session_id}/rail-links") => json!({"id": "", "label": "Phone at the gate"}),
        ("POST", "sessions/{session_id}/entries/{entry_id}/rides") => go,
        ("POST", "sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/corrections") => go,
        ("POST", "rides") => {
            let mut ride = go;
            ride["entry_id"] = json!("");
            json!({"rides": [ride, ride]})
        }
        ("POST", "/api/v1/me/password") => {
            json!({"old_password": PASSWORD, "new_password": "five-strides-to-the-oxer"})
        }
        _ => return None,
    })
}

/// An hour that no other session of these has.
pub fn next_hour() -> (String, String) {
    static HOUR: AtomicI64 = AtomicI64::new(0);
    let first: jiff::Timestamp = "2027-05-03T00:00:00Z".parse().expect("an instant");
    let starts_at = first.as_second() + HOUR.fetch_add(1, Ordering::Relaxed) * 3600;
    let text = |second: i64| jiff::Timestamp::from_second(second).expect("a time of this era").to_string();
    (text(starts_at), text(starts_at + 3600))
}
