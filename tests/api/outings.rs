//! Outings: planned, warned about, logged, called off.
use stridewright_tests::{Value, json, on_both};

fn lesson(day: &str, efforts: u32) -> Value {
    json!({"kind": "lesson", "on_date": day, "planned_efforts": efforts, "planned_height_cm": 90})
}

on_both! {
    fn planned_and_then_jumped(world) {
        let outings = world.at(&format!("horses/{}/outings", world.horse("Bramble")));
        let both = json!({"kind": "other", "on_date": "2026-06-04", "at": "2026-06-04T09:00:00Z"});
        for (body, pointer, rule) in [
            (json!({"kind": "other"}), "/at", "is required, or else on_date"),
            (both, "/on_date", "must not stand beside at"),
        ] {
            let refused = world.trainer.post(&outings, body).refused(422, "invalid_body");
            assert_eq!((refused.pointers(), &refused["errors"][0]["message"]), (vec![pointer.to_owned()], &json!(rule)));
        }
        let made = world.trainer.post(&outings, lesson("2026-06-01", 20)).expect(201);
        assert_eq!((&made["status"], &made["done"], &made["warnings"]), (&json!("booked"), &Value::Null, &Value::Null));
        let one = made.header("location");
        let moved = world.trainer.patch(&one, "\"v1\"", json!({"at": "2026-06-02T09:00:00Z"})).expect(200);
        assert_eq!((&moved["at"], &moved["on_date"]), (&json!("2026-06-02T09:00:00Z"), &Value::Null));
        let done = json!({"done": {"efforts": 24, "height_cm": 95}});
        let refused = world.trainer.patch(&one, "\"v2\"", done.clone()).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/done"]);
        world.trainer.patch(&one, "\"v2\"", json!({"on_date": "2026-06-01"})).expect(200);
        let closed = world.trainer.patch(&one, "\"v3\"", done).expect(200);
        assert_eq!((&closed["status"], &closed["done"]), (&json!("closed"), &json!({"efforts": 24, "height_cm": 95})));
        world.trainer.patch(&one, "\"v4\"", json!({"done": {"efforts": 18, "height_cm": 95}})).expect(200);
        let listed = world.trainer.get(&outings).expect(200);
        let kept = listed.items().iter().find(|o| o["status"] == "superseded").unwrap();
        assert_eq!((&kept["done"]["efforts"], &kept["superseded_by"]), (&json!(24), &json!(closed.id())));
        let counted = world.trainer.get(&outings.replace("/outings", "/efforts?from=2026-06-01&to=2026-06-01")).expect(200);
        assert!(counted.text().contains("\"logged\":18"), "{}", counted.text());
        let version = format!("{outings}/{}", kept["id"].as_str().unwrap());
        world.trainer.patch(&version, "\"v4\"", json!({"done": {"efforts": 1}})).refused(409, "wrong_state");
        world.trainer.delete(&one, "\"v5\"").refused(409, "wrong_state");

        let other = world.trainer.post(&outings, lesson("2026-06-20", 10)).expect(201).header("location");
        world.trainer.delete(&other, "\"v1\"").expect(204);
        assert_eq!(world.trainer.get(&other).expect(200)["status"], "cancelled");
        world.trainer.patch(&other, "\"v2\"", json!({"planned_efforts": 3})).refused(409, "wrong_state");
        world.trainer.delete(&other, "\"v2\"").refused(409, "wrong_state");
        assert_eq!(world.trainer.get(&outings).expect(200).items().len(), 3);
    }

    fn warned_about_but_refused_under_a_stand_down_only(world) {
        let horse = world.at(&format!("horses/{}", world.horse("Bramble")));
        let outings = format!("{horse}/outings");
        let warned = world.trainer.post(&outings, lesson("2026-06-04", 42)).expect(201);
        let codes: Vec<&Value> = warned["warnings"].as_array().unwrap().iter().map(|w| &w["code"]).collect();
        assert_eq!(codes, [&json!("max_efforts_per_day"), &json!("max_efforts_per_session")]);
        assert_eq!(warned["warnings"][0]["message"], "42 jumps on 2026-06-04; at most 35 a day");
        assert_eq!((&warned["warnings"][0]["binding"], &warned["warnings"][0]["source"]), (&json!(false), &json!("barn_default")));
        let rest = world.trainer.post(&outings, lesson("2026-06-05", 10)).expect(201);
        assert_eq!(rest["warnings"][0]["message"], "one clear day after a day of 20 or more jumps (2026-06-04); no clear days before 2026-06-05");

        let down = json!({"source": "farrier", "scope": "jumping", "from_date": "2026-06-10", "free_from_date": "2026-06-20", "reason": "A lost shoe."});
        world.trainer.post(&format!("{horse}/stand-downs"), down).expect(201);
        let refused = world.trainer.post(&outings, lesson("2026-06-12", 10)).refused(409, "rule_refused");
        assert_eq!((refused.reasons(), &refused["first_allowed_date"]), (vec!["stand_down".to_owned()], &json!("2026-06-20")));
        assert_eq!(refused["reasons"][0]["message"], "the horse is stood down from jumping until 2026-06-20");
        let one = warned.header("location");
        world.trainer.patch(&one, "\"v1\"", json!({"on_date": "2026-06-12"})).refused(409, "rule_refused");
        // flat work elsewhere is none of its business, and neither is a note
        world.trainer.post(&outings, lesson("2026-06-12", 0)).expect(201);
        world.trainer.patch(&one, "\"v1\"", json!({"note": "Take the boots."})).expect(200);
        let early = json!({"from_date": "2026-05-20"});
        world.trainer.change(&format!("{horse}/stand-downs/{}", world.trainer.get(&format!("{horse}/stand-downs")).items()[0]["id"].as_str().unwrap()), early).expect(200);
        // what was jumped is a fact, stand-down or not
        let logged = json!({"kind": "other", "on_date": "2026-05-30", "done": {"efforts": 8}});
        let fact = world.trainer.post(&outings, logged).expect(201);
        assert_eq!((&fact["status"], &fact["done"]), (&json!("closed"), &json!({"efforts": 8, "height_cm": null})));
        let broken = world.trainer.get(&format!("{horse}/rest")).expect(200);
        assert!(broken["violations"].as_array().unwrap().iter().any(|v| v["code"] == "stand_down" && v["day"] == "2026-05-30"));
    }

    fn riders_log_those_of_the_horses_they_ride(world) {
        let horse = world.horse("Bramble");
        let outings = world.at(&format!("horses/{horse}/outings"));
        let (owner, rider, second, stranger) =
            (world.owner_of(&horse), world.rider(), world.rider(), world.member(&["rider", "owner"]));
        for paired in [&rider, &second] {
            world.pair(&horse, &paired.person_id);
        }
        let by = |person: &str| json!({"kind": "competition_round", "show_id": "Autumn show", "rider_id": person, "on_date": "2026-05-30", "done": {"efforts": 11}});
        let made = rider.post(&outings, by(&rider.person_id)).expect(201);
        assert_eq!(made["rider_id"], json!(rider.person_id));
        for unknown in [&second.person_id, &stranger.person_id] {
            let refused = rider.post(&outings, by(unknown)).refused(409, "at_odds");
            assert_eq!((refused.pointers(), &refused["errors"][0]["code"]), (vec!["/rider_id".to_owned()], &json!("not_found")));
        }
        owner.post(&outings, by(&second.person_id)).expect(201);
        assert_eq!(owner.post(&outings, by(&stranger.person_id)).refused(409, "at_odds").pointers(), ["/rider_id"]);
        assert_eq!(world.trainer.post(&outings, by(&owner.person_id)).refused(409, "at_odds").pointers(), ["/rider_id"]);
        // what counts against the horse's limits is changed by whoever said it, its owner or a trainer
        let one = made.header("location");
        second.patch(&one, "\"v1\"", json!({"done": {"efforts": 1}})).refused(403, "forbidden");
        let corrected = rider.patch(&one, "\"v1\"", json!({"done": {"efforts": 12}})).expect(200);
        assert_eq!(corrected["recorded_by"], json!(rider.person_id));
        let by_owner = owner.patch(&one, "\"v2\"", json!({"done": {"efforts": 13}})).expect(200);
        assert_eq!(by_owner["recorded_by"], json!(owner.person_id));
        rider.patch(&one, "\"v3\"", json!({"done": {"efforts": 1}})).refused(403, "forbidden");
        let planned = second.post(&outings, lesson("2026-06-20", 10)).expect(201).header("location");
        rider.delete(&planned, "\"v1\"").refused(403, "forbidden");
        second.delete(&planned, "\"v1\"").expect(204);
        // who rode is for the owner, the trainer and the rider to know
        assert_eq!(second.get(&made.header("location")).expect(200)["rider_id"], Value::Null);
        assert_eq!(owner.get(&made.header("location")).expect(200)["rider_id"], json!(rider.person_id));
        stranger.get(&outings).refused(404, "not_found");
        stranger.post(&outings, by(&stranger.person_id)).refused(404, "not_found");
        world.elsewhere().trainer.get(&outings).refused(404, "not_found");
    }
}
