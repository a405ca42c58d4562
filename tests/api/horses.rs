//! Horses: made, read, listed, changed.
use stridewright_tests::client::fresh;
use stridewright_tests::{Value, json, on_both};

on_both! {
    fn made_and_read(world) {
        let id = fresh();
        let stride = json!({"stride_m": 3.6, "source": "counted", "measured_on": "2026-05-30"});
        let body = json!({
            "id": id, "name": " Bramble ", "profile": "large_pony", "mover": "short", "green": true,
            "limit_preset": "young", "normal_stride": stride
        });
        let made = world.trainer.post(&world.at("horses"), body).expect(201);
        assert_eq!(made.header("location"), world.at(&format!("horses/{id}")));
        assert_eq!(made.version(), "\"v1\"");
        let expected = json!({
            "id": id, "name": "Bramble", "profile": "large_pony", "mover": "short", "green": true, "calibration": 1.0,
            "limit_preset": "young", "normal_stride": stride, "created_at": "2026-06-01T08:00:00Z"
        });
        assert_eq!(made.json, expected);
        let read = world.trainer.get(&made.header("location")).expect(200);
        assert_eq!((read.json.clone(), read.etag()), (expected, made.etag()));
    }

    fn what_is_not_said_is_usual(world) {
        let horse = world.trainer.get(&world.at(&format!("horses/{}", world.horse("Bramble")))).expect(200);
        let fields = ["mover", "green", "limit_preset"].map(|field| horse[field].clone());
        assert_eq!(fields, [json!("usual"), json!(false), json!("established")]);
        assert_eq!(horse["normal_stride"]["source"], "guess");
    }

    fn a_stride_nobody_measured_is_guessed_by_profile_and_mover(world) {
        // ten feet for a small pony, twelve for a horse; a short mover's is a twentieth shorter
        for (profile, mover, stride_m) in [("small_pony", "usual", 3.048), ("horse", "short", 3.47472), ("horse", "big", 3.84048)] {
            let horse = world.make("horses", json!({"name": "Bramble", "profile": profile, "mover": mover}));
            let guessed = world.trainer.get(&world.at(&format!("horses/{horse}"))).expect(200)["normal_stride"].clone();
            assert_eq!((&guessed["source"], &guessed["measured_on"]), (&json!("guess"), &json!("2026-06-01")));
            assert!((guessed["stride_m"].as_f64().unwrap() - stride_m).abs() < 1e-9, "{profile} {mover}: {guessed}");
        }
    }

    fn listed_page_by_page(world) {
        let mut made: Vec<Value> = (0..5).map(|n| json!(world.horse(&format!("Bramble {n}")))).collect();
        made.sort_by_key(Value::to_string);
        let whole = world.trainer.get(&world.at("horses")).expect(200);
        assert_eq!((whole.each("id"), &whole["next_cursor"]), (made.clone(), &Value::Null));
        let mut seen = Vec::new();
        let mut path = world.at("horses?limit=2");
        for size in [2, 2, 1] {
            let page = world.trainer.get(&path).expect(200);
            assert_eq!(page.items().len(), size);
            seen.extend(page.each("id"));
            path = world.at(&format!("horses?limit=2&cursor={}", page["next_cursor"].as_str().unwrap_or_default()));
        }
        assert_eq!(seen, made);
    }

    fn a_query_names_every_fault(world) {
        for (query, pointers) in [
            ("limit=0", vec!["?limit"]),
            ("limit=201", vec!["?limit"]),
            ("limit=2.5&sort=name", vec!["?limit", "?sort"]),
            ("limit=2&limit=3", vec!["?limit"]),
            ("cursor=*", vec!["?cursor"]),
        ] {
            let refused = world.trainer.get(&world.at(&format!("horses?{query}"))).refused(422, "invalid_query");
            assert_eq!(refused.pointers(), pointers, "{query}");
        }
        // written like a cursor, and none that this list gave out
        assert_eq!(world.trainer.get(&world.at("horses?cursor=x")).refused(400, "bad_request").pointers(), ["?cursor"]);
    }

    fn changed(world) {
        let path = world.at(&format!("horses/{}", world.horse("Bramble")));
        let changed = world.trainer.patch(&path, "\"v1\"", json!({"name": "Thistle", "calibration": 1.1})).expect(200);
        assert_eq!((changed.version().as_str(), &changed["name"], &changed["calibration"]), ("\"v2\"", &json!("Thistle"), &json!(1.1)));
        let stride = json!({"stride_m": 3.7, "source": "taped", "measured_on": "2026-06-01"});
        world.trainer.patch(&path, "\"v2\"", json!({"normal_stride": stride})).expect(200);
        let read = world.trainer.get(&path).expect(200);
        assert_eq!((&read["name"], &read["normal_stride"]), (&json!("Thistle"), &stride));
        let wild = world.trainer.patch(&path, "\"v3\"", json!({"calibration": 1.2})).refused(422, "invalid_body");
        assert_eq!(wild.pointers(), ["/calibration"]);
        let future = json!({"stride_m": 3.7, "source": "taped", "measured_on": "2026-06-02"});
        let refused = world.trainer.patch(&path, "\"v3\"", json!({"normal_stride": future})).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/normal_stride/measured_on"]);
        assert_eq!(world.trainer.get(&path).version(), "\"v3\"");
    }

    fn of_another_barn_are_like_none(world) {
        let elsewhere = world.elsewhere();
        let theirs = elsewhere.horse("Bramble");
        let refused = world.trainer.get(&elsewhere.at(&format!("horses/{theirs}"))).refused(404, "not_found");
        for path in [
            world.at(&format!("horses/{theirs}")),
            world.at(&format!("horses/{}", fresh())),
            world.at("horses/bramble"),
            format!("/api/v1/barns/{}/horses", fresh()),
            "/api/v1/nothing".to_owned(),
        ] {
            assert_eq!(world.trainer.get(&path).refused(404, "not_found").bytes, refused.bytes, "{path}");
        }
        let change = world.trainer.patch(&world.at(&format!("horses/{theirs}")), "\"v1\"", json!({"name": "Mine"}));
        assert_eq!(change.refused(404, "not_found").bytes, refused.bytes);
        assert_eq!(world.trainer.get(&world.at("horses")).items().len(), 0);
    }
}
