//! Three barns with the same people of the same accounts, and the same ids in each.
use std::cell::RefCell;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_tests::barn::{PASSWORD, fresh_email};
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, Client, Value, World, json};

/// Who reads and writes.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
pub enum Who {
    Trainer,
    Rider,
    Owner,
    Guardian,
    /// A second trainer, who loses the role.
    Deputy,
}

/// Those who read.
pub const CALLERS: [Who; 4] = [Who::Trainer, Who::Rider, Who::Owner, Who::Guardian];

/// The names of all ids, as addresses and bodies name them; other horses and people stand beside those.
const IDS: [&str; 43] = [
    "horse_id",
    "pony_id",
    "rider_id",
    "owner_id",
    "guardian_id",
    "child_id",
    "spare_person_id",
    "arena_id",
    "fence_set_id",
    "exercise_id",
    "ownership_id",
    "pairing_id",
    "pony_pairing_id",
    "workload_limit_id",
    "horse_stand_down_id",
    "rider_stand_down_id",
    "outing_id",
    "invitation_id",
    "session_id",
    "joined_id",
    "requested_id",
    "entry_id",
    "ride_id",
    "rail_link_id",
    "spare_outing_id",
    "spare_arena_id",
    "spare_fence_set_id",
    "spare_exercise_id",
    "spare_pairing_id",
    "spare_ownership_id",
    "deputy_id",
    "deputy_link_id",
    "beside_id",
    "later_id",
    "later_entry_id",
    "last_id",
    "last_entry_id",
    "past_id",
    "past_entry_id",
    "closed_id",
    "closed_entry_id",
    "welcome_id",
    "unknown_id",
];

/// Ids before and after any that somebody makes.
const LOWEST: &str = "00000000-0000-7000-8000-000000000001";
const HIGHEST: &str = "ffffffff-ffff-7fff-bfff-fffffffffffe";

/// One of the barns.
pub struct Twin {
    pub id: String,
    /// What its names begin with; as long in each, so that answers can be compared.
    pub tag: &'static str,
    /// The person of the trainer's account, which the service numbers.
    pub trainer_id: String,
    steps: RefCell<usize>,
}

pub struct Trio {
    pub world: World,
    /// Ordered by id: what is found first differs with it.
    pub barns: [Twin; 3],
    pub ids: BTreeMap<String, String>,
    clients: BTreeMap<Who, Client>,
    /// Ids that no address names.
    others: RefCell<BTreeMap<String, String>>,
    /// The barn and the secret of each link to a session.
    pub rail_links: RefCell<Vec<(String, String)>>,
    /// The secret of an invitation that nobody has accepted yet, by its barn.
    pub welcomes: RefCell<BTreeMap<String, String>>,
    /// Operations that were taken with success.
    pub taken: RefCell<BTreeSet<(String, String)>>,
}

fn account(anonymous: &Client, extra: Value) -> Client {
    let email = fresh_email("twin");
    let mut body = json!({"email": email, "name": "Robin", "password": PASSWORD});
    body.as_object_mut().unwrap().extend(extra.as_object().unwrap().clone());
    anonymous.post("/api/v1/accounts", body).expect(201);
    let signed_in = anonymous.post("/api/v1/sign-ins", json!({"email": email, "password": PASSWORD})).expect(201);
    anonymous.with_token(&signed_in.text_of("access_token"))
}

impl Trio {
    /// Founds them on a server of their own: their ids are there once.
    pub fn found(world: &World) -> Self {
        let world = world.apart();
        let anonymous = world.anonymous();
        let ids = [LOWEST.to_owned(), fresh(), HIGHEST.to_owned()];
        let barn = |id: &str, tag: &str| {
            json!({"id": id, "name": format!("{tag} meadow"), "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british",
                "riders_confirm": true})
        };
        // in the order of their ids, so that the lowest comes first whichever way a query goes through them
        let trainer = account(&anonymous, json!({"barn": barn(&ids[0], "LOW")}));
        for (id, tag) in [(&ids[1], "MID"), (&ids[2], "TOP")] {
            trainer.post("/api/v1/barns", barn(id, tag)).expect(201);
        }
        let me = trainer.get("/api/v1/me").expect(200);
        let person = |id: &str| {
            let here = me["memberships"].as_array().unwrap().iter().find(|m| m["barn"]["id"] == id).unwrap();
            here["person_id"].as_str().unwrap().to_owned()
        };
        let twin = |id: &str, tag| Twin { id: id.to_owned(), tag, trainer_id: person(id), steps: RefCell::new(0) };
        let barns = [twin(&ids[0], "LOW"), twin(&ids[1], "MID"), twin(&ids[2], "TOP")];
        let mut named: BTreeMap<String, String> = IDS.iter().map(|name| ((*name).to_owned(), fresh())).collect();
        named.insert("revision".to_owned(), "1".to_owned());
        named.insert("exercise_key".to_owned(), "related_five".to_owned());
        named.insert("person_id".to_owned(), named["rider_id"].clone());
        // the accounts of others come with a barn that nobody reads, so that they can join the three
        let mut clients = BTreeMap::from([(Who::Trainer, trainer)]);
        for who in [Who::Rider, Who::Owner, Who::Guardian, Who::Deputy] {
            clients.insert(who, account(&anonymous, json!({"barn": barn(&fresh(), "ELS")})));
        }
        Self {
            world,
            barns,
            ids: named,
            clients,
            others: RefCell::default(),
            rail_links: RefCell::default(),
            welcomes: RefCell::default(),
            taken: RefCell::default(),
        }
    }

    pub fn client(&self, who: Who) -> &Client {
        &self.clients[&who]
    }

    pub fn id(&self, name: &str) -> &str {
        self.ids.get(name).unwrap_or_else(|| panic!("the twins have no {name}"))
    }

    /// An id that no address names, the same in each barn.
    pub fn other(&self, name: &str) -> String {
        self.others.borrow_mut().entry(name.to_owned()).or_insert_with(fresh).clone()
    }

    /// The address in this barn. Which stand-down or person is meant depends on what comes before.
    pub fn fill(&self, twin: &Twin, template: &str) -> String {
        let mut path = template.replace("{barn_id}", &twin.id).replace("{trainer_id}", &twin.trainer_id);
        if template.contains("/guardians") {
            path = path.replace("{person_id}", self.id("child_id"));
        }
        let of = if template.contains("/people/") { "rider_stand_down_id" } else { "horse_stand_down_id" };
        path = path.replace("{stand_down_id}", self.id(of));
        while let Some((before, rest)) = path.clone().split_once('{') {
            let (name, after) = rest.split_once('}').unwrap();
            path = format!("{before}{}{after}", self.id(name));
        }
        path
    }

    /// One write, with the key of its turn, which is the same in each barn; answers what came back, as it would
    /// stand in any of them.
    #[track_caller]
    pub fn write(&self, twin: &Twin, who: Who, method: &str, template: &str, body: Value) -> Answer {
        let answer = self.ask(twin, who, method, template, &body);
        assert!(
            (200..300).contains(&answer.status),
            "{method} {template}\n{body}\n{} {}",
            answer.status,
            answer.text()
        );
        if template.ends_with("/rail-links") {
            self.rail_links.borrow_mut().push((twin.id.clone(), answer.text_of("secret")));
        }
        let template = format!("/api/v1/barns/{{barn_id}}{template}");
        self.taken.borrow_mut().insert((method.to_owned(), self.known(&template)));
        answer
    }

    /// The same, whatever it is answered.
    pub fn ask(&self, twin: &Twin, who: Who, method: &str, template: &str, body: &Value) -> Answer {
        let path = self.fill(twin, &format!("/api/v1/barns/{{barn_id}}{template}"));
        let client = self.client(who);
        let key = format!("twin-step-{:04}", twin.steps.replace_with(|n| *n + 1));
        let ask = client.ask(method, &path);
        let changed = if method == "POST" { path.strip_suffix("/clearance") } else { Some(path.as_str()) };
        let etag = changed.map(|changed| client.get(changed).expect(200).header("etag")).unwrap_or_default();
        let ask = if etag.is_empty() { ask } else { ask.if_match(&etag) };
        let ask = if method == "POST" { ask.key(&key) } else { ask };
        if method == "DELETE" { ask.send() } else { ask.json(body).send() }
    }

    /// The template as the document has it: steps may name an id of their own kind.
    fn known(&self, template: &str) -> String {
        let mut known = template.replace("{spare_", "{");
        for (own, documented) in [
            ("{joined_id}", "{session_id}"),
            ("{pony_id}", "{horse_id}"),
            ("{pony_pairing_id}", "{pairing_id}"),
            ("{child_id}", "{person_id}"),
            ("{deputy_id}", "{person_id}"),
        ] {
            known = known.replace(own, documented);
        }
        known
    }

    /// An answer as it would stand in any of the barns.
    pub fn unnamed(&self, twin: &Twin, answer: &Answer) -> String {
        let mut json = answer.json.clone();
        if let Some(fields) = json.as_object_mut() {
            fields.remove("secret");
        }
        let text = json.to_string().replace(&twin.id, "BARN").replace(&twin.trainer_id, "TRAINER");
        format!("{} {} {}", answer.status, answer.version(), text.replace(twin.tag, "TAG"))
    }

    /// A text as it would stand in any barn of any trio: ids by their names.
    pub fn nameless(&self, twin: &Twin, text: &str) -> String {
        let barn = [("BARN".to_owned(), twin.id.clone()), ("TRAINER".to_owned(), twin.trainer_id.clone())];
        let others = self.others.borrow();
        let ids = self.ids.iter().chain(others.iter()).map(|(name, id)| (name.clone(), id.clone())).chain(barn);
        let named =
            ids.filter(|(_, id)| id.len() > 8).fold(text.to_owned(), |text, (name, id)| text.replace(&id, &name));
        // what is left was numbered by the service: a preset's limits
        let quoted = named
            .split('"')
            .map(|part| if part.len() == 36 && part.parse::<uuid::Uuid>().is_ok() { "ID" } else { part });
        quoted.collect::<Vec<_>>().join("\"")
    }
}
