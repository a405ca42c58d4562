//! What is done in each of the barns, the same in every one; answers what came back, without names.
use super::trio::{Trio, Twin, Who};
use stridewright_tests::{Value, json};

pub struct Steps<'a> {
    pub trio: &'a Trio,
    pub twin: &'a Twin,
    /// Whether the barn is to differ from others in whatever can differ under one id.
    pub contrary: bool,
    pub answers: Vec<String>,
}

impl Steps<'_> {
    #[track_caller]
    pub fn by(&mut self, who: Who, method: &str, template: &str, body: Value) -> Value {
        let answer = self.trio.write(self.twin, who, method, template, body);
        self.answers.push(format!("{method} {template}: {}", self.trio.unnamed(self.twin, &answer)));
        answer.json
    }

    #[track_caller]
    pub fn post(&mut self, template: &str, body: Value) -> Value {
        self.by(Who::Trainer, "POST", template, body)
    }

    #[track_caller]
    pub fn patch(&mut self, template: &str, body: Value) {
        self.by(Who::Trainer, "PATCH", template, body);
    }

    #[track_caller]
    pub fn delete(&mut self, template: &str) {
        self.by(Who::Trainer, "DELETE", template, Value::Null);
    }

    /// What must not be had in any of the barns; and, where it is said, why not.
    #[track_caller]
    pub fn refused(&mut self, who: Who, method: &str, template: &str, body: Value, code: &str) {
        let answer = self.trio.ask(self.twin, who, method, template, &body);
        assert!((400..500).contains(&answer.status), "{method} {template}: {} {}", answer.status, answer.text());
        assert!(code.is_empty() || answer["code"] == code, "{method} {template}: {}", answer.text());
        let mut answer = answer;
        if let Some(fields) = answer.json.as_object_mut() {
            fields.remove("instance");
        }
        self.answers.push(format!("{method} {template}: {}", self.trio.unnamed(self.twin, &answer)));
    }

    pub fn id(&self, name: &str) -> Value {
        json!(self.trio.id(name))
    }

    pub fn named(&self, what: &str) -> String {
        format!("{} {what}", self.twin.tag)
    }

    /// The account joins as this person.
    #[track_caller]
    fn join(&mut self, who: Who, person: &str, role: &str) {
        let body = json!({"id": self.id(person), "name": self.named(person), "roles": [role]});
        self.post("/people", body);
        let id = self.trio.other(&format!("invitation of {person}"));
        let invitation = json!({"id": id, "name": self.named("guest"), "roles": [role], "person_id": self.id(person)});
        let secret = self.post("/invitations", invitation)["secret"].clone();
        self.trio.client(who).post("/api/v1/me/memberships", json!({"invitation": secret})).expect(201);
    }

    pub fn session(&self, id: &str, day: u8, more: Value) -> Value {
        let mut session = json!({
            "id": self.id(id), "kind": "jumping", "title": self.named("lines"), "arena_id": self.id("arena_id"),
            "starts_at": format!("2026-06-{day:02}T09:00:00Z"), "ends_at": format!("2026-06-{day:02}T10:00:00Z"),
            "adult_id": self.twin.trainer_id, "trainer_id": self.twin.trainer_id
        });
        session.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
        session
    }
}

pub fn layout(arena: &Value, contrary: bool) -> Value {
    let (level, distance_m) = if contrary { ("schooled", 24.9936) } else { ("novice", 21.9456) };
    let fence = |label: &str, x_m: f64| json!({"label": label, "kind": "vertical", "height_cm": 80, "position": {"x_m": x_m, "y_m": 12.0, "heading_deg": 0.0}});
    json!({
        "level": level, "arena_id": arena,
        "fences": [fence("1", 15.0), fence("2", 15.0 + distance_m)],
        "lines": [{"from": "1", "to": "2", "kind": "straight", "distance_m": distance_m, "measured": "inside_to_inside"}]
    })
}

pub fn go(id: String, number: u8, fences: &[&str]) -> Value {
    let fences: Vec<Value> = fences
        .iter()
        .enumerate()
        .map(|(n, outcome)| json!({"fence": (n % 2 + 1).to_string(), "outcome": outcome}))
        .collect();
    json!({"id": id, "kind": "go", "go": number, "at": "2026-06-01T07:30:00Z", "fences": fences,
        "attempts": [{"line": "1-2", "asked": 5, "ridden": 5}]})
}

/// Fills a barn with one of everything.
pub fn fill(trio: &Trio, twin: &Twin) -> Vec<String> {
    let mut s = Steps { trio, twin, contrary: false, answers: Vec::new() };
    people_and_things(&mut s);
    sessions(&mut s);
    s.answers
}

pub fn people_and_things(s: &mut Steps) {
    s.join(Who::Rider, "rider_id", "rider");
    s.join(Who::Owner, "owner_id", "owner");
    s.join(Who::Guardian, "guardian_id", "owner");
    s.join(Who::Deputy, "deputy_id", "trainer");
    s.post(
        "/people",
        json!({"id": s.id("child_id"), "name": s.named("child"), "roles": ["rider"], "birth_date": "2014-03-09"}),
    );
    s.post("/people", json!({"id": s.id("spare_person_id"), "name": s.named("other"), "roles": ["rider", "owner"]}));
    s.post("/people/{child_id}/guardians", json!({"guardian_id": s.id("guardian_id")}));
    for horse in ["horse_id", "pony_id"] {
        let stride = json!({"stride_m": 3.6, "source": "taped", "measured_on": "2026-05-01"});
        s.post(
            "/horses",
            json!({"id": s.id(horse), "name": s.named(horse), "profile": "horse", "normal_stride": stride}),
        );
    }
    s.post(
        "/horses/{horse_id}/ownerships",
        json!({"id": s.id("ownership_id"), "person_id": s.id("owner_id"), "kind": "owner"}),
    );
    let pairing = |s: &Steps, id: &str, rider: &str| json!({"id": s.id(id), "rider_id": s.id(rider), "level": "usual", "up_to_height_cm": 100});
    s.post("/horses/{horse_id}/pairings", pairing(s, "pairing_id", "rider_id"));
    s.post("/horses/{pony_id}/pairings", pairing(s, "pony_pairing_id", "child_id"));
    // what goes with a person who leaves
    s.post("/horses/{pony_id}/pairings", pairing(s, "spare_pairing_id", "spare_person_id"));
    s.post(
        "/horses/{pony_id}/ownerships",
        json!({"id": s.id("spare_ownership_id"), "person_id": s.id("spare_person_id"), "kind": "lessee"}),
    );
    for spare in ["", "spare_"] {
        let id = |thing: &str| s.id(&format!("{spare}{thing}"));
        let arena = json!({"id": id("arena_id"), "name": s.named("arena"), "length_m": 60, "width_m": 25,
            "sessions_at_once": 2});
        let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
        let set = json!({"id": id("fence_set_id"), "name": s.named("set"), "items": items});
        let exercise = json!({"id": id("exercise_id"), "name": s.named("two"), "purpose": s.named("wait"), "revision": layout(&id("arena_id"), s.contrary)});
        s.post("/arenas", arena);
        s.post("/fence-sets", set);
        s.post("/exercises", exercise);
    }
    s.post("/horses/{horse_id}/workload-limits", json!({"id": s.id("workload_limit_id"), "kind": "clear_days_after_efforts",
        "min_efforts": 90, "clear_days": 1, "hard": false, "source": "trainer", "note": s.named("limit"), "valid_from": "2026-01-01"}));
    s.post(
        "/horses/{horse_id}/outings",
        json!({"id": s.id("outing_id"), "kind": "lesson", "on_date": "2026-05-28",
        "planned_efforts": 6, "planned_height_cm": 80, "note": s.named("away")}),
    );
    s.post(
        "/horses/{horse_id}/outings",
        json!({"id": s.id("spare_outing_id"), "kind": "competition_round", "on_date": "2026-06-15",
        "planned_efforts": 12, "planned_height_cm": 90}),
    );
    s.post("/invitations", json!({"id": s.id("invitation_id"), "name": s.named("guest"), "roles": ["rider"]}));
    let welcome =
        s.post("/invitations", json!({"id": s.id("welcome_id"), "name": s.named("guest"), "roles": ["rider"]}));
    let secret = welcome["secret"].as_str().unwrap().to_owned();
    s.trio.welcomes.borrow_mut().insert(s.twin.id.clone(), secret);
}

fn sessions(s: &mut Steps) {
    let trio = s.trio;
    let entry = json!({"id": s.id("entry_id"), "horse_id": s.id("horse_id"), "rider_id": s.id("rider_id"),
        "planned_efforts": 8, "planned_height_cm": 80, "asks": [{"line": "1-2", "asked": 5}]});
    let ridden = json!({"starts_at": "2026-06-01T07:00:00Z", "ends_at": "2026-06-01T09:00:00Z", "note": s.named("note"),
        "exercise_id": s.id("exercise_id"), "revision": 1, "fence_set_id": s.id("fence_set_id"), "entries": [entry]});
    s.post("/sessions", s.session("session_id", 1, ridden));
    s.post("/sessions", s.session("joined_id", 9, json!({"places": 3})));
    let deputy = s.id("deputy_id");
    s.post("/sessions", s.session("beside_id", 9, json!({"trainer_id": deputy, "adult_id": deputy})));
    let past = json!({"id": s.id("past_entry_id"), "horse_id": s.id("pony_id"), "rider_id": s.id("spare_person_id")});
    let past = json!({"kind": "flat", "entries": [past], "starts_at": "2026-05-30T09:00:00Z", "ends_at": "2026-05-30T10:00:00Z"});
    s.post("/sessions", s.session("past_id", 1, past));
    let closed = json!({"id": s.id("closed_entry_id"), "horse_id": s.id("horse_id"), "rider_id": s.id("rider_id"),
        "planned_efforts": 4, "planned_height_cm": 70});
    let closed = json!({"entries": [closed], "starts_at": "2026-05-29T09:00:00Z", "ends_at": "2026-05-29T10:00:00Z"});
    s.post("/sessions", s.session("closed_id", 1, closed));
    s.patch("/sessions/{closed_id}", json!({"status": "closed"}));
    for (id, day, entry, horse, rider) in [
        ("later_id", 20, "later_entry_id", "horse_id", "rider_id"),
        ("last_id", 22, "last_entry_id", "pony_id", "spare_person_id"),
    ] {
        let entry = json!({"id": s.id(entry), "horse_id": s.id(horse), "rider_id": s.id(rider), "planned_efforts": 5, "planned_height_cm": 70});
        s.post("/sessions", s.session(id, day, json!({"entries": [entry]})));
    }
    s.post(
        "/sessions/{session_id}/rail-links",
        json!({"id": s.id("rail_link_id"), "label": s.named("gate"), "expires_at": "2026-06-01T12:00:00Z"}),
    );
    s.by(
        Who::Deputy,
        "POST",
        "/sessions/{session_id}/rail-links",
        json!({"id": s.id("deputy_link_id"), "label": s.named("ring"), "expires_at": "2026-06-01T12:00:00Z"}),
    );
    s.post(
        "/sessions/{session_id}/entries/{entry_id}/rides",
        go(trio.id("ride_id").to_owned(), 1, &["jumped", "rail"]),
    );
}
