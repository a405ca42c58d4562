//! A twin in which everything that a booking is judged by stands against it.
use super::steps::{Steps, layout, people_and_things};
use super::trio::{Trio, Twin};
use stridewright_tests::{Value, json};

/// Fills a barn with the same ids, so that whoever looks here by mistake must refuse, or count what is not theirs.
pub fn fill(trio: &Trio, twin: &Twin) {
    let mut s = Steps { trio, twin, contrary: true, answers: Vec::new() };
    people_and_things(&mut s);
    taken(&mut s);
    s.patch("", json!({"time_zone": "Pacific/Honolulu", "riders_confirm": false}));
    let hours = json!([{"weekday": "sunday", "opens": "01:00", "closes": "02:00"}]);
    s.patch("/arenas/{arena_id}", json!({"hours": hours, "sessions_at_once": 1}));
    s.patch(
        "/horses/{horse_id}",
        json!({"limit_preset": "young", "green": true, "mover": "short",
        "normal_stride": {"stride_m": 3.3, "source": "counted", "measured_on": "2026-05-02"}}),
    );
    s.patch("/horses/{horse_id}/pairings/{pairing_id}", json!({"level": "novice", "up_to_height_cm": 30}));
    s.post(
        "/horses/{horse_id}/workload-limits",
        json!({"id": trio.other("hard limit"), "kind": "max_efforts_per_day", "value": 1, "hard": true, "source": "trainer"}),
    );
    // the same sessions on other days, one of them cancelled, and the rides of one that the other barn never had
    let flat = |s: &Steps, id: &str, day: u8| {
        let entry = json!({"id": trio.other(&format!("entry of {id}")), "horse_id": s.id("pony_id")});
        let mut session = s.session(id, day, json!({"kind": "flat", "entries": [entry]}));
        session["arena_id"] = s.id("spare_arena_id");
        session
    };
    let mut past = flat(&s, "past_id", 28);
    past["entries"][0]["id"] = s.id("past_entry_id");
    s.post("/sessions", past);
    // in the other barn they have no part in it
    let mut last = flat(&s, "last_id", 27);
    last["adult_id"] = s.id("rider_id");
    last["entries"][0] =
        json!({"id": s.id("last_entry_id"), "horse_id": s.id("horse_id"), "rider_id": s.id("rider_id")});
    s.post("/sessions", last);
    let mut ridden = flat(&s, "session_id", 12);
    ridden["entries"][0]["id"] = s.id("entry_id");
    ridden["entries"][0]["horse_id"] = s.id("horse_id");
    s.post("/sessions", ridden);
    s.post("/sessions", flat(&s, "joined_id", 13));
    s.patch("/sessions/{joined_id}", json!({"status": "cancelled"}));
    let about = json!({"id": trio.id("ride_id"), "kind": "about", "efforts": 60, "height_cm": 120, "at": "2026-06-01T06:00:00Z"});
    s.post("/sessions/{session_id}/entries/{entry_id}/rides", about);
    only_here(&mut s);
    let down = json!({"id": s.id("horse_stand_down_id"), "from_date": "2026-06-01", "scope": "jumping", "source": "trainer",
        "reason": s.named("lame")});
    s.post("/horses/{horse_id}/stand-downs", down);
    let down = json!({"id": s.id("rider_stand_down_id"), "from_date": "2026-06-01", "scope": "riding", "source": "trainer",
        "reason": s.named("hurt")});
    s.post("/people/{person_id}/stand-downs", down);
}

/// Whatever the other barn books is held at that time by sessions that it does not have; and in an arena more of them
/// at once than it will let in.
fn taken(s: &mut Steps) {
    let trio = s.trio;
    let held = |s: &Steps, name: &str, day: u8, more: Value| {
        let mut session = s.session("unknown_id", day, more);
        session["id"] = json!(trio.other(name));
        session["kind"] = json!("flat");
        session
    };
    for day in [9, 20, 22] {
        let entries = json!([{"horse_id": s.id("horse_id")}, {"rider_id": s.id("rider_id")},
            {"horse_id": s.id("pony_id")}, {"rider_id": s.id("spare_person_id")}]);
        let session =
            held(s, &format!("held {day}"), day, json!({"fence_set_id": s.id("fence_set_id"), "entries": entries}));
        s.post("/sessions", session);
    }
    let (deputy, spare) = (s.id("deputy_id"), s.id("spare_arena_id"));
    s.post("/sessions", held(s, "one of two", 25, json!({"arena_id": spare})));
    s.post(
        "/sessions",
        held(s, "two of two", 25, json!({"arena_id": spare, "trainer_id": deputy, "adult_id": deputy})),
    );
}

/// Things that other barns do not have, which they must not be able to name; and as many wards of one guardian as two
/// such barns can have before one more is refused.
fn only_here(s: &mut Steps) {
    let trio = s.trio;
    let id = |thing: &str| json!(trio.other(&format!("{thing} of another barn")));
    s.post("/arenas", json!({"id": id("arena_id"), "name": s.named("arena"), "length_m": 60, "width_m": 25}));
    let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
    s.post("/fence-sets", json!({"id": id("fence_set_id"), "name": s.named("set"), "items": items}));
    let revision = layout(&id("arena_id"), true);
    s.post(
        "/exercises",
        json!({"id": id("exercise_id"), "name": s.named("two"), "purpose": s.named("wait"), "revision": revision}),
    );
    s.post(
        "/people",
        json!({"id": id("adult_id"), "name": s.named("adult"), "roles": ["rider"], "birth_date": "1990-03-09"}),
    );
    s.post("/horses", json!({"id": id("horse_id"), "name": s.named("horse"), "profile": "horse"}));
    let pairing =
        json!({"id": id("pairing_id"), "rider_id": s.id("child_id"), "level": "usual", "up_to_height_cm": 100});
    s.post("/horses/{horse_id}/pairings", pairing);
    for _ in 0..24 {
        let child =
            s.post("/people", json!({"name": s.named("ward"), "roles": ["rider"], "minor": true}))["id"].clone();
        let guardians = format!("/people/{}/guardians", child.as_str().unwrap());
        s.post(&guardians, json!({"guardian_id": s.id("guardian_id")}));
    }
}
