//! Sessions and entries: booked, requested, decided, opened, closed.
use stridewright_tests::client::fresh;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{json, on_both};

on_both! {
    fn a_trainer_books_a_session_with_its_entries(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        assert_eq!(made["status"], "booked");
        assert_eq!(made["entries"][0]["status"], "booked");
        assert_eq!(made["time_zone"], "Europe/Lisbon");
        let path = world.at(&format!("sessions/{}", made.id()));
        let read = world.trainer.get(&path).expect(200);
        assert_eq!(read.json, made.json);
        assert_eq!(read.etag(), made.etag());
        let again = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": 0});
        world.trainer.post(&format!("{path}/entries"), again).refused(409, "conflict");
        let listed = world.trainer.get(&world.at("sessions?from=2026-06-03T00:00:00Z&to=2026-06-04T00:00:00Z")).expect(200);
        assert_eq!(listed.items().len(), 1);
        let taken = world.trainer
            .get(&world.at(&format!("arenas/{}/calendar?from=2026-06-03T00:00:00Z&to=2026-06-04T00:00:00Z", yard.arena)))
            .expect(200);
        assert_eq!(taken["taken"].as_array().unwrap().len(), 1);
        assert!(!taken.text().contains(&yard.horse), "a calendar names nobody");
    }

    fn faults_of_a_session_have_pointers(world) {
        let yard = Yard::new(world);
        let body = session(&yard, "2026-06-03", 9, 12);
        let post = |field: &str, value: stridewright_tests::Value| {
            let mut body = body.clone();
            body[field] = value;
            world.trainer.post(&world.at("sessions"), body)
        };
        let with = |field: &str, value| post(field, value).refused(409, "at_odds").pointers();
        assert_eq!(with("ends_at", json!("2026-06-03T09:00:00Z")), ["/ends_at"]);
        assert_eq!(with("ends_at", json!("2026-06-03T19:00:01Z")), ["/ends_at"]);
        assert_eq!(with("arena_id", json!(null)), ["/arena_id"]);
        assert_eq!(with("arena_id", json!(yard.horse)), ["/arena_id"]);
        assert_eq!(with("adult_id", json!(yard.child)), ["/adult_id"]);
        assert_eq!(with("trainer_id", json!(yard.rider.person_id)), ["/trainer_id"]);
        assert_eq!(with("revision", json!(3)), ["/revision"]);
        assert_eq!(with("kind", json!("flat")), ["/entries/0/planned_efforts"]);
        let malformed = post("entries", json!([{"planned_efforts": 501}, {"zz": 1}])).refused(422, "invalid_body");
        assert_eq!(malformed.pointers(), ["/entries/0/planned_efforts", "/entries/1/zz"]);
        assert_eq!(with("entries", json!([{}])), ["/entries/0/planned_efforts", "/entries/0/rider_id"]);
        let elsewhere = world.elsewhere();
        let theirs = elsewhere.horse("Juniper");
        let entry = json!([{"horse_id": theirs, "rider_id": yard.rider.person_id, "planned_efforts": 0}]);
        assert_eq!(with("entries", entry), ["/entries/0/horse_id"]);
        assert_eq!(world.trainer.get(&world.at("sessions")).expect(200).items().len(), 0, "nothing was stored");
    }

    fn nothing_is_in_two_places_at_once(world) {
        let yard = Yard::new(world);
        world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 5)).expect(201);
        let again = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 5)).refused(409, "occupied");
        assert_eq!(again.reasons(), ["arena_taken", "person_taken", "horse_taken", "person_taken"]);
        let of = |n: usize, field: &str| again["reasons"][n][field].clone();
        // by the clock in the barn, an hour ahead of UTC in summer
        assert_eq!(of(0, "message"), "the arena is taken on 2026-06-03 from 10:00 to 11:00");
        assert_eq!(of(1, "message"), "the trainer is elsewhere on 2026-06-03 from 10:00 to 11:00");
        // a rider is told when the arena is taken, but is not shown anybody's diary
        let mut own = session(&yard, "2026-06-03", 9, 5);
        own["confirm"] = json!(true);
        let asked = yard.rider.post(&world.at("sessions"), own).refused(409, "occupied");
        assert_eq!(asked["reasons"][0]["message"], of(0, "message"));
        assert_eq!(asked["reasons"][1]["message"], "the trainer is elsewhere at that time");
        let pointers = ["/arena_id", "/trainer_id", "/entries/0", "/entries/0"];
        assert_eq!([0, 1, 2, 3].map(|n| of(n, "pointer")), pointers.map(|p| json!(p)));
        // the other arena is free, but not the horse and its rider
        let mut other = session(&yard, "2026-06-03", 9, 5);
        other["arena_id"] = json!(yard.other_arena);
        other["trainer_id"] = json!(null);
        other["adult_id"] = json!(yard.owner.person_id);
        let refused = world.trainer.post(&world.at("sessions"), other.clone()).refused(409, "occupied");
        assert_eq!(refused.reasons(), ["horse_taken", "person_taken"]);
        // touching is not overlapping
        let mut later = session(&yard, "2026-06-03", 10, 5);
        later["entries"][0] = json!({"horse_id": yard.second_horse, "planned_efforts": 5, "planned_height_cm": 90});
        world.trainer.post(&world.at("sessions"), later).expect(201);
        // a cancelled one gives its time back
        let first = world.trainer.get(&world.at("sessions")).expect(200).items()[0]["id"].as_str().unwrap().to_owned();
        world.trainer.change(&world.at(&format!("sessions/{first}")), json!({"status": "cancelled"})).expect(200);
        world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 5)).expect(201);
    }

    fn everything_that_is_wrong_is_said_at_once(world) {
        let yard = Yard::new(world);
        let nobody = fresh();
        let mut body = session(&yard, "2026-06-03", 9, 5);
        for (field, value) in [("arena_id", &nobody), ("trainer_id", &nobody), ("adult_id", &yard.child), ("exercise_id", &nobody)] {
            body[field] = json!(value);
        }
        body["entries"] = json!([{"horse_id": nobody, "rider_id": nobody}, {"rider_id": yard.owner.person_id}]);
        let mut pointers = world.trainer.post(&world.at("sessions"), body).refused(409, "at_odds").pointers();
        pointers.sort();
        assert_eq!(pointers, ["/adult_id", "/arena_id", "/entries/0/horse_id", "/entries/0/rider_id",
            "/entries/1/rider_id", "/exercise_id", "/trainer_id"]);
    }

    fn what_is_not_said_is_one_go_of_the_exercise(world) {
        let yard = Yard::new(world);
        let fence = |label: &str, kind: &str, height: u32| json!({"label": label, "kind": kind, "height_cm": height});
        let fences = [fence("1", "ground_pole", 0), fence("2", "vertical", 80), fence("3", "vertical", 90)];
        let revision = json!({"level": "usual", "fences": fences});
        let exercise = world.make("exercises", json!({"name": "A pole and two", "revision": revision}));
        let mut body = session(&yard, "2026-06-03", 9, 0);
        body["exercise_id"] = json!(exercise);
        let entry = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id});
        body["entries"] = json!([entry]);
        let down = json!({"source": "vet", "scope": "jumping", "from_date": "2026-06-01", "reason": "A knock."});
        let downs = world.at(&format!("horses/{}/stand-downs", yard.horse));
        let one = world.trainer.post(&downs, down).expect(201).header("location");
        // a horse that does not jump is not booked by saying nothing
        let refused = world.trainer.post(&world.at("sessions"), body.clone()).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["stand_down"]);
        assert!(!refused.text().contains("override"), "nobody may pass it: {}", refused.text());
        let clear = json!({"cleared_on": "2026-06-01"});
        world.trainer.ask("POST", &format!("{one}/clearance")).if_match("\"v1\"").json(&clear).send().expect(200);
        let made = world.trainer.post(&world.at("sessions"), body.clone()).expect(201);
        let of = |entry: &stridewright_tests::Value| {
            let plan = ["planned_efforts", "planned_pole_passes", "planned_height_cm"].map(|field| entry[field].clone());
            (plan, entry["cautions"].as_array().unwrap().len())
        };
        assert_eq!(of(&made["entries"][0]), ([json!(2), json!(1), json!(90)], 0));
        // what is said stands, and where the exercise is higher it says so
        (body["starts_at"], body["ends_at"]) = (json!("2026-06-03T11:00:00Z"), json!("2026-06-03T12:00:00Z"));
        body["entries"][0] = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": 4,
            "planned_height_cm": 70});
        let low = world.trainer.post(&world.at("sessions"), body.clone()).expect(201);
        assert_eq!(of(&low["entries"][0]), ([json!(4), json!(0), json!(70)], 1));
        body["exercise_id"] = json!(null);
        body["entries"] = json!([entry]);
        let asked = world.trainer.post(&world.at("sessions"), body).refused(409, "at_odds");
        assert_eq!(asked.pointers(), ["/entries/0/planned_efforts"]);
    }

    fn a_refusal_names_every_entry_at_fault(world) {
        let yard = Yard::new(world);
        world.trainer.change(&world.at(&format!("arenas/{}", yard.arena)),
            json!({"hours": [{"weekday": "wednesday", "opens": "08:00", "closes": "09:30"}]})).expect(200);
        let mut body = session(&yard, "2026-06-03", 9, 31);
        let second = json!({"horse_id": yard.second_horse, "rider_id": yard.guardian.person_id, "planned_efforts": 40,
            "planned_height_cm": 90});
        let fine = json!({"horse_id": yard.pony, "rider_id": yard.child, "planned_efforts": 0});
        body["entries"] = json!([body["entries"][0], fine, second]);
        world.trainer.change(&world.at(&format!("people/{}", yard.guardian.person_id)), json!({"roles": ["rider"]})).expect(200);
        let refused = world.trainer.post(&world.at("sessions"), body).refused(409, "rule_refused");
        let said: Vec<_> = refused["reasons"].as_array().unwrap().iter()
            .map(|r| (r["code"].as_str().unwrap(), r["pointer"].as_str().unwrap_or_default())).collect();
        let of = |n: &str| said.iter().filter(|(_, at)| *at == n).map(|(code, _)| *code).collect::<Vec<_>>();
        assert_eq!(of("/entries/0"), ["max_efforts_per_session"]);
        assert_eq!(of("/entries/1"), Vec::<&str>::new());
        assert_eq!(of("/entries/2"), ["max_efforts_per_day", "max_efforts_per_session", "not_paired"]);
        assert_eq!(of("/starts_at"), ["arena_closed"], "of the whole session, once");
        let closed = refused["reasons"].as_array().unwrap().iter().find(|r| r["code"] == "arena_closed").unwrap();
        assert_eq!(closed["message"], "the arena is not open all that time; it is open on 2026-06-03 from 08:00 to 09:30");
        assert_eq!(refused["first_allowed_date"], json!(null), "another day pairs nobody");
    }

    fn the_first_allowed_day_suits_poles_too(world) {
        let yard = Yard::new(world);
        let down = json!({"source": "trainer", "scope": "jumping_and_poles", "from_date": "2026-06-01",
            "free_from_date": "2026-06-10", "reason": "Shod late."});
        world.make(&format!("horses/{}/stand-downs", yard.horse), down);
        let mut body = session(&yard, "2026-06-03", 9, 0);
        body["entries"][0]["planned_pole_passes"] = json!(4);
        let refused = world.trainer.post(&world.at("sessions"), body.clone()).refused(409, "rule_refused");
        assert_eq!((refused.reasons(), &refused["first_allowed_date"]), (vec!["stand_down".to_owned()], &json!("2026-06-10")));
        (body["starts_at"], body["ends_at"]) = (json!("2026-06-10T09:00:00Z"), json!("2026-06-10T10:00:00Z"));
        world.trainer.post(&world.at("sessions"), body).expect(201);
    }

    fn the_first_allowed_day_suits_every_entry(world) {
        let yard = Yard::new(world);
        let pair = json!({"rider_id": yard.guardian.person_id, "level": "usual", "up_to_height_cm": 100});
        world.trainer.change(&world.at(&format!("people/{}", yard.guardian.person_id)), json!({"roles": ["rider"]})).expect(200);
        world.make(&format!("horses/{}/pairings", yard.second_horse), pair);
        let down = |horse: &str, free: &str| {
            let body = json!({"source": "trainer", "scope": "jumping", "from_date": "2026-06-01", "free_from_date": free, "reason": "Shod late."});
            world.make(&format!("horses/{horse}/stand-downs"), body);
        };
        down(&yard.horse, "2026-06-05");
        down(&yard.second_horse, "2026-06-09");
        let mut body = session(&yard, "2026-06-03", 9, 12);
        let second = json!({"horse_id": yard.second_horse, "rider_id": yard.guardian.person_id, "planned_efforts": 12, "planned_height_cm": 90});
        body["entries"] = json!([body["entries"][0], second]);
        let refused = world.trainer.post(&world.at("sessions"), body).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["stand_down", "stand_down"]);
        assert_eq!(refused["first_allowed_date"], "2026-06-09");
    }

    fn a_move_names_the_entries_that_it_breaks(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let mut other = session(&yard, "2026-06-04", 9, 25);
        other["arena_id"] = json!(yard.other_arena);
        world.trainer.post(&world.at("sessions"), other).expect(201);
        let moved = json!({"starts_at": "2026-06-04T09:30:00Z", "ends_at": "2026-06-04T10:30:00Z"});
        let refused = world.trainer.change(&world.at(&format!("sessions/{}", made.id())), moved).refused(409, "occupied");
        assert_eq!(refused.reasons(), ["person_taken", "horse_taken", "person_taken", "max_efforts_per_day"]);
        let entry = &made["entries"][0]["id"];
        let entries: Vec<_> = (0..4).map(|n| &refused["reasons"][n]["entry_id"]).collect();
        assert_eq!(entries, [&json!(null), entry, entry, entry]);
    }

    fn a_limit_refuses_with_every_reason_and_the_first_day(world) {
        let yard = Yard::new(world);
        world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 30)).expect(201);
        let refused = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-04", 9, 31)).refused(409, "rule_refused");
        // established: at most 30 a session; a clear day after a day of 20 or more
        assert_eq!(refused.reasons(), ["clear_days_after_efforts", "max_efforts_per_session"]);
        assert!(refused["reasons"].as_array().unwrap().iter().all(|r| r["binding"] == false));
        let day = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-04", 9, 20)).refused(409, "rule_refused");
        assert_eq!(day["first_allowed_date"], "2026-06-05");
        // soft: a trainer passes it with a reason that stays with the entry
        let mut body = session(&yard, "2026-06-04", 9, 20);
        body["entries"][0]["override_reason"] = json!("Only poles and a cross-pole at the end.");
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        assert_eq!(made["entries"][0]["overridden"][0]["code"], "clear_days_after_efforts");
    }

    fn nobody_passes_an_owners_limit(world) {
        let yard = Yard::new(world);
        let limit = json!({"kind": "max_efforts_per_session", "value": 12, "source": "owner"});
        yard.owner.post(&world.at(&format!("horses/{}/workload-limits", yard.horse)), limit).expect(201);
        let mut body = session(&yard, "2026-06-03", 9, 13);
        body["entries"][0]["override_reason"] = json!("The show is close.");
        let refused = world.trainer.post(&world.at("sessions"), body).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["max_efforts_per_session"]);
        assert_eq!(refused["reasons"][0]["binding"], true);
    }

    fn what_comes_later_flags_a_booking(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let stand_down = json!({"source": "vet", "scope": "jumping", "from_date": "2026-06-02", "free_from_date": "2026-06-09",
                                "reason": "A swollen fetlock."});
        world.trainer.post(&world.at(&format!("horses/{}/stand-downs", yard.horse)), stand_down).expect(201);
        let entry = world.at(&format!("sessions/{}/entries/{}", made.id(), made["entries"][0]["id"].as_str().unwrap()));
        let flagged = world.trainer.get(&entry).expect(200);
        assert_eq!(flagged["status"], "requested");
        assert_eq!(flagged["flags"][0]["code"], "stand_down");
        // its time is free for another
        let mut other = session(&yard, "2026-06-03", 9, 12);
        other["arena_id"] = json!(yard.other_arena);
        other["trainer_id"] = json!(null);
        other["adult_id"] = json!(yard.owner.person_id);
        other["entries"][0]["horse_id"] = json!(yard.second_horse);
        let pair = json!({"rider_id": yard.rider.person_id, "level": "usual", "up_to_height_cm": 100});
        world.make(&format!("horses/{}/pairings", yard.second_horse), pair);
        world.trainer.post(&world.at("sessions"), other).expect(201);
        world.trainer.change(&entry, json!({"status": "booked", "override_reason": "The vet said so."})).refused(409, "occupied");
    }

    fn closing_asks_what_became_of_planned_jumps(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-01", 9, 20)).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        let entry = format!("{path}/entries/{}", made["entries"][0]["id"].as_str().unwrap());
        let opened = world.trainer.change(&path, json!({"status": "open"})).expect(200);
        assert_eq!(opened["entries"][0]["status"], "open");
        let ride = json!({"kind": "about", "efforts": 8, "height_cm": 80});
        world.trainer.post(&format!("{entry}/rides"), ride).expect(201);
        let closed = world.trainer.change(&path, json!({"status": "closed"})).expect(200);
        assert_eq!(closed["entries"][0]["status"], "unresolved");
        assert_eq!(closed["entries"][0]["unanswered_efforts"], 12);
        let bad = world.trainer.change(&entry, json!({"closing": {"answer": "efforts", "efforts_in_all": 7}})).refused(409, "at_odds");
        assert_eq!(bad.pointers(), ["/closing/efforts_in_all"]);
        let both = json!({"closing": {"answer": "not_jumped"}, "planned_efforts": 8});
        assert_eq!(world.trainer.change(&entry, both).refused(409, "at_odds").pointers(), ["/closing"]);
        let done = world.trainer.change(&entry, json!({"closing": {"answer": "efforts", "efforts_in_all": 15}})).expect(200);
        assert_eq!(done["status"], "closed");
        let efforts = world.trainer.get(&world.at(&format!("horses/{}/efforts?from=2026-06-01&to=2026-06-01", yard.horse))).expect(200);
        assert!(efforts.text().contains("15"), "{}", efforts.text());
        world.trainer.change(&entry, json!({"closing": {"answer": "not_jumped"}})).refused(409, "wrong_state");
    }
}
