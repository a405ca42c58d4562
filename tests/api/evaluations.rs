//! Lines and group distances, reckoned without being saved.
use stridewright_tests::{Answer, Client, Value, json, on_both};

fn near(value: &Value, expected: f64, within: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - expected).abs() <= within, "{value} instead of {expected}");
}

/// Nothing is created, so no Idempotency-Key is asked for.
fn reckon(client: &Client, path: &str, body: &Value) -> Answer {
    client.ask("POST", path).json(body).send()
}

on_both! {
    fn the_card_of_a_line(world) {
        let body = json!({"distance": "84 ft", "first_height_cm": 100, "second_height_cm": 100,
            "room_before_m": 20.0, "step_m": 0.9144});
        let card = reckon(&world.trainer, "/api/v1/lines", &body).expect(200);
        // 84 ft less 12 ft of landing and take-off are six strides of 12 ft (US Equestrian distance charts)
        assert_eq!(card["natural_count"], json!(6));
        near(&card["distance_m"], 25.6032, 1e-9);
        assert_eq!(card["distance_text"], json!("84 ft (25.60 m)"));
        assert_eq!(card["on_foot"]["whole"], json!(28));
        assert!(card["between_counts"]["finding"].is_null());
        let counts = card["counts"].as_array().unwrap();
        assert_eq!(counts.iter().map(|c| c["count"].as_u64().unwrap()).collect::<Vec<_>>(), [6, 7]);
        let [six, seven] = [&counts[0], &counts[1]];
        near(&six["stride_m"], 3.6576, 1e-9);
        assert_eq!((&six["natural"], &six["band"]), (&json!(true), &json!(1)));
        near(&six["speed_m_per_min"], 370.0, 1e-9);
        near(&six["speed_off_percent"], 8.0, 1e-9);
        near(&six["pace_mark"]["mark_m"], 7.5 * 3.6576, 1e-9);
        assert_eq!(six["pace_mark"]["fits"], json!(false));
        near(&seven["percent"], 100.0 * (6.0 / 7.0 - 1.0), 1e-9);
        assert_eq!(seven["band"], json!(2));
        near(&seven["count_in_gate"]["between_markers_m"], 21.9456, 1e-9);
    }

    fn a_distance_between_two_counts_names_those_that_ride_true(world) {
        let body = json!({"distance_m": 20.1168, "first_height_cm": 100, "second_height_cm": 100, "level": "novice"});
        let card = reckon(&world.trainer, "/api/v1/lines", &body).expect(200);
        let between = &card["between_counts"];
        assert_eq!((&between["finding"], &between["weight"]), (&json!("between_counts"), &json!("stop")));
        assert_eq!((&between["shorter_text"], &between["longer_text"]), (&json!("60 ft (18.29 m)"), &json!("72 ft (21.95 m)")));
    }

    fn what_is_typed_is_understood_or_refused_never_guessed(world) {
        let ask = |distance: Value| {
            let mut body = json!({"first_height_cm": 80, "second_height_cm": 80});
            body.as_object_mut().unwrap().extend(distance.as_object().unwrap().clone());
            reckon(&world.trainer, "/api/v1/lines", &body)
        };
        near(&ask(json!({"distance": "72'6\""})).expect(200)["distance_m"], 22.098, 1e-9);
        near(&ask(json!({"distance": "17.5 m"})).expect(200)["distance_m"], 17.5, 1e-9);
        for (fault, pointer) in [
            (json!({"distance": "69"}), "/distance"),
            (json!({"distance": "69 \u{7}"}), "/distance"),
            (json!({"distance": "69\tft"}), "/distance"),
            (json!({"distance": "69 ft", "distance_m": 21.0}), "/distance"),
            (json!({"distance": null, "distance_m": 21.0}), "/distance"),
            (json!({}), "/distance_m"),
            (json!({"distance_m": 0.0}), "/distance_m"),
            (json!({"distance_m": 200.1}), "/distance_m"),
            (json!({"distance_m": "69 ft"}), "/distance_m"),
            (json!({"distance_m": 21.0, "horse": {"normal_stride_m": 9.0}}), "/horse/normal_stride_m"),
            (json!({"distance_m": 21.0, "step_m": 0.0}), "/step_m"),
        ] {
            let refused = ask(fault.clone()).refused(422, "invalid_body");
            assert_eq!(refused.pointers(), [pointer], "{fault}");
            assert!(!refused["errors"][0]["message"].as_str().unwrap().contains(char::is_control), "{fault}");
        }
        for (fault, pointer) in [
            (json!({"distance": "0 ft"}), "/distance"),
            (json!({"distance": "201 m"}), "/distance"),
            (json!({"distance": "99999999999 m"}), "/distance"),
            (json!({"distance_m": 21.0, "horse": {"shortest_m": 4.0, "longest_m": 3.0}}), "/horse/shortest_m"),
        ] {
            assert_eq!(ask(fault.clone()).refused(409, "at_odds").pointers(), [pointer], "{fault}");
        }
    }

    fn whoever_is_signed_in_may_reckon_and_nobody_else(world) {
        let body = json!({"distance_m": 21.0, "first_height_cm": 80, "second_height_cm": 80});
        reckon(&world.anonymous(), "/api/v1/lines", &body).refused(401, "unauthenticated");
        reckon(&world.elsewhere().trainer, "/api/v1/lines", &body).expect(200);
        reckon(&world.elsewhere().trainer, &world.at("lines"), &body).refused(404, "not_found");
    }

    fn a_distance_for_a_group(world) {
        let body = json!({
            "members": [{"label": "Bramble"}, {"label": "Pip", "horse": {"profile": "large_pony"}},
                {"label": "Dot", "horse": {"profile": "small_pony"}}],
            "distance_min_m": 17.0, "distance_max_m": 25.0, "first_height_cm": 80, "second_height_cm": 80
        });
        let answer = reckon(&world.trainer, "/api/v1/group-distances", &body).expect(200);
        let rides = answer["rides"].as_array().unwrap();
        assert_eq!(rides.iter().map(|r| r["label"].as_str().unwrap()).collect::<Vec<_>>(), ["Bramble", "Pip", "Dot"]);
        // every member stands at exactly one distance, and rides there within a tenth of its normal stride
        let mut members: Vec<u64> = Vec::new();
        for distance in answer["distances"].as_array().unwrap() {
            members.extend(distance["members"].as_array().unwrap().iter().map(|m| m.as_u64().unwrap()));
        }
        members.sort_unstable();
        assert_eq!(members, [0, 1, 2]);
        assert!(rides.iter().all(|r| r["percent"].as_f64().unwrap().abs() <= 10.0 + 1e-6));
        assert_eq!(answer["rolls"], json!(answer["distances"].as_array().unwrap().len() - 1));
        // 80 cm take 0.375 strides of room a side and 0.125 more on the way from 45 cm to a metre; poles a quarter
        let room = |ride: &Value, design: f64| {
            let number = |field: &str| ride[field].as_f64().unwrap();
            (number("distance_m") - number("count") * number("stride_m")) / design / 2.0
        };
        near(&json!(room(&rides[0], 3.6576)), 0.375 + 0.125 * 35.0 / 55.0, 1e-9);
        near(&json!(room(&rides[2], 3.048)), 0.375 + 0.125 * 35.0 / 55.0, 1e-9);
        let mut poles = body.clone();
        poles["members"][0]["set_as"] = json!("poles");
        let poles = reckon(&world.trainer, "/api/v1/group-distances", &poles).expect(200);
        near(&json!(room(&poles["rides"][0], 3.6576)), 0.25, 1e-9);
        near(&json!(room(&poles["rides"][1], 3.429)), 0.375 + 0.125 * 35.0 / 55.0, 1e-9);
        // nobody is served between bounce and one stride
        let mut close = body.clone();
        (close["distance_min_m"], close["distance_max_m"]) = (json!(1.0), json!(1.5));
        let none = reckon(&world.trainer, "/api/v1/group-distances", &close).expect(200);
        assert_eq!((&none["unserved"], &none["rides"][0]["served"]), (&json!([0, 1, 2]), &json!(false)));
        let refused = |change: Value, pointer: &str| {
            let mut body = body.clone();
            body.as_object_mut().unwrap().extend(change.as_object().unwrap().clone());
            let answer = reckon(&world.trainer, "/api/v1/group-distances", &body);
            assert_eq!(answer.pointers(), [pointer]);
            answer
        };
        refused(json!({"members": []}), "/members").refused(422, "invalid_body");
        refused(json!({"members": vec![json!({}); 13]}), "/members").refused(422, "invalid_body");
        refused(json!({"distance_min_m": 30.0}), "/distance_min_m").refused(409, "at_odds");
        refused(json!({"distance_max_m": 201.0}), "/distance_max_m").refused(422, "invalid_body");
        refused(json!({"served_ratio": 0.9}), "/served_ratio").refused(422, "invalid_body");
        refused(json!({"members": [{"horse": {"calibration": 2.0}}]}), "/members/0/horse/calibration")
            .refused(422, "invalid_body");
    }

    fn horses_of_the_barn_bring_their_own_strides(world) {
        let stride = json!({"stride_m": 3.4, "source": "taped", "measured_on": "2026-05-01"});
        let short = world.make("horses", json!({"name": "Wren", "profile": "horse", "normal_stride": stride}));
        let usual = world.horse("Bramble");
        let line = |horse: &str| json!({"horse_id": horse, "distance_m": 21.9456, "first_height_cm": 100, "second_height_cm": 100});
        let card = reckon(&world.trainer, &world.at("lines"), &line(&short)).expect(200);
        near(&card["normal_stride_m"], 3.4, 1e-12);
        near(&card["real_count"], (21.9456 - 3.6576) / 3.4, 1e-9);
        // nothing was ridden: the range is the assumed one, a quarter shorter and a tenth longer on the log scale
        near(&card["shortest_m"], 3.4 * (-0.25f64).exp(), 1e-6);
        near(&card["longest_m"], 3.4 * 0.10f64.exp(), 1e-6);
        let group = json!({"members": [{"horse_id": short}, {"horse_id": usual}],
            "distance_min_m": 17.0, "distance_max_m": 25.0, "first_height_cm": 80, "second_height_cm": 80});
        let answer = reckon(&world.trainer, &world.at("group-distances"), &group).expect(200);
        assert_eq!(answer["unserved"], json!([]));
        let foreign = world.elsewhere().horse("Elsewhere");
        let mut body = group;
        body["members"][1]["horse_id"] = json!(foreign);
        let refused = reckon(&world.trainer, &world.at("group-distances"), &body).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/members/1/horse_id"]);
        let refused = reckon(&world.trainer, &world.at("lines"), &line(&foreign)).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/horse_id"]);
    }
}
