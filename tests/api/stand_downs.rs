//! Stand-downs of horses and riders, and their clearance.
use stridewright_tests::{Answer, Value, World, json, on_both};

/// The dates of a stand-down, and when it is free.
fn dates(answer: &Answer) -> [Value; 3] {
    ["free_from_date", "cleared_on", "free_from"].map(|field| answer[field].clone())
}

fn down(source: &str, free_from: Option<&str>) -> Value {
    json!({"source": source, "scope": "jumping", "from_date": "2026-05-20", "free_from_date": free_from, "reason": "A knock to the knee."})
}

/// At most so many jumps today.
fn at_most(world: &World, horse: &str) -> Value {
    world.trainer.get(&format!("{horse}/rest")).expect(200)["next_14_days"][0]["at_most"].clone()
}

on_both! {
    fn a_vets_ends_with_a_clearance_only(world) {
        let horse = world.at(&format!("horses/{}", world.horse("Bramble")));
        let made = world.trainer.post(&format!("{horse}/stand-downs"), down("vet", Some("2026-05-28"))).expect(201);
        assert_eq!((dates(&made), &made["needs_clearance"]), ([json!("2026-05-28"), Value::Null, Value::Null], &json!(true)));
        assert_eq!(at_most(world, &horse), json!(0));
        let one = made.header("location");
        for (weaker, pointer) in [("free_from_date", "2026-05-27"), ("from_date", "2026-05-21")] {
            let refused = world.trainer.patch(&one, "\"v1\"", json!({weaker: pointer})).refused(409, "at_odds");
            assert_eq!(refused.pointers(), [format!("/{weaker}")]);
        }
        let stricter = json!({"free_from_date": "2026-05-29", "from_date": "2026-05-19", "scope": "riding"});
        let moved = world.trainer.patch(&one, "\"v1\"", stricter).expect(200);
        let refused = world.trainer.patch(&one, "\"v2\"", json!({"scope": "jumping_and_poles"})).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/scope"]);
        assert_eq!((&moved["free_from"], &moved["scope"]), (&Value::Null, &json!("riding")));
        assert_eq!(at_most(world, &horse), json!(0));

        let clearance = format!("{one}/clearance");
        let clear = |etag: &str, body: Value| world.trainer.ask("POST", &clearance).if_match(etag).json(&body).send();
        world.trainer.post(&clearance, json!({"cleared_on": "2026-05-30"})).refused(428, "if_match_required");
        for day in ["2026-06-02", "2026-05-18"] {
            assert_eq!(clear("\"v2\"", json!({"cleared_on": day})).refused(409, "at_odds").pointers(), ["/cleared_on"]);
        }
        let cleared = clear("\"v2\"", json!({"cleared_on": "2026-05-30", "note": "Sound on both reins."})).expect(200);
        assert_eq!(dates(&cleared), [json!("2026-05-29"), json!("2026-05-30"), json!("2026-05-30")]);
        assert_eq!(cleared["clearance_note"], "Sound on both reins.");
        assert_eq!(at_most(world, &horse), json!(30));
        clear("\"v3\"", json!({"cleared_on": "2026-05-31"})).refused(409, "wrong_state");
        world.trainer.patch(&one, "\"v3\"", json!({"free_from_date": null})).refused(409, "wrong_state");
    }

    fn others_end_by_date(world) {
        let horse = world.at(&format!("horses/{}", world.horse("Bramble")));
        let list = format!("{horse}/stand-downs");
        let open = world.trainer.post(&list, down("farrier", None)).expect(201);
        assert_eq!((at_most(world, &horse), &open["needs_clearance"]), (json!(0), &json!(false)));
        let one = open.header("location");
        world.trainer.patch(&one, "\"v1\"", json!({"free_from_date": "2026-06-01"})).expect(200);
        assert_eq!(at_most(world, &horse), json!(30));
        let refused = world.trainer.patch(&one, "\"v2\"", json!({"from_date": "2026-06-02"})).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/free_from_date"]);
        world.trainer.patch(&one, "\"v2\"", json!({"free_from_date": null})).expect(200);
        let cleared = world.trainer.ask("POST", &format!("{one}/clearance")).if_match("\"v3\"").json(&json!({"cleared_on": "2026-06-01"})).send();
        assert_eq!(dates(&cleared.expect(200)), [json!("2026-06-01"), json!("2026-06-01"), json!("2026-06-01")]);
        assert_eq!(at_most(world, &horse), json!(30));
        assert_eq!(world.trainer.get(&list).expect(200).items().len(), 1);
    }

    fn nobody_loosens_anothers(world) {
        let horse = world.horse("Bramble");
        let list = world.at(&format!("horses/{horse}/stand-downs"));
        let (owner, rider, stranger) = (world.owner_of(&horse), world.rider(), world.member(&["rider", "owner"]));
        world.pair(&horse, &rider.person_id);
        world.trainer.post(&list, down("owner", None)).refused(403, "forbidden");
        owner.post(&list, down("trainer", None)).refused(403, "forbidden");
        let owners = owner.post(&list, down("owner", None)).expect(201).header("location");
        let trainers = world.trainer.post(&list, down("trainer", None)).expect(201).header("location");
        let vets = owner.post(&list, down("vet", None)).expect(201).header("location");
        let clear = |who: &stridewright_tests::Client, one: &str| {
            who.ask("POST", &format!("{one}/clearance")).if_match("\"v1\"").json(&json!({"cleared_on": "2026-06-01"})).send()
        };
        world.trainer.patch(&owners, "\"v1\"", json!({"free_from_date": "2026-06-01"})).refused(403, "forbidden");
        clear(&world.trainer, &owners).refused(403, "forbidden");
        owner.patch(&trainers, "\"v1\"", json!({"free_from_date": "2026-06-01"})).refused(403, "forbidden");
        clear(&owner, &trainers).refused(403, "forbidden");
        clear(&world.trainer, &vets).expect(200);
        clear(&owner, &owners).expect(200);
        rider.get(&list).refused(403, "forbidden");
        rider.get(&trainers).refused(403, "forbidden");
        stranger.get(&list).refused(404, "not_found");
        clear(&stranger, &trainers).refused(404, "not_found");
    }

    fn a_riders_reason_is_private(world) {
        let horse = world.horse("Bramble");
        let (owner, rider, other) = (world.owner_of(&horse), world.rider(), world.rider());
        for paired in [&rider, &other] {
            world.pair(&horse, &paired.person_id);
        }
        let list = world.at(&format!("people/{}/stand-downs", rider.person_id));
        for source in ["owner", "farrier"] {
            assert_eq!(world.trainer.post(&list, down(source, None)).refused(409, "at_odds").pointers(), ["/source"]);
        }
        rider.post(&list, down("trainer", None)).refused(403, "forbidden");
        let made = world.trainer.post(&list, down("trainer", Some("2026-05-25"))).expect(201);
        // a rider's, too, ends only with a clearance
        assert_eq!((&made["needs_clearance"], &made["free_from"]), (&json!(true), &Value::Null));
        assert_eq!(rider.get(&list).expect(200).items()[0]["reason"], "A knock to the knee.");
        for outsider in [&owner, &other] {
            outsider.get(&list).refused(404, "not_found");
            outsider.get(&made.header("location")).refused(404, "not_found");
        }
        let rest = world.at(&format!("horses/{horse}/rest?rider_id={}", rider.person_id));
        let seen = rider.get(&rest).expect(200);
        assert_eq!(seen["stand_downs"][0]["reason"], "A knock to the knee.");
        let words = "the rider is stood down from jumping until a clearance is recorded, and not before 2026-05-25";
        assert_eq!(seen["asked"]["reasons_today"][0]["message"], words);
        let hidden = owner.get(&rest).expect(200);
        let reason = json!({"code": "stand_down", "message": "the rider is not available", "day": "2026-06-01", "figure": 1, "limit": 0, "binding": true});
        assert_eq!(hidden["asked"]["reasons_today"], json!([reason]));
        let in_force = json!([{"of_rider": true, "words": "the rider is not available", "scope": null, "from_date": null, "free_from": null}]);
        assert_eq!(hidden["stand_downs"], in_force);
        assert_eq!(other.get(&rest).refused(409, "at_odds").pointers(), ["?rider_id"]);

        // a guardian reads the minor's
        let minor = world.minor();
        let guardian = world.guardian_of(&minor);
        let minors = world.at(&format!("people/{minor}/stand-downs"));
        world.trainer.post(&minors, down("vet", None)).expect(201);
        assert_eq!(guardian.get(&minors).expect(200).items()[0]["reason"], "A knock to the knee.");
        guardian.get(&list).refused(404, "not_found");

        let clearance = format!("{}/clearance", made.header("location"));
        rider.ask("POST", &clearance).if_match("\"v1\"").json(&json!({"cleared_on": "2026-06-01"})).send().refused(403, "forbidden");
        world.trainer.ask("POST", &clearance).if_match("\"v1\"").json(&json!({"cleared_on": "2026-06-01"})).send().expect(200);
        assert_eq!(owner.get(&rest).expect(200)["asked"]["reasons_today"], json!([]));
    }
}
