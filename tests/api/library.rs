//! From the library to a sheet: an exercise is chosen, placed, kept, scheduled and set, by the API alone.
use stridewright_tests::{Answer, Client, Value, World, json, on_both};

fn listed(client: &Client, query: &str) -> Vec<Value> {
    client.get(&format!("/api/v1/library{query}")).expect(200)["exercises"].as_array().unwrap().clone()
}

fn arena(world: &World, length: f64, width: f64) -> String {
    world.make("arenas", json!({"name": "The long hall", "length_m": length, "width_m": width, "indoor": true}))
}

fn keep(world: &World, laid: &Answer, name: &str) -> Answer {
    let body = json!({"name": name, "revision": laid["revision"]});
    world.trainer.post(&world.at("exercises"), body).expect(201)
}

on_both! {
    fn the_library_is_read_by_kind_and_level(world) {
        let all = listed(&world.trainer, "");
        assert!(all.len() >= 16);
        let fans = listed(&world.trainer, "?kind=fan");
        assert!(!fans.is_empty() && fans.iter().all(|e| e["kind"] == "fan"));
        let novices = listed(&world.trainer, "?level=novice");
        let for_novices = |e: &&Value| e["levels"].as_array().unwrap().contains(&json!("novice"));
        assert_eq!(novices.len(), all.iter().filter(for_novices).count());
        assert!(novices.len() < all.len());
        world.trainer.get("/api/v1/library?kind=show_jumping").refused(422, "invalid_query");
        world.trainer.get("/api/v1/library/nothing_of_ours").refused(404, "not_found");
        world.trainer.get("/api/v1/library/related_five?level=nobody").refused(422, "invalid_query");
        world.anonymous().get("/api/v1/library").refused(401, "unauthenticated");
    }
}

on_both! {
    fn every_exercise_is_laid_out_as_a_revision_takes_it(world) {
        for exercise in listed(&world.trainer, "") {
            let key = exercise["key"].as_str().unwrap();
            for profile in ["horse", "small_pony"] {
                for level in exercise["levels"].as_array().unwrap() {
                    let query = format!("?profile={profile}&level={}", level.as_str().unwrap());
                    let laid = world.trainer.get(&format!("/api/v1/library/{key}{query}")).expect(200);
                    assert_eq!((&laid["profile"], &laid["revision"]["level"]), (&json!(profile), level));
                    let kept = keep(world, &laid, &format!("{key} {query}"));
                    assert_eq!(kept["revision"]["fences"], laid["revision"]["fences"], "{key}");
                    assert_eq!(kept["revision"]["lines"], laid["revision"]["lines"], "{key}");
                    assert_eq!(kept["revision"]["efforts"], laid["efforts"], "{key}");
                    // enough for a day, and never more than a horse that competes may jump
                    let a_day = laid["efforts"].as_i64().unwrap() * laid["repeats"].as_i64().unwrap();
                    assert!(laid["efforts"] == 0 || (1..=40).contains(&a_day), "{key}: {a_day}");
                }
            }
        }
    }
}

on_both! {
    fn it_is_placed_where_it_fits_and_refused_where_it_does_not(world) {
        let (large, small) = (arena(world, 60.0, 30.0), arena(world, 20.0, 12.0));
        let at = |arena: &str, key: &str| world.at(&format!("arenas/{arena}/library/{key}"));
        let placed = world.trainer.get(&at(&large, "related_five")).expect(200);
        assert_eq!(placed["revision"]["arena_id"], json!(large));
        for fence in placed["revision"]["fences"].as_array().unwrap() {
            let (x, y) = (fence["position"]["x_m"].as_f64().unwrap(), fence["position"]["y_m"].as_f64().unwrap());
            assert!((0.0..=60.0).contains(&x) && (0.0..=30.0).contains(&y));
        }
        assert!(placed["findings"].as_array().unwrap().iter().all(|found| found["weight"] == "advice"));
        // what is proposed is judged alike where it is sent back
        let mut body = placed["revision"].clone();
        body["room"] = json!("roomy");
        let horse = world.horse("Tamarisk");
        body["horse_id"] = json!(horse);
        let judged = world.trainer.ask("POST", &world.at("evaluations")).json(&body).send().expect(200);
        assert_eq!((&judged["fits"], &judged["efforts"]), (&json!(true), &placed["efforts"]));
        world.trainer.get(&at(&small, "related_five")).refused(409, "no_room");
        world.trainer.get(&at(&large, "nothing_of_ours")).refused(404, "not_found");
        let refused = world.trainer.get(&format!("{}?level=novice", at(&large, "on_the_angle"))).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["?level"]);
        // a roof post in the way moves it
        let middle = placed["revision"]["fences"][0]["position"].clone();
        let post = json!([{"name": "Roof post", "x_m": middle["x_m"].as_f64().unwrap() - 1.0,
            "y_m": middle["y_m"].as_f64().unwrap() - 1.0, "length_m": 2.0, "width_m": 2.0}]);
        world.trainer.change(&world.at(&format!("arenas/{large}")), json!({"obstructions": post})).expect(200);
        let moved = world.trainer.get(&at(&large, "related_five")).expect(200);
        assert_ne!(moved["revision"]["fences"][0]["position"], middle);
        // riders may look for one too, and strangers may not
        world.rider().client.get(&at(&large, "fan")).expect(200);
        world.elsewhere().trainer.get(&at(&large, "fan")).refused(404, "not_found");
    }
}
