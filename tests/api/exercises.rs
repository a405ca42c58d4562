//! Exercises: revisions that never change, what one go comes to, and layouts that cannot be.
use stridewright_tests::{Value, json, on_both};

fn fence(label: &str, kind: &str, height_cm: u16) -> Value {
    json!({"label": label, "kind": kind, "height_cm": height_cm})
}

fn oxer(label: &str, height_cm: u16) -> Value {
    json!({"label": label, "kind": "oxer", "height_cm": height_cm, "spread_cm": 90})
}

fn line(from: &str, to: &str, distance_m: f64) -> Value {
    json!({"from": from, "to": to, "kind": "straight", "distance_m": distance_m, "measured": "inside_to_inside"})
}

fn element(mut fence: Value, letter: &str) -> Value {
    fence["combination"] = json!({"label": "3", "element": letter});
    fence
}

/// Two fences 66 ft apart.
fn two_fences() -> Value {
    json!({
        "level": "usual",
        "fences": [fence("1", "vertical", 90), oxer("2", 95)],
        "lines": [line("1", "2", 20.1168)]
    })
}

on_both! {
    fn a_new_revision_leaves_the_old_as_it_was(world) {
        let made = world.trainer
            .post(&world.at("exercises"), json!({"name": "Two fences, 66 ft", "revision": two_fences()}))
            .expect(201);
        let first = made["revision"].clone();
        assert_eq!((&first["revision"], &first["efforts"], &first["height_cm"]), (&json!(1), &json!(2), &json!(95)));
        assert_eq!(first["lines"][0]["label"], json!("1-2"));
        assert_eq!(first["lines"][0]["combination"], json!(false));
        let at = world.at(&format!("exercises/{}", made.id()));
        let mut longer = two_fences();
        longer["lines"][0]["distance_m"] = json!(21.0312);
        longer["fences"].as_array_mut().unwrap().push(fence("p", "ground_pole", 0));
        let second = world.trainer.post(&format!("{at}/revisions"), longer).expect(201);
        assert_eq!((&second["revision"], &second["efforts"], &second["pole_passes"]), (&json!(2), &json!(2), &json!(1)));
        assert_eq!(world.trainer.get(&at).expect(200)["revision"], second.json);
        assert_eq!(world.trainer.get(&format!("{at}/revisions/1")).expect(200).json, first);
        assert_eq!(world.trainer.get(&format!("{at}/revisions")).expect(200).each("revision"), [json!(1), json!(2)]);
        world.trainer.get(&format!("{at}/revisions/3")).refused(404, "not_found");
        // the revision moved the exercise on, so the first ETag is stale
        world.trainer.patch(&at, &made.etag(), json!({"purpose": "Waiting"})).refused(412, "changed_meanwhile");
        let renamed = world.trainer.change(&at, json!({"purpose": "Waiting", "name": "Sixty-nine"})).expect(200);
        assert_eq!((&renamed["purpose"], &renamed["revision"]["revision"]), (&json!("Waiting"), &json!(2)));
        world.trainer.patch(&format!("{at}/revisions/1"), "\"v1\"", json!({})).expect(405);
    }

    fn an_impossible_layout_is_refused_with_every_fault(world) {
        let refused = |revision: Value, pointers: &[&str]| {
            let body = json!({"name": "x", "revision": revision});
            let answer = world.trainer.post(&world.at("exercises"), body);
            assert_eq!(answer.pointers(), pointers);
            answer
        };
        let with = |fences: Value, lines: Value| json!({"level": "usual", "fences": fences, "lines": lines});
        refused(
            with(
                json!([fence("1", "vertical", 0), fence("1", "oxer", 90), fence("p", "ground_pole", 25)]),
                json!([line("1", "9", 4.0), line("p", "p", 3.0)]),
            ),
            &[
                "/revision/fences/0/height_cm", "/revision/fences/1/label", "/revision/fences/1/spread_cm",
                "/revision/fences/2/height_cm", "/revision/lines/0/to", "/revision/lines/1/to",
            ],
        )
        .refused(409, "at_odds");
        refused(with(json!([]), json!([line("1", "9", 0.0)])), &["/revision/fences", "/revision/lines/0/distance_m"])
            .refused(422, "invalid_body");
        let double = json!([element(fence("3A", "vertical", 90), "a"), element(oxer("3B", 90), "b")]);
        let mut far = line("3A", "3B", 12.01);
        far["asks"] = json!([3]);
        refused(with(double.clone(), json!([far])), &["/revision/lines/0/asks", "/revision/lines/0/distance_m"])
            .refused(409, "at_odds");
        let mut denied = line("3A", "3B", 7.9);
        denied["combination"] = json!(false);
        refused(with(double.clone(), json!([denied])), &["/revision/lines/0/combination"])
            .refused(409, "at_odds");
        let gap = json!([element(fence("3A", "vertical", 90), "a"), element(oxer("3C", 90), "c")]);
        refused(with(gap, json!([])), &["/revision/fences/0/combination", "/revision/fences/1/combination"])
            .refused(409, "at_odds");
        let good = json!({"name": "A double", "revision": with(double, json!([line("3A", "3B", 7.9)]))});
        let made = world.trainer.post(&world.at("exercises"), good).expect(201);
        assert_eq!(made["revision"]["lines"][0]["combination"], json!(true));
    }

    fn a_placed_layout_stands_inside_its_arena(world) {
        let arena = world.make("arenas", json!({"name": "School", "length_m": 60.0, "width_m": 20.0}));
        let mut revision = two_fences();
        revision["arena_id"] = json!(arena);
        revision["fences"][0]["position"] = json!({"x_m": 20.0, "y_m": 20.5, "heading_deg": 0.0});
        let post = |revision: &Value| {
            world.trainer.post(&world.at("exercises"), json!({"name": "x", "revision": revision}))
        };
        assert_eq!(
            post(&revision).refused(409, "at_odds").pointers(),
            ["/revision/fences/0/position", "/revision/fences/1/position"]
        );
        revision["fences"][0]["position"]["y_m"] = json!(10.0);
        revision["fences"][1]["position"] = json!({"x_m": 40.5, "y_m": 10.0, "heading_deg": 0.0});
        let placed = post(&revision).expect(201).id();
        world.make("exercises", json!({"name": "not placed", "revision": two_fences()}));
        let here = world.trainer.get(&world.at(&format!("exercises?arena_id={arena}"))).expect(200);
        assert_eq!(here.each("id"), [json!(placed)]);
        assert_eq!(world.trainer.get(&world.at("exercises")).expect(200).items().len(), 2);
        let mut nowhere = revision.clone();
        nowhere["arena_id"] = Value::Null;
        assert_eq!(
            post(&nowhere).refused(409, "at_odds").pointers(),
            ["/revision/fences/0/position", "/revision/fences/1/position"]
        );
        // another barn's arena, or one that was removed, is no arena
        let other = world.elsewhere();
        let foreign = other.make("arenas", json!({"name": "Far", "length_m": 60.0, "width_m": 20.0}));
        revision["arena_id"] = json!(foreign);
        assert_eq!(post(&revision).refused(409, "at_odds").pointers(), ["/revision/arena_id"]);
        let at = world.at(&format!("arenas/{arena}"));
        let etag = world.trainer.get(&at).expect(200).etag();
        world.trainer.delete(&at, &etag).expect(204);
        revision["arena_id"] = json!(arena);
        assert_eq!(post(&revision).refused(409, "at_odds").pointers(), ["/revision/arena_id"]);
    }

    fn a_removed_exercise_leaves_the_list_and_keeps_its_revisions(world) {
        let id = world.make("exercises", json!({"name": "Grid", "revision": two_fences()}));
        let at = world.at(&format!("exercises/{id}"));
        let etag = world.trainer.get(&at).expect(200).etag();
        world.trainer.delete(&at, &etag).expect(204);
        assert!(world.trainer.get(&world.at("exercises")).expect(200).items().is_empty());
        world.trainer.get(&format!("{at}/revisions/1")).expect(200);
        world.trainer.post(&format!("{at}/revisions"), two_fences()).refused(409, "wrong_state");
    }
}
