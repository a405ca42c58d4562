//! What is changed, taken and removed in each of the barns, the same in every one.
use super::steps::{Steps, go, layout};
use super::trio::{Trio, Twin, Who};
use stridewright_tests::{Value, json};

fn with(mut body: Value, more: Value) -> Value {
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    body
}

/// Changes all of it, takes what can be taken, and removes what can be removed.
pub fn change(trio: &Trio, twin: &Twin) -> Vec<String> {
    let mut s = Steps { trio, twin, contrary: false, answers: Vec::new() };
    s.patch("", json!({"name": s.named("downs")}));
    s.post(
        "/lines",
        json!({"distance": "72 ft", "horse_id": s.id("horse_id"), "first_height_cm": 80, "second_height_cm": 80}),
    );
    s.post(
        "/lines",
        json!({"distance": "72 ft", "pairing_id": s.id("pairing_id"), "first_height_cm": 80, "second_height_cm": 80}),
    );
    let mut judged = layout(&s.id("arena_id"), false);
    judged["fence_set_id"] = json!(s.id("fence_set_id"));
    s.post("/evaluations", with(judged.clone(), json!({"horse_id": s.id("horse_id")})));
    s.post("/evaluations", with(judged, json!({"pairing_id": s.id("pairing_id")})));
    let members = json!([{"horse_id": s.id("horse_id"), "first_height_cm": 80, "second_height_cm": 80}]);
    s.post(
        "/group-distances",
        json!({"members": members, "distance_min_m": 18.0, "distance_max_m": 25.0,
        "first_height_cm": 80, "second_height_cm": 80}),
    );
    s.patch("/arenas/{arena_id}", json!({"name": s.named("school"), "length_m": 61}));
    s.patch("/arenas/{spare_arena_id}", json!({"sessions_at_once": 1}));
    s.patch("/fence-sets/{fence_set_id}", json!({"name": s.named("poles")}));
    s.patch("/exercises/{exercise_id}", json!({"name": s.named("three")}));
    s.post("/exercises/{exercise_id}/revisions", layout(&s.id("arena_id"), false));
    s.patch("/horses/{horse_id}", json!({"name": s.named("bay"), "calibration": 1.02}));
    s.patch("/horses/{pony_id}", json!({"limit_preset": "young"}));
    s.patch("/horses/{horse_id}/outings/{outing_id}", json!({"done": {"efforts": 7, "height_cm": 85}}));
    s.patch("/horses/{horse_id}/pairings/{pairing_id}", json!({"up_to_height_cm": 105}));
    s.patch("/horses/{horse_id}/workload-limits/{workload_limit_id}", json!({"clear_days": 2, "note": s.named("lim")}));
    s.patch("/people/{person_id}", json!({"name": s.named("novice")}));
    s.by(
        Who::Rider,
        "POST",
        "/sessions/{joined_id}/entries",
        json!({"horse_id": s.id("horse_id"), "rider_id": s.id("rider_id"),
        "planned_efforts": 6, "planned_height_cm": 80, "id": s.id("requested_id"), "confirm": true}),
    );
    s.patch("/sessions/{session_id}/entries/{entry_id}", json!({"planned_efforts": 9}));
    s.patch("/sessions/{session_id}", json!({"status": "open"}));
    s.by(
        Who::Rider,
        "POST",
        "/sessions/{session_id}/entries/{entry_id}/rides",
        go(trio.other("second go"), 2, &["jumped", "jumped", "refusal"]),
    );
    let mut unnumbered = go(trio.other("third go"), 3, &["rail", "jumped"]);
    unnumbered.as_object_mut().unwrap().remove("go");
    s.post("/sessions/{session_id}/entries/{entry_id}/rides", unnumbered);
    s.post(
        "/rides",
        json!({"rides": [with(go(trio.other("first go again"), 1, &["jumped", "jumped", "jumped"]), json!({"entry_id": s.id("entry_id")}))]}),
    );
    // told late: the rest that is asked about is another
    let late = json!({"id": trio.other("late"), "kind": "about", "efforts": 2});
    s.post("/sessions/{closed_id}/entries/{closed_entry_id}/rides", late);
    s.post("/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/choice", json!({"keep": true}));
    s.post(
        "/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/corrections",
        go(trio.other("corrected"), 1, &["jumped", "jumped"]),
    );
    s.patch("/sessions/{session_id}", json!({"status": "closed"}));
    s.patch("/sessions/{session_id}/entries/{entry_id}", json!({"closing": {"answer": "as_planned"}}));
    stood_down(&mut s);
    elsewhere(&mut s);
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
    s.patch("/people/{deputy_id}", json!({"roles": ["rider"]}));
    s.refused(Who::Trainer, "DELETE", "/people/{trainer_id}", Value::Null, "last_trainer");
    s.delete("/horses/{pony_id}");
    s.delete("/arenas/{spare_arena_id}");
    s.answers
}

/// What stands the horse down flags the joined session, what stands the rider down the later one.
fn stood_down(s: &mut Steps) {
    let down = |s: &Steps, id: &str, free: &str| {
        json!({"id": s.id(id), "from_date": "2026-06-01", "free_from_date": free,
        "scope": "riding", "source": "trainer", "reason": s.named("rest")})
    };
    let (of_horse, of_rider) = ("/horses/{horse_id}/stand-downs", "/people/{person_id}/stand-downs");
    s.post(of_horse, down(s, "horse_stand_down_id", "2026-06-15"));
    s.patch(&format!("{of_horse}/{{stand_down_id}}"), json!({"free_from_date": "2026-06-16"}));
    s.post(
        &format!("{of_horse}/{{stand_down_id}}/clearance"),
        json!({"cleared_on": "2026-06-01", "note": s.named("fit")}),
    );
    s.post(of_rider, down(s, "rider_stand_down_id", "2026-06-25"));
    s.patch(&format!("{of_rider}/{{stand_down_id}}"), json!({"free_from_date": "2026-06-26"}));
    s.post(
        &format!("{of_rider}/{{stand_down_id}}/clearance"),
        json!({"cleared_on": "2026-06-01", "note": s.named("well")}),
    );
}

/// What is, if anywhere, only in other barns: nothing of it can be named here.
fn elsewhere(s: &mut Steps) {
    let only_there = |thing: &str| json!(s.trio.other(&format!("{thing} of another barn")));
    let mut bodies = Vec::new();
    for thing in ["arena_id", "fence_set_id", "exercise_id", "adult_id"] {
        bodies.push(s.session("unknown_id", 28, json!({thing: only_there(thing)})));
    }
    for (horse, rider) in [(only_there("horse_id"), s.id("rider_id")), (s.id("pony_id"), only_there("adult_id"))] {
        bodies.push(s.session("unknown_id", 28, json!({"entries": [{"horse_id": horse, "rider_id": rider}]})));
    }
    for body in bodies {
        s.refused(Who::Trainer, "POST", "/sessions", body, "");
    }
    // a child that rides the horse in no barn but another
    let outing = json!({"kind": "lesson", "on_date": "2026-06-17", "planned_efforts": 1, "rider_id": s.id("child_id")});
    s.refused(Who::Owner, "POST", "/horses/{horse_id}/outings", outing, "");
    let welcome = s.trio.welcomes.borrow()[&s.twin.id].clone();
    let simple = |id: &str| id.replace('-', "");
    for other in s.trio.barns.iter().filter(|barn| barn.id != s.twin.id) {
        let moved = welcome.replace(&simple(&s.twin.id), &simple(&other.id));
        let answer = s.trio.client(Who::Rider).post("/api/v1/me/memberships", json!({"invitation": moved}));
        assert!((400..500).contains(&answer.status), "{}", answer.text());
    }
    let joined = s.trio.client(Who::Rider).post("/api/v1/me/memberships", json!({"invitation": welcome})).expect(201);
    s.answers.push(format!("joined: {}", s.trio.unnamed(s.twin, &joined)));
}
