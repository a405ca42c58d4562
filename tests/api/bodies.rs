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

    fn a_whole_number_is_one_however_it_is_written(world) {
        let arena = |places: &str| {
            let body = format!(r#"{{"name": "School", "length_m": 60, "width_m": 2e1, "sessions_at_once": {places}}}"#);
            world.trainer.ask("POST", &world.at("arenas")).key(&fresh()).bytes("application/json", body.as_bytes()).send()
        };
        for whole in ["2", "2.0", "2e0", "20e-1"] {
            assert_eq!(arena(whole).expect(201)["sessions_at_once"], json!(2), "{whole}");
        }
        for other in ["2.5", "-2", "-0.0", "2e9", "9007199254740993", "1e300", "\"2\"", "true"] {
            assert_eq!(arena(other).refused(422, "invalid_body").pointers(), ["/sessions_at_once"], "{other}");
        }
        assert_eq!(world.trainer.get(&world.at("arenas?limit=1.0")).expect(200).items().len(), 1);
        for limit in ["1.5", "+1", "%201", "1e9", "", "one"] {
            let refused = world.trainer.get(&world.at(&format!("arenas?limit={limit}"))).refused(422, "invalid_query");
            assert_eq!(refused.pointers(), ["?limit"], "{limit}");
        }
    }

    fn ids_and_moments_are_written_in_one_way(world) {
        let horse = |id: &str| world.trainer.post(&world.at("horses"), json!({"id": id, "name": "B", "profile": "horse"}));
        let id = fresh();
        let (bare, braced, named) = (id.replace('-', ""), format!("{{{id}}}"), format!("urn:uuid:{id}"));
        for other in [bare.as_str(), braced.as_str(), named.as_str(), "0", ""] {
            assert_eq!(horse(other).refused(422, "invalid_body").pointers(), ["/id"], "{other}");
        }
        assert_eq!(horse(&id.to_uppercase()).expect(201).id(), id);
        let arena = world.make("arenas", json!({"name": "School", "length_m": 60, "width_m": 20}));
        let taken = |from: &str| {
            let from = from.replace('+', "%2B").replace(' ', "%20");
            world.trainer.get(&world.at(&format!("arenas/{arena}/calendar?from={from}&to=2026-06-05T00:00:00Z")))
        };
        for good in ["2026-06-04T16:00:00Z", "2026-06-04T16:00:00.5+01:00", "2026-06-04T16:00:00.123456789-00:00"] {
            taken(good).expect(200);
        }
        for other in [
            "2026-06-04t16:00:00z", "2026-06-04 16:00:00Z", "2026-06-04T16:00:60Z", "2026-06-04T16:00Z", "2026-06-04T16:00:00",
            "2026-06-04T16:00:00+0100", "2026-06-04T16:00:00,5Z", "2026-06-04T16:00:00.Z", "2026-06-04T24:00:00Z",
            "20260604T160000Z", "2026-02-29T16:00:00Z", "1899-12-31T16:00:00Z", "2200-01-01T00:00:00Z", "2199-12-31T23:30:00-08:00", "1900-01-01T00:30:00+14:00", "0000-01-01T00:00:00Z",
        ] {
            assert_eq!(taken(other).refused(422, "invalid_query").pointers(), ["?from"], "{other}");
        }
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
