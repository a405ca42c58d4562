//! A twin in which everything that a booking is judged by stands against it.
use super::steps::{Steps, people_and_things};
use super::trio::{Trio, Twin};
use stridewright_tests::json;

/// Fills a barn with the same ids, so that whoever looks here by mistake must refuse, or count what is not theirs.
pub fn fill(trio: &Trio, twin: &Twin) {
    let mut s = Steps { trio, twin, answers: Vec::new() };
    people_and_things(&mut s);
    s.patch("", json!({"time_zone": "Pacific/Auckland", "riders_confirm": false}));
    s.patch("/arenas/{arena_id}", json!({"hours": [{"weekday": "sunday", "opens": "01:00", "closes": "02:00"}]}));
    s.patch("/horses/{horse_id}", json!({"limit_preset": "young", "green": true, "mover": "short"}));
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
    let mut ridden = flat(&s, "session_id", 12);
    ridden["entries"][0]["id"] = s.id("entry_id");
    ridden["entries"][0]["horse_id"] = s.id("horse_id");
    s.post("/sessions", ridden);
    s.post("/sessions", flat(&s, "joined_id", 13));
    s.patch("/sessions/{joined_id}", json!({"status": "cancelled"}));
    let about = json!({"id": trio.id("ride_id"), "kind": "about", "efforts": 60, "height_cm": 120, "at": "2026-06-01T06:00:00Z"});
    s.post("/sessions/{session_id}/entries/{entry_id}/rides", about);
    let down = json!({"id": s.id("horse_stand_down_id"), "from_date": "2026-06-01", "scope": "jumping", "source": "trainer",
        "reason": s.named("lame")});
    s.post("/horses/{horse_id}/stand-downs", down);
    let down = json!({"id": s.id("rider_stand_down_id"), "from_date": "2026-06-01", "scope": "riding", "source": "trainer",
        "reason": s.named("hurt")});
    s.post("/people/{person_id}/stand-downs", down);
}
