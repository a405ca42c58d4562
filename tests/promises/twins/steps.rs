//! What is done in each of the barns, the same in every one; answers what came back, without names.
use super::trio::{Trio, Twin, Who};
use stridewright_tests::{Value, json};

pub struct Steps<'a> {
    pub trio: &'a Trio,
    pub twin: &'a Twin,
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
    fn delete(&mut self, template: &str) {
        self.by(Who::Trainer, "DELETE", template, Value::Null);
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

fn layout(arena: &Value) -> Value {
    json!({
        "level": "novice", "arena_id": arena,
        "fences": [{"label": "1", "kind": "vertical", "height_cm": 80, "position": {"x_m": 15.0, "y_m": 12.0, "heading_deg": 0.0}}, {"label": "2", "kind": "vertical", "height_cm": 80, "position": {"x_m": 36.9456, "y_m": 12.0, "heading_deg": 0.0}}],
        "lines": [{"from": "1", "to": "2", "kind": "straight", "distance_m": 21.9456, "measured": "inside_to_inside"}]
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

fn with(mut body: Value, more: Value) -> Value {
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    body
}

/// Fills a barn with one of everything.
pub fn fill(trio: &Trio, twin: &Twin) -> Vec<String> {
    let mut s = Steps { trio, twin, answers: Vec::new() };
    people_and_things(&mut s);
    sessions(&mut s);
    s.answers
}

pub fn people_and_things(s: &mut Steps) {
    s.join(Who::Rider, "rider_id", "rider");
    s.join(Who::Owner, "owner_id", "owner");
    s.join(Who::Guardian, "guardian_id", "owner");
    s.post(
        "/people",
        json!({"id": s.id("child_id"), "name": s.named("child"), "roles": ["rider"], "birth_date": "2014-03-09"}),
    );
    s.post("/people", json!({"id": s.id("spare_person_id"), "name": s.named("other"), "roles": ["rider"]}));
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
    for spare in ["", "spare_"] {
        let id = |thing: &str| s.id(&format!("{spare}{thing}"));
        let arena = json!({"id": id("arena_id"), "name": s.named("arena"), "length_m": 60, "width_m": 25});
        let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
        let set = json!({"id": id("fence_set_id"), "name": s.named("set"), "items": items});
        let exercise = json!({"id": id("exercise_id"), "name": s.named("two"), "purpose": s.named("wait"), "revision": layout(&id("arena_id"))});
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
}

fn sessions(s: &mut Steps) {
    let trio = s.trio;
    let entry = json!({"id": s.id("entry_id"), "horse_id": s.id("horse_id"), "rider_id": s.id("rider_id"),
        "planned_efforts": 8, "planned_height_cm": 80, "asks": [{"line": "1-2", "asked": 5}]});
    let ridden = json!({"starts_at": "2026-06-01T07:00:00Z", "ends_at": "2026-06-01T09:00:00Z", "note": s.named("note"),
        "exercise_id": s.id("exercise_id"), "revision": 1, "fence_set_id": s.id("fence_set_id"), "entries": [entry]});
    s.post("/sessions", s.session("session_id", 1, ridden));
    s.post("/sessions", s.session("joined_id", 9, json!({"places": 3})));
    s.post(
        "/sessions/{session_id}/rail-links",
        json!({"id": s.id("rail_link_id"), "label": s.named("gate"), "expires_at": "2026-06-01T12:00:00Z"}),
    );
    s.post(
        "/sessions/{session_id}/entries/{entry_id}/rides",
        go(trio.id("ride_id").to_owned(), 1, &["jumped", "rail"]),
    );
}

/// Changes all of it, takes what can be taken, and removes what can be removed.
pub fn change(trio: &Trio, twin: &Twin) -> Vec<String> {
    let mut s = Steps { trio, twin, answers: Vec::new() };
    s.patch("", json!({"name": s.named("downs")}));
    s.post(
        "/lines",
        json!({"distance": "72 ft", "horse_id": s.id("horse_id"), "first_height_cm": 80, "second_height_cm": 80}),
    );
    let members = json!([{"horse_id": s.id("horse_id"), "first_height_cm": 80, "second_height_cm": 80}]);
    s.post(
        "/group-distances",
        json!({"members": members, "distance_min_m": 18.0, "distance_max_m": 25.0,
        "first_height_cm": 80, "second_height_cm": 80}),
    );
    s.patch("/arenas/{arena_id}", json!({"name": s.named("school"), "length_m": 61}));
    s.patch("/fence-sets/{fence_set_id}", json!({"name": s.named("poles")}));
    s.patch("/exercises/{exercise_id}", json!({"name": s.named("three")}));
    s.post("/exercises/{exercise_id}/revisions", layout(&s.id("arena_id")));
    s.patch("/horses/{horse_id}", json!({"name": s.named("bay"), "calibration": 1.02}));
    s.patch("/horses/{horse_id}/outings/{outing_id}", json!({"done": {"efforts": 7, "height_cm": 85}}));
    s.patch("/horses/{horse_id}/pairings/{pairing_id}", json!({"up_to_height_cm": 105}));
    s.patch("/horses/{horse_id}/workload-limits/{workload_limit_id}", json!({"clear_days": 2, "note": s.named("lim")}));
    s.patch("/people/{person_id}", json!({"name": s.named("novice")}));
    s.by(
        Who::Rider,
        "POST",
        "/sessions/{joined_id}/entries",
        json!({"horse_id": s.id("horse_id"), "rider_id": s.id("rider_id"),
        "planned_efforts": 6, "planned_height_cm": 80, "id": s.id("requested_id")}),
    );
    s.patch("/sessions/{session_id}/entries/{entry_id}", json!({"planned_efforts": 9}));
    s.patch("/sessions/{session_id}", json!({"status": "open"}));
    s.by(
        Who::Rider,
        "POST",
        "/sessions/{session_id}/entries/{entry_id}/rides",
        go(trio.other("second go"), 2, &["jumped", "jumped", "refusal"]),
    );
    let told = s.post(
        "/rides",
        json!({"rides": [with(go(trio.other("first go again"), 1, &["jumped", "jumped", "jumped"]), json!({"entry_id": s.id("entry_id")}))]}),
    );
    let _ = told;
    s.post("/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/choice", json!({"keep": true}));
    s.post(
        "/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/corrections",
        go(trio.other("corrected"), 1, &["jumped", "jumped"]),
    );
    let down = |s: &Steps, id: &str| {
        json!({"id": s.id(id), "from_date": "2026-06-01", "free_from_date": "2026-06-25",
        "scope": "riding", "source": "trainer", "reason": s.named("rest")})
    };
    s.post("/horses/{horse_id}/stand-downs", down(&s, "horse_stand_down_id"));
    s.patch("/horses/{horse_id}/stand-downs/{stand_down_id}", json!({"free_from_date": "2026-06-26"}));
    s.post(
        "/horses/{horse_id}/stand-downs/{stand_down_id}/clearance",
        json!({"cleared_on": "2026-06-01", "note": s.named("fit")}),
    );
    s.post("/people/{person_id}/stand-downs", down(&s, "rider_stand_down_id"));
    s.patch("/people/{person_id}/stand-downs/{stand_down_id}", json!({"free_from_date": "2026-06-26"}));
    s.post(
        "/people/{person_id}/stand-downs/{stand_down_id}/clearance",
        json!({"cleared_on": "2026-06-01", "note": s.named("well")}),
    );
    s.delete("/sessions/{session_id}/rail-links/{rail_link_id}");
    s.delete("/invitations/{invitation_id}");
    s.delete("/horses/{horse_id}/workload-limits/{workload_limit_id}");
    s.delete("/horses/{horse_id}/outings/{spare_outing_id}");
    s.patch("/sessions/{joined_id}", json!({"status": "cancelled"}));
    s.delete("/people/{child_id}/guardians/{guardian_id}");
    s.delete("/horses/{horse_id}/ownerships/{ownership_id}");
    s.delete("/horses/{horse_id}/pairings/{pairing_id}");
    s.delete("/exercises/{spare_exercise_id}");
    s.delete("/fence-sets/{spare_fence_set_id}");
    s.delete("/people/{spare_person_id}");
    s.delete("/horses/{pony_id}");
    s.delete("/arenas/{spare_arena_id}");
    s.answers
}
