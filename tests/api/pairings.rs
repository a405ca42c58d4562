//! Whose a horse is, and who rides it.
use stridewright_tests::client::fresh;
use stridewright_tests::{Value, json, on_both};

on_both! {
    fn an_owner_knows_their_horse_while_they_own_it(world) {
        let (owner, rider) = (world.owner(), world.rider());
        let horse = world.at(&format!("horses/{}", world.horse("Bramble")));
        let ownerships = format!("{horse}/ownerships");
        owner.get(&horse).refused(404, "not_found");
        let body = |person: &str| json!({"person_id": person, "kind": "lessee"});
        let refused = world.trainer.post(&ownerships, body(&rider.person_id)).refused(409, "at_odds");
        assert_eq!((refused.pointers(), &refused["errors"][0]["code"]), (vec!["/person_id".to_owned()], &json!("invalid")));
        for stranger in [fresh(), world.elsewhere().trainer.person_id.clone()] {
            let refused = world.trainer.post(&ownerships, body(&stranger)).refused(409, "at_odds");
            assert_eq!(refused["errors"][0]["code"], "not_found");
        }
        let made = world.trainer.post(&ownerships, body(&owner.person_id)).expect(201);
        assert_eq!((&made["kind"], &made["person_id"]), (&json!("lessee"), &json!(owner.person_id)));
        world.trainer.post(&ownerships, body(&owner.person_id)).refused(409, "conflict");
        owner.get(&horse).expect(200);
        assert_eq!(owner.get(&ownerships).expect(200).each("id"), [json!(made.id())]);
        owner.post(&ownerships, body(&owner.person_id)).refused(403, "forbidden");
        rider.get(&ownerships).refused(404, "not_found");

        let one = made.header("location");
        owner.delete(&one, "\"v1\"").refused(403, "forbidden");
        world.trainer.ask("DELETE", &one).send().refused(428, "if_match_required");
        world.trainer.delete(&one, "\"v1\"").expect(204);
        world.trainer.get(&one).refused(404, "not_found");
        owner.get(&horse).refused(404, "not_found");
        assert_eq!(world.trainer.get(&ownerships).expect(200).items().len(), 0);
        world.trainer.post(&ownerships, body(&owner.person_id)).expect(201);
    }

    fn a_rider_sees_their_own_pairing(world) {
        let (one, two, owner) = (world.rider(), world.rider(), world.owner());
        let (bramble, thistle) = (world.horse("Bramble"), world.horse("Thistle"));
        let path = |horse: &str| world.at(&format!("horses/{horse}/pairings"));
        let body = |person: &str| json!({"rider_id": person, "level": "novice", "up_to_height_cm": 80});
        let refused = world.trainer.post(&path(&bramble), body(&owner.person_id)).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/rider_id"]);
        let refused = world.trainer.post(&path(&bramble), json!({"rider_id": fresh(), "level": "expert", "up_to_height_cm": 251}));
        assert_eq!(refused.refused(422, "invalid_body").pointers(), ["/level", "/up_to_height_cm"]);
        let refused = world.trainer.post(&path(&bramble), body(&world.elsewhere().trainer.person_id)).refused(409, "at_odds");
        assert_eq!(refused["errors"][0]["code"], "not_found");

        let first = world.trainer.post(&path(&bramble), body(&one.person_id)).expect(201);
        world.trainer.post(&path(&bramble), body(&one.person_id)).refused(409, "conflict");
        let second = world.trainer.post(&path(&bramble), body(&two.person_id)).expect(201);
        let third = world.trainer.post(&path(&thistle), body(&two.person_id)).expect(201);
        let ids = |list: &[&str]| list.iter().map(|id| json!(id)).collect::<Vec<Value>>();
        let (first_id, second_id, third_id) = (first.id(), second.id(), third.id());
        let mut all = ids(&[&first_id, &second_id]);
        all.sort_by_key(Value::to_string);
        assert_eq!(world.trainer.get(&path(&bramble)).expect(200).each("id"), all);
        assert_eq!(one.get(&path(&bramble)).expect(200).each("id"), ids(&[&first_id]));
        one.get(&path(&thistle)).refused(404, "not_found");
        one.get(&second.header("location")).refused(404, "not_found");
        let of_two = world.at(&format!("pairings?rider_id={}", two.person_id));
        assert_eq!(world.trainer.get(&of_two).expect(200).items().len(), 2);
        assert_eq!(one.get(&of_two).expect(200).items().len(), 0);
        assert_eq!(one.get(&world.at("pairings")).expect(200).each("id"), ids(&[&first_id]));
        assert_eq!(owner.get(&world.at("pairings")).expect(200).items().len(), 0);
        let owning = json!({"person_id": owner.person_id, "kind": "owner"});
        world.trainer.post(&world.at(&format!("horses/{thistle}/ownerships")), owning).expect(201);
        assert_eq!(owner.get(&world.at("pairings")).expect(200).each("id"), ids(&[&third_id]));

        let mine = first.header("location");
        one.patch(&mine, "\"v1\"", json!({"level": "schooled"})).refused(403, "forbidden");
        let changed = world.trainer.patch(&mine, "\"v1\"", json!({"level": "schooled", "up_to_height_cm": 110})).expect(200);
        assert_eq!((&changed["level"], &changed["up_to_height_cm"]), (&json!("schooled"), &json!(110)));
        world.trainer.patch(&mine, "\"v1\"", json!({"level": "usual"})).refused(412, "changed_meanwhile");
        world.trainer.delete(&mine, "\"v2\"").expect(204);
        one.get(&world.at(&format!("horses/{bramble}"))).refused(404, "not_found");
    }
}
