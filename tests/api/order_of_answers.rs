//! Which fault of a request is told first: 401, 404, 403, then 413, 415 and 400, then 428, then 422, then 412,
//! then 409. And what does not depend on the resource: methods, ETags, repetitions.
use stridewright_tests::client::fresh;
use stridewright_tests::{json, on_both};

const BAD: &[u8] = b"{";

on_both! {
    fn nobody_is_told_of_their_body(world) {
        let (anonymous, path) = (world.anonymous(), world.at("horses"));
        let answer = anonymous.ask("POST", &path).bytes("text/plain", BAD).send().refused(401, "unauthenticated");
        assert_eq!(answer.header("www-authenticate"), "Bearer");
        for token in ["", "x", "a.b.c", "rail_x", &world.trainer.token.clone().unwrap()[1..]] {
            anonymous.with_token(token).ask("POST", &path).bytes("application/json", BAD).send().refused(401, "unauthenticated");
        }
        let twice = world.trainer.ask("GET", &path).header("Authorization", "Bearer x");
        twice.send().refused(401, "unauthenticated");
        anonymous.get(&world.at("horses/not-an-id")).refused(401, "unauthenticated");
    }

    fn a_stranger_is_told_of_nothing(world) {
        let (stranger, horse) = (world.elsewhere().trainer, world.at(&format!("horses/{}", world.horse("Bramble"))));
        stranger.ask("POST", &world.at("horses")).bytes("text/plain", BAD).send().refused(404, "not_found");
        stranger.ask("PATCH", &horse).bytes("application/json", BAD).send().refused(404, "not_found");
        stranger.get(&world.at("horses?limit=0")).refused(404, "not_found");
    }

    fn a_member_is_told_what_is_not_theirs_to_do(world) {
        let horse_id = world.horse("Bramble");
        let (rider, horse) = (world.rider_of(&horse_id), world.at(&format!("horses/{horse_id}")));
        rider.ask("POST", &world.at("horses")).bytes("text/plain", BAD).send().refused(403, "forbidden");
        rider.get(&horse).expect(200);
        rider.ask("PATCH", &horse).bytes("application/json", BAD).send().refused(403, "forbidden");
        let unknown = world.at(&format!("horses/{}", world.horse("Thistle")));
        rider.ask("PATCH", &unknown).bytes("application/json", BAD).send().refused(404, "not_found");
        assert_eq!(rider.get(&world.at("horses")).each("id"), [horse_id]);
    }

    fn a_change_is_judged_in_order(world) {
        let path = world.at(&format!("horses/{}", world.horse("Bramble")));
        let ask = || world.trainer.ask("PATCH", &path);
        let (bad_field, good) = (json!({"name": ""}), json!({"name": "Thistle"}));
        ask().bytes("text/plain", b"{}").send().refused(415, "unsupported_media_type");
        ask().bytes("application/json", BAD).send().refused(400, "bad_request");
        ask().json(&bad_field).send().refused(428, "if_match_required");
        ask().if_match("\"v9\"").json(&bad_field).send().refused(422, "invalid_body");
        ask().if_match("\"v9\"").json(&good).send().refused(412, "changed_meanwhile");
        let future = json!({"normal_stride": {"stride_m": 3.7, "source": "taped", "measured_on": "2026-06-02"}});
        ask().if_match("\"v9\"").json(&future).send().refused(412, "changed_meanwhile");
        ask().if_match("\"v1\"").json(&future).send().refused(409, "at_odds");
        for malformed in ["W/\"v1\"", "*", "v1", "\"v1", "\"v1\",", "\"abc\"", "\"v1\" \"v2\"", "\"v\"", ""] {
            let refused = ask().if_match(malformed).json(&bad_field).send().refused(400, "bad_request");
            assert_eq!(refused.pointers(), ["If-Match"], "{malformed}");
        }
        ask().if_match("\"v1\"").json(&bad_field).send().refused(422, "invalid_body");
        ask().if_match("\"v0\", \"v1\"").json(&good).send().expect(200);
        ask().if_match("\"v1\"").json(&good).send().refused(412, "changed_meanwhile");
        assert_eq!(world.trainer.get(&path).version(), "\"v2\"");
    }

    fn a_new_thing_is_judged_in_order(world) {
        let (path, taken) = (world.at("horses"), world.horse("Bramble"));
        let ask = || world.trainer.ask("POST", &path);
        ask().bytes("application/json", BAD).send().refused(400, "bad_request");
        ask().json(&json!({"name": ""})).send().refused(400, "idempotency_key_required");
        for key in ["short", "with a space", "ümlaut-ümlaut", &"x".repeat(81)] {
            ask().key(key).json(&json!({"name": ""})).send().refused(400, "idempotency_key_required");
        }
        ask().key(&fresh()).json(&json!({"id": taken, "name": ""})).send().refused(422, "invalid_body");
        let twice = json!({"id": taken, "name": "Thistle", "profile": "horse"});
        ask().key(&fresh()).json(&twice).send().refused(409, "conflict");
        assert_eq!(world.trainer.get(&path).each("name"), ["Bramble"]);
    }

    fn another_method_is_told_which_there_are(world) {
        let horse = world.at(&format!("horses/{}", world.horse("Bramble")));
        for (method, path, allow) in [
            ("PUT", world.at("horses"), "GET, HEAD, POST"),
            ("DELETE", world.at("horses"), "GET, HEAD, POST"),
            ("POST", horse, "GET, HEAD, PATCH, DELETE"),
        ] {
            let refused = world.trainer.ask(method, &path).bytes("application/json", b"{}").send();
            assert_eq!(refused.refused(405, "method_not_allowed").header("allow"), allow, "{method}");
        }
    }

    fn an_unchanged_thing_is_not_sent_again(world) {
        let path = world.at(&format!("horses/{}", world.horse("Bramble")));
        let etag = world.trainer.get(&path).etag();
        let ask = || world.trainer.ask("GET", &path).header("If-None-Match", &etag);
        let same = ask().send().expect(304);
        assert_eq!((same.bytes.len(), same.etag()), (0, etag.clone()));
        world.trainer.change(&path, json!({"green": true})).expect(200);
        ask().send().expect(200);
    }

    fn a_repetition_counts_once(world) {
        let (path, key) = (world.at("horses"), fresh());
        let body = json!({"name": "Bramble", "profile": "horse"});
        let first = world.trainer.ask("POST", &path).key(&key).json(&body).send().expect(201);
        let again = world.trainer.ask("POST", &path).key(&key).json(&body).send().expect(201);
        assert_eq!((again.bytes, again.headers["etag"].clone()), (first.bytes.clone(), first.headers["etag"].clone()));
        assert_eq!(again.headers["location"], first.headers["location"]);
        let other = json!({"name": "Thistle", "profile": "horse"});
        world.trainer.ask("POST", &path).key(&key).json(&other).send().refused(422, "idempotency_key_reused");
        assert_eq!(world.trainer.get(&path).each("name"), ["Bramble"]);
        // a key is one's own, in one barn
        let elsewhere = world.elsewhere();
        elsewhere.trainer.ask("POST", &elsewhere.at("horses")).key(&key).json(&body).send().expect(201);
        assert_eq!(world.trainer.get(&path).items().len(), 1);
    }

    fn a_repetition_is_forgotten_after_a_day(world) {
        let beside = world.server.beside();
        let (trainer, path, key) = (world.trainer.at(&beside.base), world.at("horses"), fresh());
        let send = |trainer: &stridewright_tests::Client| {
            let body = json!({"name": "Bramble", "profile": "horse"});
            trainer.ask("POST", &path).key(&key).json(&body).send().expect(201).id()
        };
        let first = send(&trainer);
        beside.clock.advance_seconds(14 * 60);
        assert_eq!(send(&trainer), first);
        beside.clock.advance_seconds(24 * 3600);
        let trainer = stridewright_tests::barn::sign_in(&trainer, &world.trainer.email).member.client;
        assert_ne!(send(&trainer), first);
    }

    fn a_token_ends(world) {
        let beside = world.server.beside();
        let trainer = world.trainer.at(&beside.base);
        beside.clock.advance_seconds(15 * 60 - 1);
        trainer.get(&world.at("horses")).expect(200);
        beside.clock.advance_seconds(1);
        trainer.get(&world.at("horses")).refused(401, "unauthenticated");
    }

    fn a_refused_request_leaves_no_answer_behind(world) {
        let (path, key) = (world.at("horses"), fresh());
        let ask = || world.trainer.ask("POST", &path).key(&key);
        ask().json(&json!({"name": "", "profile": "horse"})).send().refused(422, "invalid_body");
        ask().json(&json!({"name": "Bramble", "profile": "horse"})).send().expect(201);
    }
}
