//! What a body may not hold, shown on horses and true of every resource.
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, World, json, on_both};

fn post(world: &World, body: &[u8]) -> Answer {
    world.trainer.ask("POST", &world.at("horses")).key(&fresh()).bytes("application/json", body).send()
}

on_both! {
    fn every_bad_field_is_named_at_once(world) {
        let body = json!({
            "id": "one", "name": "", "profile": "zebra", "mover": 3, "green": "yes", "limit_preset": "none",
            "normal_stride": {"stride_m": -1, "source": "taped", "measured_on": "2026-02-30"}
        });
        let refused = world.trainer.post(&world.at("horses"), body).refused(422, "invalid_body");
        let expected = [
            "/green", "/id", "/limit_preset", "/mover", "/name", "/normal_stride/measured_on", "/normal_stride/stride_m",
            "/profile",
        ];
        assert_eq!(refused.pointers(), expected);
        assert!(refused["errors"].as_array().unwrap().iter().all(|e| !e["message"].as_str().unwrap().is_empty()));
        let missing = world.trainer.post(&world.at("horses"), json!({"surname": "x", "a/b~c": 1}));
        assert_eq!(missing.refused(422, "invalid_body").pointers(), ["/a~1b~0c", "/name", "/profile", "/surname"]);
        assert_eq!(world.trainer.get(&world.at("horses")).items().len(), 0);
    }

    fn not_json(world) {
        let bodies: [&[u8]; 10] = [
            b"", b"{", b"{\"name\":\"A\",\"name\":\"B\",\"profile\":\"horse\"}", b"{\"name\":\"\\ud800\",\"profile\":\"horse\"}",
            b"{\"name\":\"A\xff\",\"profile\":\"horse\"}", b"{\"name\":1e400,\"profile\":\"horse\"}", b"{\"name\":NaN}",
            b"{\"name\":\"A\",\"profile\":\"horse\"} {}", b"{\"name\":\"A\",\"profile\":\"horse\",}", b"\xef\xbb\xbf{}",
        ];
        for body in bodies {
            let refused = post(world, body).refused(400, "bad_request");
            assert_eq!(refused.pointers(), [""], "{}", String::from_utf8_lossy(body));
        }
        let mut deep = vec![b'['; 5000];
        deep.extend(vec![b']'; 5000]);
        post(world, &deep).refused(400, "bad_request");
    }

    fn not_an_object(world) {
        for body in ["null", "[]", "\"Bramble\"", "7"] {
            assert_eq!(post(world, body.as_bytes()).refused(422, "invalid_body").pointers(), [""], "{body}");
        }
    }

    fn texts_have_bounds(world) {
        let long = "b".repeat(81);
        let as_long_as_may_be = "\u{1F40E}".repeat(80);
        for name in ["\u{0}", "Bram\u{0}ble", "Bram\nble", "Bram\u{7}ble", "   ", long.as_str()] {
            let refused = world.trainer.post(&world.at("horses"), json!({"name": name, "profile": "horse"}));
            assert_eq!(refused.refused(422, "invalid_body").pointers(), ["/name"], "{name:?}");
        }
        let made = world.trainer.post(&world.at("horses"), json!({"name": as_long_as_may_be, "profile": "horse"}));
        assert_eq!(made.expect(201)["name"], as_long_as_may_be);
    }

    fn what_a_refusal_quotes_moves_no_cursor(world) {
        let body = json!({"distance": "69\u{9b} ft", "\u{9b}31m": 1});
        let refused = world.trainer.post("/api/v1/lines", body).refused(422, "invalid_body");
        let quoted: Vec<String> = refused["errors"].as_array().unwrap().iter().map(|error| format!("{error}")).collect();
        assert!(quoted.iter().any(|error| error.contains("is not a unit of length")), "{quoted:?}");
        assert!(refused.pointers().contains(&"/\\u{9b}31m".to_owned()), "{quoted:?}");
        let control = |error: &String| error.chars().any(char::is_control);
        assert!(!quoted.iter().any(control), "{quoted:?}");
    }

    fn too_large(world) {
        let body = vec![b' '; 2 * 1024 * 1024 + 1];
        post(world, &body).refused(413, "too_large");
        let mut fits = vec![b' '; 2 * 1024 * 1024 - 100];
        fits.extend(br#"{"name": "Bramble", "profile": "horse"}"#);
        post(world, &fits).expect(201);
    }

    fn not_said_to_be_json(world) {
        let body = br#"{"name": "Bramble", "profile": "horse"}"#;
        for content_type in ["text/plain", "application/x-www-form-urlencoded", "application/problem+json"] {
            let ask = world.trainer.ask("POST", &world.at("horses")).key(&fresh()).bytes(content_type, body);
            ask.send().refused(415, "unsupported_media_type");
        }
        let ask = world.trainer.ask("POST", &world.at("horses")).key(&fresh());
        ask.bytes("Application/JSON; charset=utf-8", body).send().expect(201);
    }
}
