//! Whole layouts, judged without being saved.
use stridewright_tests::{Answer, Client, Value, json, on_both};

/// Twelve feet, the trade's stride (US Equestrian distance charts).
const STRIDE: f64 = 3.6576;

fn near(value: &Value, expected: f64) {
    let value = value.as_f64().unwrap_or_else(|| panic!("{value} is no number"));
    assert!((value - expected).abs() < 1e-6, "{value} instead of {expected}");
}

fn judge(client: &Client, path: &str, body: &Value) -> Answer {
    client.ask("POST", path).json(body).send()
}

fn fence(label: &str, kind: &str, x: f64, y: f64, heading: f64) -> Value {
    let spread = matches!(kind, "oxer" | "triple_bar").then_some(100);
    json!({"label": label, "kind": kind, "height_cm": 100, "spread_cm": spread,
        "position": {"x_m": x, "y_m": y, "heading_deg": heading}})
}

fn line(from: &str, to: &str, kind: &str, distance: f64) -> Value {
    let measured = if kind == "straight" { "inside_to_inside" } else { "centre_to_centre" };
    json!({"from": from, "to": to, "kind": kind, "distance_m": distance, "measured": measured, "asks": [5]})
}

fn laid(fences: &[Value], lines: &[Value]) -> Value {
    json!({"arena": {"length_m": 80.0, "width_m": 40.0}, "fences": fences, "lines": lines})
}

fn with(mut body: Value, more: Value) -> Value {
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    body
}

/// The findings' codes, each with what it is about.
fn found(answer: &Answer) -> Vec<String> {
    let about = |f: &Value| {
        let fences: Vec<&str> = f["fences"].as_array().unwrap().iter().map(|label| label.as_str().unwrap()).collect();
        format!("{} {} {}", f["weight"].as_str().unwrap(), f["code"].as_str().unwrap(), fences.join(","))
    };
    answer["findings"].as_array().unwrap().iter().map(about).collect()
}

const ANY: &str = "/api/v1/evaluations";

on_both! {
    fn a_straight_line_as_it_stands(world) {
        // 72 ft between the inner faces: half the oxer's metre lies beyond its centre
        let fences = [fence("1", "vertical", 28.0, 20.0, 0.0), fence("2", "oxer", 28.0 + 6.0 * STRIDE + 0.5, 20.0, 0.0)];
        let body = laid(&fences, &[line("1", "2", "straight", 6.0 * STRIDE)]);
        let answer = judge(&world.trainer, ANY, &body).expect(200);
        assert_eq!((&answer["fits"], &answer["efforts"], found(&answer).len()), (&json!(true), &json!(2), 0));
        let of = &answer["lines"][0];
        near(&of["track"]["length_m"], 6.0 * STRIDE);
        let counts = of["counts"].as_array().unwrap();
        let told: Vec<(i64, bool)> =
            counts.iter().map(|c| (c["card"]["count"].as_i64().unwrap(), c["asked"].as_bool().unwrap())).collect();
        // five strides of 12 ft, and six of 10: what an unmeasured horse may be asked for
        assert_eq!(told, [(5, true), (6, false)]);
        near(&counts[0]["card"]["stride_m"], STRIDE);
        near(&counts[1]["card"]["stride_m"], STRIDE * 5.0 / 6.0);
        assert_eq!(counts[0]["chance"], Value::Null);
        // two rails each (a pole for every half metre) and a ground line, and the oxer's back rail in safety cups
        let needs = json!({"wings_pairs": 3, "poles": 7, "planks": 0, "fillers": 0, "cups": 8, "safety_cups": 2});
        assert_eq!((&answer["equipment"]["needs"], &answer["equipment"]["lacks"]), (&needs, &Value::Null));
        let short = with(needs.clone(), json!({"poles": 6, "safety_cups": 0}));
        let lacks = judge(&world.trainer, ANY, &with(body.clone(), json!({"fence_set": short}))).expect(200);
        let lacking = json!({"wings_pairs": 0, "poles": 1, "planks": 0, "fillers": 0, "cups": 0, "safety_cups": 2});
        assert_eq!(lacks["equipment"]["lacks"], lacking);
        // stated otherwise than it stands
        let wrong = laid(&fences, &[line("1", "2", "straight", 21.0)]);
        let answer = judge(&world.trainer, ANY, &wrong).expect(200);
        assert_eq!(found(&answer), ["advice not_as_stated 1,2"]);
        near(&answer["findings"][0]["missing_m"], 6.0 * STRIDE - 21.0);
        assert_eq!(answer["findings"][0]["line"], "1-2");
    }

    fn a_bend_is_as_long_as_its_straights_and_its_arcs(world) {
        let fences = [fence("1", "vertical", 25.0, 12.0, 0.0), fence("2", "vertical", 42.0, 30.0, 90.0)];
        let answer = judge(&world.trainer, ANY, &laid(&fences, &[line("1", "2", "bending", 25.0)])).expect(200);
        let counts = answer["lines"][0]["counts"].as_array().unwrap();
        assert!(counts.len() >= 2, "{}", answer.text());
        for count in counts {
            let track = &count["track"];
            let (radius, extra) = (track["radius_m"].as_f64().unwrap(), track["extra_straight_m"].as_f64().unwrap());
            if track["bends"] == "LSL" {
                // a quarter of a circle in all, and between its parts as far as between the two centres, each a
                // radius to the left of where the straights end: a stride after landing, one and a half before take-off
                let (after, before) = (STRIDE + extra, 1.5 * STRIDE + extra);
                let across = (42.0 - radius) - (25.0 + after);
                let between = across.hypot((30.0 - before) - (12.0 + radius));
                near(&track["length_m"], after + std::f64::consts::FRAC_PI_2 * radius + between + before);
                near(&track["turn_deg"], 90.0);
            }
            let rest = track["length_m"].as_f64().unwrap() - STRIDE; // landing and take-off
            near(&count["card"]["stride_m"], rest / count["card"]["count"].as_f64().unwrap());
        }
        assert!(counts.iter().any(|count| count["track"]["bends"] == "LSL"));
        assert!(found(&answer).iter().all(|said| !said.contains("not_as_stated")));
    }

    fn what_does_not_fit_says_what_and_how_to_mend_it(world) {
        let fences = [
            fence("1", "vertical", 28.0, 1.0, 0.0), fence("2", "vertical", 50.0, 1.0, 0.0),
            fence("3", "vertical", 39.0, 3.0, 0.0), fence("4", "wall", 39.5, 2.8, 0.0),
        ];
        let mut body = laid(&fences, &[line("1", "2", "straight", 22.0)]);
        body["arena"]["obstructions"] =
            json!([{"name": "Roof post", "x_m": 49.5, "y_m": 0.0, "length_m": 1.0, "width_m": 1.0}]);
        let answer = judge(&world.trainer, ANY, &body).expect(200);
        let said = found(&answer);
        for wanted in [
            "impossible fence_outside 1", "impossible fence_outside 2", "impossible footprints_overlap 3,4",
            "impossible track_crosses_fence 3", "impossible track_crosses_fence 4", "impossible on_obstruction 2",
            "impossible track_crosses_obstruction ", "advice track_near_wall ",
        ] {
            assert!(said.iter().any(|s| s == wanted), "{wanted}: {said:?}");
        }
        assert_eq!(answer["fits"], json!(false));
        let first_advice = said.iter().position(|s| s.starts_with("advice")).unwrap();
        assert!(said[first_advice..].iter().all(|s| s.starts_with("advice")), "{said:?}");
        // half the rail and a wing: 1.75 and 0.5 m from a centre 1 m off the wall
        let outside = &answer["findings"][said.iter().position(|s| s == "impossible fence_outside 1").unwrap()];
        near(&outside["missing_m"], 1.25);
        assert_eq!(outside["cure"], "Move it in by 4'1\" (1.25 m).");
        for finding in answer["findings"].as_array().unwrap() {
            assert!(finding["words"].as_str().unwrap().len() > 20 && finding["cure"].as_str().unwrap().len() > 15);
        }
    }

    fn room_is_given_by_level_or_as_it_is_chosen(world) {
        let fences = [fence("1", "vertical", 22.0, 20.0, 0.0), fence("2", "vertical", 22.0 + 6.0 * STRIDE, 20.0, 0.0)];
        let body = laid(&fences, &[line("1", "2", "straight", 6.0 * STRIDE)]);
        let codes = |more: Value| found(&judge(&world.trainer, ANY, &with(body.clone(), more)).expect(200));
        // 22 m before it: 11 m and a turn of 7 m leave 4; 15 m and one of 9 want 2 more than there are
        assert_eq!(codes(json!({})), Vec::<String>::new());
        assert_eq!(codes(json!({"level": "novice"})), ["advice approach_short 1"]);
        assert_eq!(codes(json!({"level": "novice", "room": "tight"})), Vec::<String>::new());
        let small = json!({"arena": {"length_m": 80.0, "width_m": 40.0, "indoor": true}});
        assert_eq!(codes(small), Vec::<String>::new());
        let narrow = json!({"arena": {"length_m": 80.0, "width_m": 29.0}});
        let narrow = codes(narrow);
        assert!(narrow.contains(&"advice arena_small ".to_owned()), "{narrow:?}");
    }

    fn both_ways_and_shared_by_horse_and_pony(world) {
        let double = |label: &str, element: &str, x: f64| with(
            fence(label, "vertical", x, 20.0, 0.0), json!({"combination": {"label": "2", "element": element}}),
        );
        let fences =
            [fence("1", "oxer", 22.0, 20.0, 0.0), double("2a", "a", 44.0), double("2b", "b", 51.5)];
        let gap = json!({"from": "2a", "to": "2b", "kind": "straight", "distance_m": 7.5, "measured": "inside_to_inside"});
        let to = line("1", "2a", "straight", 21.5);
        let back = with(line("2a", "1", "straight", 21.5), json!({"from_against": true, "to_against": true}));
        let body = laid(&fences, &[to, gap, back]);
        assert!(!found(&judge(&world.trainer, ANY, &body).expect(200)).iter().any(|s| s.contains("reset_between")));
        let shared = judge(&world.trainer, ANY, &with(body, json!({"shared_with": ["small_pony"]}))).expect(200);
        let said = found(&shared);
        assert!(said.contains(&"advice both_ways 1".to_owned()), "{said:?}");
        assert!(said.contains(&"advice reset_between 2a,2b".to_owned()), "{said:?}");
    }

    fn without_a_place_the_stated_distance_is_judged(world) {
        let mut body = laid(
            &[json!({"label": "1", "kind": "oxer", "height_cm": 100, "spread_cm": 100}),
              json!({"label": "2", "kind": "oxer", "height_cm": 100, "spread_cm": 100})],
            &[with(line("1", "2", "straight", 6.0 * STRIDE + 1.0), json!({"measured": "centre_to_centre"}))],
        );
        body.as_object_mut().unwrap().remove("arena");
        let answer = judge(&world.trainer, ANY, &body).expect(200);
        assert_eq!((&answer["fits"], &answer["lines"][0]["track"]), (&Value::Null, &Value::Null));
        // from centre to centre half of each spread comes on top
        near(&answer["lines"][0]["counts"][0]["card"]["stride_m"], STRIDE);
        body["lines"][0] = with(line("1", "2", "with_circle", 22.0),
            json!({"measured": "inside_to_inside", "circle_m": 20.0, "asks": [22]}));
        let circle = &judge(&world.trainer, ANY, &body).expect(200)["lines"][0]["circle"];
        // a circle of 20 m is 62.83 m round (geometry)
        near(&circle["total_m"], 22.0 + 20.0 * std::f64::consts::PI);
        let counts = circle["counts"].as_array().unwrap();
        let asked: Vec<&Value> = counts.iter().filter(|c| c["asked"] == json!(true)).collect();
        assert_eq!(asked.len(), 1);
        near(&asked[0]["stride_m"], (22.0 + 20.0 * std::f64::consts::PI - STRIDE) / 22.0);
        near(&circle["touches_from_m"], STRIDE);
        near(&circle["touches_to_m"], 22.0 - 1.5 * STRIDE);
    }

    fn a_course_is_walked(world) {
        let fences = [fence("1", "vertical", 20.0, 12.0, 0.0), fence("2", "vertical", 41.5, 12.0, 0.0),
            fence("3", "vertical", 41.5, 28.0, 180.0), fence("4", "vertical", 30.0, 28.0, 180.0)];
        let mut body = laid(&fences, &[]);
        let part = |label: &str| json!({"fence": label});
        body["course"] = json!({"order": [part("1"), part("2"), part("3"), part("4")], "rules": "international",
            "speed_m_per_min": 300.0, "start_m": 12.0, "finish_m": 5.0});
        let answer = judge(&world.trainer, ANY, &body).expect(200);
        let course = &answer["course"];
        let legs = course["legs"].as_array().unwrap();
        let lengths: Vec<f64> = legs.iter().map(|leg| leg["length_m"].as_f64().unwrap()).collect();
        near(&legs[0]["length_m"], 21.5);
        assert!(lengths[1] > 16.0 && legs[1]["turn_deg"].as_f64().unwrap() > 179.0);
        let length = (12.0 + lengths.iter().sum::<f64>() + 5.0).round();
        near(&course["length_m"], length);
        // 300 m a minute are 5 m a second; a second begun is a second, and the limit is twice that
        near(&course["time_allowed_s"], (length / 5.0).ceil());
        near(&course["time_limit_s"], 2.0 * (length / 5.0).ceil());
        assert_eq!((&course["obstacles"], &course["efforts"]), (&json!(4), &json!(4)));
        let codes: Vec<&str> = course["findings"].as_array().unwrap().iter().map(|f| f["code"].as_str().unwrap()).collect();
        // 11.5 m are the distance of a combination (7 to 12 m: FISE after FEI article 212), 5 m too near for a finish
        assert_eq!(codes, ["near_as_combination", "finish_line"]);
        body["course"]["order"][1] = json!({"fence": "9"});
        assert_eq!(judge(&world.trainer, ANY, &body).refused(409, "at_odds").pointers(), ["/course/order/1/fence"]);
    }

    fn horses_of_the_barn_in_an_arena_of_the_barn(world) {
        let arena = world.make("arenas", json!({"name": "Long field", "length_m": 80, "width_m": 40}));
        let set = world.make("fence-sets", json!({"name": "Old poles", "items": {
            "wings_pairs": 1, "poles": 2, "planks": 0, "fillers": 0, "cups": 4, "safety_cups": 0}}));
        let stride = json!({"stride_m": 3.4, "source": "taped", "measured_on": "2026-05-01"});
        let horse = world.make("horses", json!({"name": "Wren", "profile": "horse", "normal_stride": stride}));
        let mut body = laid(
            &[fence("1", "vertical", 25.0, 20.0, 0.0), fence("2", "vertical", 46.0, 20.0, 0.0)],
            &[line("1", "2", "straight", 21.0)],
        );
        body.as_object_mut().unwrap().remove("arena");
        let body = with(body, json!({"arena_id": arena, "fence_set_id": set, "horse_id": horse}));
        let at = world.at("evaluations");
        let answer = judge(&world.trainer, &at, &body).expect(200);
        near(&answer["lines"][0]["counts"][0]["card"]["ratio"], (21.0 - STRIDE) / 5.0 / 3.4);
        assert_eq!(answer["equipment"]["lacks"]["wings_pairs"], json!(1));
        for (field, thing) in [("arena_id", "arenas"), ("fence_set_id", "fence-sets"), ("horse_id", "horses")] {
            let elsewhere = world.elsewhere();
            let foreign = match thing {
                "arenas" => elsewhere.make("arenas", json!({"name": "Their field", "length_m": 80, "width_m": 40})),
                "fence-sets" => elsewhere.fence_set(),
                _ => elsewhere.horse("Their horse"),
            };
            let refused = judge(&world.trainer, &at, &with(body.clone(), json!({field: foreign}))).refused(409, "at_odds");
            assert_eq!(refused.pointers(), [format!("/{field}")]);
        }
    }

    fn lengths_that_nobody_rides_are_refused_or_told_in_part(world) {
        let horse = json!({"normal_stride_m": 6.0, "shortest_m": 0.5, "longest_m": 8.0});
        let of = |kind: &str, distance: f64| {
            let mut body = laid(&[json!({"label": "1", "kind": "vertical", "height_cm": 80}),
                json!({"label": "2", "kind": "vertical", "height_cm": 80})],
                &[with(line("1", "2", kind, distance), json!({"circle_m": (kind == "with_circle").then_some(40.0)}))]);
            body.as_object_mut().unwrap().remove("arena");
            judge(&world.trainer, ANY, &with(body, json!({"horse": horse})))
        };
        let told = of("with_circle", 200.0).expect(200);
        assert_eq!(told["lines"][0]["circle"]["counts"].as_array().unwrap().len(), 100);
        assert_eq!(of("with_circle", 9_999.0).refused(409, "at_odds").pointers(), ["/lines"]);
        for distance in [0.001, 3.0, 60.0, 9_999.0] {
            let answer = of("straight", distance);
            assert!(answer.status == 200 || answer.status == 409, "{distance} m: {}", answer.text());
        }
    }

    fn what_is_wrong_with_a_layout_is_said_all_at_once(world) {
        let fences = [fence("1", "vertical", 90.0, 20.0, 0.0), with(fence("1", "log", 30.0, 20.0, 0.0), json!({"square": true})),
            fence("3", "triple_bar", 50.0, 20.0, 0.0)];
        let lines = [with(line("1", "9", "straight", 20.0), json!({"circle_m": 12.0}))];
        let refused = judge(&world.trainer, ANY, &laid(&fences, &lines)).refused(409, "at_odds");
        assert_eq!(refused.pointers(),
            ["/fences/0/position", "/fences/1/label", "/fences/1/square", "/lines/0/circle_m", "/lines/0/to"]);
        let odd = json!({"arena": {"length_m": 0, "width_m": 40.0}, "fences": [], "room": "wide", "shared_with": ["mule"],
            "course": {"order": [], "rules": "ours", "speed_m_per_min": 0.0}});
        let refused = judge(&world.trainer, ANY, &odd).refused(422, "invalid_body");
        assert_eq!(refused.pointers(), ["/arena/length_m", "/course/order", "/course/rules", "/course/speed_m_per_min",
            "/fences", "/room", "/shared_with/0"]);
    }
}

on_both! {
    fn gaps_are_held_to_the_rule_book_that_is_chosen(world) {
        // FISE's wording of FEI article 212: elements stand 7 to 12 m apart, inner faces, the ends included; FLSE of 1999
        // (Luxembourg, § 505) begins at 6.5 m
        let judged = |rules: Value, gap: f64, combined: bool| {
            let part = |element: &str| if combined { json!({"label": "2", "element": element}) } else { Value::Null };
            let fence = |label: &str, element: &str| {
                json!({"label": label, "kind": "vertical", "height_cm": 100, "combination": part(element)})
            };
            let line = json!({"from": "2a", "to": "2b", "kind": "straight", "distance_m": gap, "measured": "inside_to_inside"});
            let body = json!({"fences": [fence("2a", "a"), fence("2b", "b")], "lines": [line], "rules": rules});
            found(&judge(&world.trainer, ANY, &body).expect(200))
        };
        let (gap, near) = (["advice combination_gap 2a,2b"], ["advice near_as_combination 2a,2b"]);
        assert_eq!(judged(json!("international"), 6.99, true), gap);
        for inside in [7.0, 12.0] {
            assert!(judged(json!("international"), inside, true).is_empty(), "{inside}");
            assert_eq!(judged(json!("international"), inside, false), near, "{inside}");
        }
        assert!(judged(json!("international"), 12.01, false).is_empty());
        assert!(judged(json!("luxembourg1999"), 6.5, true).is_empty());
        assert_eq!(judged(json!("luxembourg1999"), 6.49, true), gap);
        // no book is everybody's
        assert!(judged(Value::Null, 6.0, true).is_empty());
    }
}
