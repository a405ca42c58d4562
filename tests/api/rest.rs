//! Efforts by day, and what they and the limits say.
use crate::ringside::{entry_of, go, session_of};
use stridewright_tests::{Value, World, json, on_both};

/// A horse with a log: so many jumps on so many days ago.
fn logged(world: &World, days: &[(&str, u32)]) -> String {
    let horse = world.horse("Bramble");
    for (day, efforts) in days {
        let body = json!({"kind": "lesson", "on_date": day, "done": {"efforts": efforts, "height_cm": 80}});
        world.make(&format!("horses/{horse}/outings"), body);
    }
    horse
}

/// The field of a list of objects, where another has this value.
fn of_day<'a>(days: &'a Value, day: &str) -> &'a Value {
    days.as_array().unwrap().iter().find(|d| d["day"] == day).unwrap_or(&Value::Null)
}

on_both! {
    fn efforts_add_up_by_day(world) {
        let log = [("2026-05-31", 12), ("2026-05-25", 9), ("2026-05-24", 5), ("2026-05-05", 7), ("2026-05-04", 30)];
        let horse = logged(world, &log);
        let path = world.at(&format!("horses/{horse}/efforts"));
        let round = json!({"kind": "competition_round", "on_date": "2026-06-01", "planned_efforts": 11, "planned_height_cm": 100});
        world.make(&format!("horses/{horse}/outings"), round);
        let ridden = entry_of(world, &session_of(world, "jumping"), Some(horse.clone()), None, "booked");
        let late = json!({"at": "2026-05-31T23:30:00Z"});
        let mut ride = go(&["jumped", "rail", "refusal"]);
        ride.as_object_mut().unwrap().extend(late.as_object().unwrap().clone());
        world.trainer.post(&ridden.rides, ride).expect(201);

        let seen = world.trainer.get(&path).expect(200);
        assert_eq!((&seen["from"], &seen["to"], seen["days"].as_array().unwrap().len()), (&json!("2026-05-05"), &json!("2026-06-01"), 28));
        // 23:30 UTC is half past midnight in the barn; 20 planned, 2 ridden
        let today = json!({"day": "2026-06-01", "logged": 2, "planned": 29, "highest_cm": 100, "competition": true});
        assert_eq!(of_day(&seen["days"], "2026-06-01"), &today);
        let quiet = json!({"day": "2026-05-30", "logged": 0, "planned": 0, "highest_cm": null, "competition": false});
        assert_eq!(of_day(&seen["days"], "2026-05-30"), &quiet);
        assert_eq!(of_day(&seen["days"], "2026-05-31")["highest_cm"], 80);
        // the windows are 26 May to 1 June, and 5 May to 1 June
        assert_eq!(seen["sum_7_days"], json!({"logged": 14, "logged_and_planned": 43}));
        assert_eq!(seen["sum_28_days"], json!({"logged": 35, "logged_and_planned": 64}));
        assert_eq!(seen["completeness"], json!({"closed": 4, "due": 4}));
        assert_eq!((&seen["load"]["sum_7"], &seen["load"]["sum_28"], &seen["load"]["days"]), (&json!(14), &json!(35), &json!(29)));
        assert!(seen["note"].as_str().unwrap().contains("predict no injury"));
        let by_hand: u64 = seen["days"].as_array().unwrap().iter().map(|d| d["logged"].as_u64().unwrap()).sum();
        assert_eq!(by_hand, 35);

        let then = world.trainer.get(&format!("{path}?from=2026-05-04&to=2026-05-31")).expect(200);
        assert_eq!((&then["sum_28_days"]["logged"], &then["load"]["sum_28"]), (&json!(63), &json!(63)));
        for (query, pointers) in [
            ("from=2026-06-02&to=2026-06-01", vec!["?from"]),
            ("from=2025-05-31&to=2026-06-01", vec!["?from"]),
        ] {
            assert_eq!(world.trainer.get(&format!("{path}?{query}")).refused(409, "at_odds").pointers(), pointers, "{query}");
        }
        let refused = world.trainer.get(&format!("{path}?from=yesterday&days=7")).refused(422, "invalid_query");
        assert_eq!(refused.pointers(), ["?days", "?from"]);
        world.trainer.get(&format!("{path}?from=2025-06-01&to=2026-06-01")).expect(200);
    }

    fn rest_says_at_most_from_when_and_why(world) {
        let horse = logged(world, &[("2026-05-31", 22), ("2026-05-27", 30)]);
        let path = world.at(&format!("horses/{horse}/rest"));
        let rest = world.trainer.get(&format!("{path}?efforts=20&height_cm=90")).expect(200);
        let days = rest["next_14_days"].as_array().unwrap();
        assert_eq!((rest["today"].clone(), days.len(), &days[13]["day"]), (json!("2026-06-01"), 14, &json!("2026-06-14")));
        let first = &days[0];
        assert_eq!((&first["at_most"], &first["words"], &first["code"]), (&json!(0), &json!("at most 0"), &json!("clear_days_after_efforts")));
        assert_eq!(first["because"], "one clear day after a day of 20 or more jumps");
        // 70 in 7 days, 52 of them jumped by 2 June; on the 3rd the 30 of 27 May are out of the window
        assert_eq!((&days[1]["at_most"], &days[1]["code"]), (&json!(18), &json!("max_efforts_per_7_days")));
        assert_eq!((&days[2]["at_most"], &days[2]["words"]), (&json!(30), &json!("at most 30")));
        let asked = &rest["asked"];
        assert_eq!((&asked["allowed_today"], &asked["overridable_today"], &asked["earliest_day"]), (&json!(false), &json!(true), &json!("2026-06-03")));
        let messages: Vec<&Value> = asked["reasons_today"].as_array().unwrap().iter().map(|r| &r["message"]).collect();
        let expected = ["one clear day after a day of 20 or more jumps (2026-05-31); no clear days before 2026-06-01", "72 jumps in the 7 days to 2026-06-01; at most 70"];
        assert_eq!(messages, expected);
        assert_eq!(rest["violations"], json!([]));
        assert!(rest["caution"].as_str().unwrap().contains("not veterinary advice"));
        let texts: Vec<&str> = rest["limits"].as_array().unwrap().iter().map(|l| l["words"].as_str().unwrap()).collect();
        assert_eq!(texts.len(), 9);
        assert!(texts.contains(&"at most 35 jumps a day") && texts.contains(&"2 clear days after a day of competition"));
        assert!(!rest.text().contains("left"));

        let high = world.trainer.get(&format!("{path}?efforts=5&height_cm=130")).expect(200);
        assert_eq!((&high["asked"]["earliest_day"], &high["asked"]["reasons_today"][1]["message"]), (&Value::Null, &json!("130 cm on 2026-06-01; at most 120 cm")));
        let refused = world.trainer.get(&format!("{path}?efforts=501&height_cm=-1&competition=maybe")).refused(422, "invalid_query");
        assert_eq!(refused.pointers(), ["?competition", "?efforts", "?height_cm"]);
    }

    fn the_strictest_wins_and_says_whose_it_is(world) {
        let horse = world.horse("Bramble");
        let (owner, rider) = (world.owner_of(&horse), world.rider());
        world.pair(&horse, &rider.person_id);
        let limit = json!({"kind": "max_efforts_per_day", "value": 8, "source": "owner"});
        let id = owner.post(&world.at(&format!("horses/{horse}/workload-limits")), limit).expect(201).id();
        let path = world.at(&format!("horses/{horse}/rest?efforts=9"));
        let whole = owner.get(&path).expect(200);
        assert_eq!((&whole["next_14_days"][0]["at_most"], &whole["next_14_days"][0]["rule_id"]), (&json!(8), &json!(id)));
        assert_eq!((&whole["asked"]["overridable_today"], &whole["asked"]["reasons_today"][0]["source"]), (&json!(false), &json!("owner")));
        let a_day: Vec<&Value> = whole["limits"].as_array().unwrap().iter().filter(|l| l["kind"] == "max_efforts_per_day").collect();
        assert_eq!((a_day.len(), &a_day[0]["words"], &a_day[0]["workload_limit_id"]), (1, &json!("at most 8 jumps a day"), &json!(id)));
        // whoever rides it hears what holds, but opens no row, and no log
        let heard = rider.get(&path).expect(200);
        assert_eq!((&heard["next_14_days"][0]["at_most"], &heard["next_14_days"][0]["rule_id"]), (&json!(8), &Value::Null));
        assert!(!heard.text().contains(&id));
        rider.get(&world.at(&format!("horses/{horse}/efforts"))).refused(403, "forbidden");
        world.member(&["rider", "owner"]).get(&path).refused(404, "not_found");
        world.elsewhere().trainer.get(&path).refused(404, "not_found");
        world.anonymous().get(&path).refused(401, "unauthenticated");
    }

    fn a_logged_day_that_breaks_a_limit_is_told(world) {
        let horse = logged(world, &[("2026-05-28", 40)]);
        let rest = world.trainer.get(&world.at(&format!("horses/{horse}/rest"))).expect(200);
        let told: Vec<&Value> = rest["violations"].as_array().unwrap().iter().map(|v| &v["message"]).collect();
        assert_eq!(told, ["40 jumps on 2026-05-28; at most 35 a day", "40 jumps in one session on 2026-05-28; at most 30 a session"]);
    }
}
