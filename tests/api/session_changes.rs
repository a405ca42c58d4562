//! What a later change of a session or an entry may not undo: the adult on the ground, the places, what was passed.
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Value, World, json, on_both};

/// The address of the first entry of a session that was just made.
fn first_entry(world: &World, made: &Value) -> String {
    let id = |value: &Value| value["id"].as_str().unwrap().to_owned();
    world.at(&format!("sessions/{}/entries/{}", id(made), id(&made["entries"][0])))
}

on_both! {
    fn whoever_stands_on_the_ground_for_a_minor_does_not_mount(world) {
        let yard = Yard::new(world);
        let riding = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": 0});
        let mut body = session(&yard, "2026-06-03", 9, 8);
        body["adult_id"] = json!(yard.rider.person_id);
        body["entries"] = json!([{"horse_id": yard.pony, "rider_id": yard.child, "planned_efforts": 6, "planned_height_cm": 50}]);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        let refused = world.trainer.post(&format!("{path}/entries"), riding.clone()).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["no_adult"]);
        // the trainer is there too: with them on the ground it may be
        world.trainer.change(&path, json!({"adult_id": null})).expect(200);
        world.trainer.post(&format!("{path}/entries"), riding).expect(201);
        let refused = world.trainer.change(&path, json!({"adult_id": yard.rider.person_id})).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["no_adult"]);
        let refused = world.trainer.change(&path, json!({"trainer_id": null})).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["no_adult"]);
    }

    fn who_rides_alone_is_told_that_nobody_stands_on_the_ground(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 8);
        body["trainer_id"] = json!(null);
        body["adult_id"] = json!(yard.rider.person_id);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let told = |value: &Value| value.to_string().contains("Nobody is named who stands on the ground");
        assert!(told(&made["cautions"]) && told(&made["entries"][0]["cautions"]), "{}", made.text());
    }

    fn no_more_requests_are_confirmed_than_there_are_places(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 12);
        body["entries"] = json!([]);
        body["places"] = json!(1);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        let mine = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": 5, "planned_height_cm": 80});
        let child = json!({"horse_id": yard.pony, "rider_id": yard.child, "planned_efforts": 5, "planned_height_cm": 50});
        let first = yard.rider.post(&format!("{path}/entries"), mine).expect(201);
        let second = yard.guardian.post(&format!("{path}/entries"), child).expect(201);
        world.trainer.change(&format!("{path}/entries/{}", first.id()), json!({"status": "booked"})).expect(200);
        let second = format!("{path}/entries/{}", second.id());
        let refused = world.trainer.change(&second, json!({"status": "booked"})).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["no_place"]);
        world.trainer.change(&path, json!({"places": 2})).expect(200);
        world.trainer.change(&second, json!({"status": "booked"})).expect(200);
    }

    fn what_was_passed_once_is_not_passed_for_more(world) {
        let yard = Yard::new(world);
        world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 25)).expect(201);
        let mut body = session(&yard, "2026-06-04", 9, 15);
        body["entries"][0]["override_reason"] = json!("Only cross-poles.");
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let (path, entry) = (world.at(&format!("sessions/{}", made.id())), first_entry(world, &made.json));
        // fewer, or an hour later, is no worse than what was passed
        let fewer = world.trainer.change(&entry, json!({"planned_efforts": 10})).expect(200);
        assert_eq!(fewer["override_reason"], "Only cross-poles.");
        let later = json!({"starts_at": "2026-06-04T10:00:00Z", "ends_at": "2026-06-04T11:00:00Z"});
        world.trainer.change(&path, later).expect(200);
        world.trainer.change(&entry, json!({"planned_efforts": 20})).refused(409, "rule_refused");
        let refused = world.trainer.change(&entry, json!({"planned_height_cm": 120})).refused(409, "rule_refused");
        assert!(refused.reasons().contains(&"above_pair_height".to_owned()), "{}", refused.text());
        // where nothing objects, nothing was passed
        let away = json!({"starts_at": "2026-06-12T09:00:00Z", "ends_at": "2026-06-12T10:00:00Z"});
        let moved = world.trainer.change(&path, away).expect(200);
        assert_eq!((&moved["entries"][0]["override_reason"], &moved["entries"][0]["overridden"]), (&json!(null), &json!([])));
    }

    fn a_note_is_nothing_to_test(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let height = json!({"kind": "max_height_cm", "value": 60, "source": "trainer"});
        world.trainer.post(&world.at(&format!("horses/{}/workload-limits", yard.horse)), height).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        let later = json!({"starts_at": "2026-06-03T10:00:00Z", "ends_at": "2026-06-03T11:00:00Z"});
        world.trainer.change(&path, later).refused(409, "rule_refused");
        let named = world.trainer.change(&path, json!({"title": "Two fences", "note": "Gate stays shut."})).expect(200);
        assert_eq!((&named["title"], &named["entries"][0]["status"]), (&json!("Two fences"), &json!("booked")));
    }

    fn a_session_is_another_version_when_its_entries_are(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        let before = world.trainer.get(&path).expect(200).etag();
        world.trainer.ask("GET", &path).header("If-None-Match", &before).send().expect(304);
        world.trainer.change(&first_entry(world, &made.json), json!({"planned_efforts": 8})).expect(200);
        let after = world.trainer.ask("GET", &path).header("If-None-Match", &before).send().expect(200);
        assert_eq!(after["entries"][0]["planned_efforts"], 8);
        world.trainer.patch(&path, &before, json!({"status": "open"})).refused(412, "changed_meanwhile");
    }

    fn a_part_in_a_session_gives_no_leave_to_add_to_it(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let again = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": 5, "planned_height_cm": 80});
        yard.rider.post(&world.at(&format!("sessions/{}/entries", made.id())), again).refused(409, "wrong_state");
        let asks = json!({"asks": [{"line": "A-B", "asked": 5}]});
        yard.rider.change(&first_entry(world, &made.json), asks.clone()).refused(403, "forbidden");
        world.trainer.change(&first_entry(world, &made.json), asks).expect(200);
    }

    fn a_riders_session_ends_with_its_only_entry(world) {
        let yard = Yard::new(world);
        let asked = yard.rider.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let entry = first_entry(world, &asked.json);
        world.trainer.change(&entry, json!({"status": "booked"})).expect(200);
        yard.rider.change(&entry, json!({"status": "cancelled"})).expect(200);
        assert_eq!(world.trainer.get(&world.at(&format!("sessions/{}", asked.id()))).expect(200)["status"], "cancelled");
        // nobody holds the arena any more
        world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
    }

    fn nobody_opens_a_session_in_which_a_minor_jumps_without_an_adult(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 8);
        body["trainer_id"] = json!(null);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        // an adult may jump so; then the birth date is put right
        let person = world.at(&format!("people/{}", yard.rider.person_id));
        world.trainer.change(&person, json!({"birth_date": "2012-04-01"})).expect(200);
        let refused = world.trainer.change(&path, json!({"status": "open"})).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["no_adult"]);
        world.trainer.change(&path, json!({"adult_id": yard.owner.person_id, "status": "open"})).expect(200);
    }

    fn who_is_needed_in_a_session_to_come_is_not_removed(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 8);
        body["adult_id"] = json!(yard.guardian.person_id);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let path = world.at(&format!("sessions/{}", made.id()));
        let person = world.at(&format!("people/{}", yard.guardian.person_id));
        let etag = world.trainer.get(&person).expect(200).etag();
        world.trainer.delete(&person, &etag).refused(409, "wrong_state");
        let kept = world.trainer.get(&path).expect(200);
        assert_eq!((&kept["entries"][0]["status"], &kept["adult_id"]), (&json!("booked"), &json!(yard.guardian.person_id)));
        world.trainer.change(&path, json!({"adult_id": null})).expect(200);
        world.trainer.delete(&person, &etag).expect(204);
    }

    fn an_arena_takes_no_fewer_sessions_than_are_booked_there_at_once(world) {
        let yard = Yard::new(world);
        let arena = world.at(&format!("arenas/{}", yard.arena));
        world.trainer.change(&arena, json!({"sessions_at_once": 2})).expect(200);
        let mut body = session(&yard, "2026-06-03", 9, 8);
        world.trainer.post(&world.at("sessions"), body.clone()).expect(201);
        body["entries"] = json!([]);
        body["trainer_id"] = json!(null);
        let second = world.trainer.post(&world.at("sessions"), body).expect(201);
        world.trainer.change(&arena, json!({"sessions_at_once": 1})).refused(409, "wrong_state");
        world.trainer.change(&arena, json!({"name": "Sand"})).expect(200);
        world.trainer.change(&world.at(&format!("sessions/{}", second.id())), json!({"status": "cancelled"})).expect(200);
        world.trainer.change(&arena, json!({"sessions_at_once": 1})).expect(200);
    }

    fn who_has_no_role_reads_no_names(world) {
        let rider = world.rider();
        assert_eq!(rider.get(&world.at("people")).expect(200).items().len(), 2, "themselves, and the trainer");
        world.trainer.change(&world.at(&format!("people/{}", rider.person_id)), json!({"roles": []})).expect(200);
        assert_eq!(rider.get(&world.at("people")).expect(200).each("id"), [json!(rider.person_id)]);
    }

    fn what_became_of_the_rest_is_not_answered_on_an_old_log(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 8)).expect(201);
        let (path, entry) = (world.at(&format!("sessions/{}", made.id())), first_entry(world, &made.json));
        world.trainer.change(&path, json!({"status": "closed"})).expect(200);
        let seen = world.trainer.get(&entry).expect(200);
        let whole = world.trainer.get(&path).expect(200).etag();
        assert_eq!(seen["unanswered_efforts"], 8);
        // a phone that was without a signal tells more
        let ride = world.trainer.post(&format!("{entry}/rides"), json!({"kind": "about", "efforts": 5, "at": "2026-06-01T07:30:00Z"})).expect(201);
        let now = world.trainer.get(&entry).expect(200);
        assert_eq!(now["unanswered_efforts"], 3);
        assert!(now.etag() != seen.etag() && world.trainer.get(&path).expect(200).etag() != whole);
        let answer = json!({"closing": {"answer": "as_planned"}});
        world.trainer.patch(&entry, &seen.etag(), answer.clone()).refused(412, "changed_meanwhile");
        let withdrawn = json!({"withdrawn": true});
        world.trainer.post(&format!("{entry}/rides/{}/corrections", ride.id()), withdrawn).expect(201);
        world.trainer.patch(&entry, &now.etag(), answer.clone()).refused(412, "changed_meanwhile");
        world.trainer.change(&entry, answer).expect(200);
    }
}
