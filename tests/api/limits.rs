//! Workload limits: those of a preset, those that people set, and who may.
use crate::ringside::{entry_of, session_of};
use stridewright_tests::{Answer, Value, json, on_both};

/// The words of each limit in a list.
fn words(list: &Answer) -> Vec<String> {
    let mut words: Vec<String> = list.each("words").iter().map(|w| w.as_str().unwrap().to_owned()).collect();
    words.sort();
    words
}

const ESTABLISHED: [&str; 9] = [
    "after more than 28 days without jumping, or a long stand-down, an easy start of 14 days: at most 10 jumps a session and 20 in 7 days",
    "at most 120 cm",
    "at most 220 jumps in 28 days",
    "at most 3 jumping days in 7",
    "at most 30 jumps a session",
    "at most 35 jumps a day",
    "at most 70 jumps in 7 days",
    "one clear day after a day of 20 or more jumps",
    "2 clear days after a day of competition",
];

on_both! {
    fn a_preset_is_a_horses_first_limits(world) {
        let horse = world.at(&format!("horses/{}", world.horse("Bramble")));
        let limits = format!("{horse}/workload-limits");
        let first = world.trainer.get(&limits).expect(200);
        let mut expected: Vec<String> = ESTABLISHED.iter().map(|w| (*w).to_owned()).collect();
        expected.sort();
        assert_eq!(words(&first), expected);
        assert!(first.items().iter().all(|l| l["source"] == "barn_default" && l["binding"] == json!(false)));
        assert!(first.each("valid_from").iter().all(Value::is_null));

        world.trainer.change(&horse, json!({"limit_preset": "lesson_pony"})).expect(200);
        assert_eq!(words(&world.trainer.get(&format!("{limits}?on=2026-05-31")).expect(200)), expected);
        let now = world.trainer.get(&format!("{limits}?on=2026-06-01")).expect(200);
        assert!(words(&now).contains(&"at most 30 jumps a day, counting from 50 cm on".to_owned()), "{}", now.text());
        assert!(now.each("valid_from").iter().all(|day| day == "2026-06-01"));
        // back on the same day: what began today is valid on no day
        world.trainer.change(&horse, json!({"limit_preset": "established"})).expect(200);
        assert_eq!(words(&world.trainer.get(&format!("{limits}?on=2026-06-01")).expect(200)), expected);
        assert_eq!(words(&world.trainer.get(&format!("{limits}?on=2026-05-31")).expect(200)), expected);
    }

    fn each_kind_has_its_own_numbers(world) {
        let limits = world.at(&format!("horses/{}/workload-limits", world.horse("Bramble")));
        for (body, pointers) in [
            (json!({"kind": "max_efforts_per_day"}), vec!["/value"]),
            (json!({"kind": "max_efforts_per_day", "value": 30, "clear_days": 1}), vec!["/clear_days"]),
            (json!({"kind": "clear_days_after_efforts", "value": 30}), vec!["/clear_days", "/min_efforts", "/value"]),
            (json!({"kind": "return_ramp", "ramp_days": 14}), vec!["/after_gap_days", "/max_per_7_days", "/max_per_session"]),
            (json!({"kind": "max_height_cm", "value": 251}), vec!["/value"]),
            (json!({"kind": "max_efforts_per_session", "value": 20, "from_height_cm": 50}), vec!["/from_height_cm"]),
            (json!({"kind": "max_efforts_per_day", "value": 30, "valid_from": "2026-06-02", "valid_to": "2026-06-01"}), vec!["/valid_to"]),
            (json!({"kind": "max_efforts_per_day", "value": 30, "source": "barn_default"}), vec!["/source"]),
        ] {
            let mut whole = json!({"source": "trainer"});
            whole.as_object_mut().unwrap().extend(body.as_object().unwrap().clone());
            let refused = world.trainer.post(&limits, whole.clone()).refused(409, "at_odds");
            assert_eq!(refused.pointers(), pointers, "{whole}");
        }
        let narrow = json!({"kind": "clear_days_after_efforts", "min_efforts": 0, "clear_days": 61, "source": "trainer",
            "valid_from": "0026-06-02"});
        let refused = world.trainer.post(&limits, narrow).refused(422, "invalid_body");
        assert_eq!(refused.pointers(), ["/clear_days", "/min_efforts", "/valid_from"]);
        let ramp = json!({"kind": "return_ramp", "after_gap_days": 20, "ramp_days": 10, "max_per_session": 1,
            "max_per_7_days": 15, "source": "vet", "note": "After the long rest."});
        let made = world.trainer.post(&limits, ramp.clone()).expect(201);
        assert_eq!(made["binding"], json!(true));
        for (field, value) in ramp.as_object().unwrap() {
            assert_eq!(&made[field.as_str()], value, "{field}");
        }
        let changed = world.trainer.patch(&made.header("location"), "\"v1\"", json!({"ramp_days": 21, "note": null})).expect(200);
        assert_eq!((&changed["ramp_days"], &changed["note"], &changed["max_per_session"]), (&json!(21), &Value::Null, &json!(1)));
        let refused = world.trainer.patch(&made.header("location"), "\"v2\"", json!({"value": 3})).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/value"]);
    }

    fn a_barns_default_is_edited_but_stays_soft(world) {
        let limits = world.at(&format!("horses/{}/workload-limits", world.horse("Bramble")));
        let list = world.trainer.get(&limits).expect(200);
        let a_day = list.items().iter().find(|l| l["kind"] == "max_efforts_per_day").unwrap();
        let one = format!("{limits}/{}", a_day["id"].as_str().unwrap());
        let refused = world.trainer.patch(&one, "\"v1\"", json!({"hard": true})).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/hard"]);
        assert_eq!(world.trainer.patch(&one, "\"v1\"", json!({"value": 28})).expect(200)["words"], "at most 28 jumps a day");
        world.trainer.delete(&one, "\"v2\"").expect(204);
        let ended = world.trainer.get(&one).expect(200);
        assert_eq!((&ended["valid_to"], ended.version().as_str()), (&json!("2026-05-31"), "\"v3\""));
        world.trainer.delete(&one, "\"v3\"").refused(409, "wrong_state");
    }

    fn whose_limit_it_is(world) {
        let horse = world.horse("Bramble");
        let limits = world.at(&format!("horses/{horse}/workload-limits"));
        let (owner, rider, stranger) = (world.owner_of(&horse), world.rider(), world.member(&["rider", "owner"]));
        let pairing = json!({"rider_id": rider.person_id, "level": "usual", "up_to_height_cm": 100});
        world.make(&format!("horses/{horse}/pairings"), pairing);
        let of = |source: &str| json!({"kind": "max_efforts_per_day", "value": 12, "source": source, "hard": source != "vet"});

        let theirs = owner.post(&limits, of("owner")).expect(201);
        assert_eq!((&theirs["hard"], &theirs["binding"], &theirs["set_by"]), (&json!(true), &json!(true), &json!(owner.person_id)));
        let one = theirs.header("location");
        world.trainer.get(&one).expect(200);
        world.trainer.patch(&one, "\"v1\"", json!({"value": 100})).refused(403, "forbidden");
        world.trainer.delete(&one, "\"v1\"").refused(403, "forbidden");
        owner.patch(&one, "\"v1\"", json!({"value": 10})).expect(200);
        world.trainer.post(&limits, of("owner")).refused(403, "forbidden");
        let trainers = world.trainer.post(&limits, of("trainer")).expect(201);
        owner.post(&limits, of("trainer")).refused(403, "forbidden");
        owner.patch(&trainers.header("location"), "\"v1\"", json!({"value": 100})).refused(403, "forbidden");
        let vets = owner.post(&limits, of("vet")).expect(201);
        world.trainer.patch(&vets.header("location"), "\"v1\"", json!({"value": 11})).expect(200);
        owner.get(&trainers.header("location")).expect(200);

        rider.get(&limits).refused(403, "forbidden");
        rider.post(&limits, of("trainer")).refused(403, "forbidden");
        stranger.get(&limits).refused(404, "not_found");
        stranger.get(&one).refused(404, "not_found");
        stranger.post(&limits, of("owner")).refused(404, "not_found");
        let other = world.horse("Thistle");
        world.trainer.get(&world.at(&format!("horses/{other}/workload-limits/{}", theirs.id()))).refused(404, "not_found");
    }

    fn a_horse_leaves_when_nothing_is_booked(world) {
        let horse = world.horse("Bramble");
        let path = world.at(&format!("horses/{horse}"));
        let session = session_of(world, "jumping");
        entry_of(world, &session, Some(horse), None, "booked");
        world.trainer.delete(&path, "\"v1\"").refused(409, "wrong_state");
        let other = world.horse("Thistle");
        entry_of(world, &session, Some(other.clone()), None, "cancelled");
        let path = world.at(&format!("horses/{other}"));
        world.trainer.delete(&path, "\"v1\"").expect(204);
        for gone in [path.clone(), format!("{path}/workload-limits"), format!("{path}/rest"), format!("{path}/outings")] {
            world.trainer.get(&gone).refused(404, "not_found");
        }
    }
}
