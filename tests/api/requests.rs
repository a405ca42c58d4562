//! A rider's requests: who may ask for what, who decides, who sees.
use stridewright_tests::barn::Member;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{json, on_both};

on_both! {
    fn a_rider_requests_and_a_trainer_decides(world) {
        let yard = Yard::new(world);
        let asked = yard.rider.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        assert_eq!((&asked["status"], &asked["entries"][0]["status"]), (&json!("requested"), &json!("requested")));
        // a request occupies nothing: the same again is asked for without a word
        yard.rider.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let entry = world.at(&format!("sessions/{}/entries/{}", asked.id(), asked["entries"][0]["id"].as_str().unwrap()));
        yard.rider.change(&entry, json!({"status": "booked"})).refused(409, "rule_refused");
        yard.rider.change(&entry, json!({"status": "declined", "reason": "No time."})).refused(403, "forbidden");
        let booked = world.trainer.change(&entry, json!({"status": "booked"})).expect(200);
        assert_eq!(booked["status"], "booked");
        assert_eq!(world.trainer.get(&world.at(&format!("sessions/{}", asked.id()))).expect(200)["status"], "booked");
        let cancelled = yard.rider.change(&entry, json!({"status": "cancelled"})).expect(200);
        assert_eq!(cancelled["status"], "cancelled");
    }

    fn a_request_says_what_speaks_against_it(world) {
        let yard = Yard::new(world);
        let fits = yard.rider.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        assert_eq!(fits["entries"][0]["flags"], json!([]));
        let booked = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let mut high = session(&yard, "2026-06-03", 9, 12);
        high["entries"][0]["planned_height_cm"] = json!(105);
        let asked = yard.rider.post(&world.at("sessions"), high).expect(201);
        let codes = |flags: &stridewright_tests::Value| {
            flags.as_array().unwrap().iter().map(|r| r["code"].as_str().unwrap().to_owned()).collect::<Vec<_>>()
        };
        let flags = &asked["entries"][0]["flags"];
        assert_eq!(codes(flags), ["arena_taken", "person_taken", "horse_taken", "person_taken", "above_pair_height"]);
        // whoever may see the entry reads when the arena is taken, but not when its people are elsewhere
        assert_eq!(flags[0]["message"], "the arena is taken on 2026-06-03 from 10:00 to 11:00");
        assert_eq!(flags[1]["message"], "the trainer is elsewhere at that time");
        // asked for anew, it is tested anew
        let entry = world.at(&format!("sessions/{}/entries/{}", asked.id(), asked["entries"][0]["id"].as_str().unwrap()));
        let lower = yard.rider.change(&entry, json!({"planned_height_cm": 90})).expect(200);
        assert_eq!(codes(&lower["flags"]), ["arena_taken", "person_taken", "horse_taken", "person_taken"]);
        let told = world.trainer.get(&entry).expect(200);
        assert_eq!(told["flags"][1]["message"], "the trainer is elsewhere on 2026-06-03 from 10:00 to 11:00");
        // and read anew, it says what holds now, under another ETag of the same version
        let conditional = || yard.rider.ask("GET", &entry).header("If-None-Match", &lower.etag()).send();
        conditional().expect(304);
        world.trainer.change(&world.at(&format!("sessions/{}", booked.id())), json!({"status": "cancelled"})).expect(200);
        let free = conditional().expect(200);
        assert_eq!((&free["flags"], free.version()), (&json!([]), lower.version()));
        world.trainer.patch(&entry, &lower.etag(), json!({"status": "booked"})).expect(200);
    }

    fn a_no_has_a_reason(world) {
        let yard = Yard::new(world);
        let asked = yard.rider.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let entry = world.at(&format!("sessions/{}/entries/{}", asked.id(), asked["entries"][0]["id"].as_str().unwrap()));
        assert_eq!(world.trainer.change(&entry, json!({"status": "declined"})).refused(409, "at_odds").pointers(), ["/reason"]);
        let declined = world.trainer.change(&entry, json!({"status": "declined", "reason": "The arena is harrowed then."})).expect(200);
        assert_eq!(declined["reason"], "The arena is harrowed then.");
        assert_eq!(world.trainer.get(&world.at(&format!("sessions/{}", asked.id()))).expect(200)["status"], "declined");
    }

    fn a_rider_confirms_at_once_only_where_the_barn_lets_them(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 12);
        body["confirm"] = json!(true);
        let refused = yard.rider.post(&world.at("sessions"), body.clone()).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["trainer_confirms"]);
        let barn = format!("/api/v1/barns/{}", world.barn_id);
        world.trainer.change(&barn, json!({"riders_confirm": true})).expect(200);
        let made = yard.rider.post(&world.at("sessions"), body).expect(201);
        assert_eq!(made["entries"][0]["status"], "booked");
        // but never past a soft limit
        let mut high = session(&yard, "2026-06-10", 9, 12);
        high["confirm"] = json!(true);
        high["entries"][0]["planned_height_cm"] = json!(105);
        let refused = yard.rider.post(&world.at("sessions"), high).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["above_pair_height"]);
        assert_eq!(refused["first_allowed_date"], json!(null), "no other day makes it lower");
    }

    fn a_rider_asks_for_themselves_ahead(world) {
        let yard = Yard::new(world);
        let mut past = session(&yard, "2026-05-20", 9, 12);
        assert_eq!(yard.rider.post(&world.at("sessions"), past.clone()).refused(409, "at_odds").pointers(), ["/starts_at"]);
        world.trainer.post(&world.at("sessions"), past.clone()).expect(201);
        past["starts_at"] = json!("2026-06-03T09:00:00Z");
        past["ends_at"] = json!("2026-06-03T10:00:00Z");
        past["entries"][0]["rider_id"] = json!(yard.child);
        assert_eq!(yard.rider.post(&world.at("sessions"), past.clone()).refused(409, "at_odds").pointers(), ["/entries/0/horse_id", "/entries/0/rider_id"]);
        past["entries"][0]["rider_id"] = json!(yard.rider.person_id);
        past["entries"][0]["horse_id"] = json!(yard.second_horse);
        assert_eq!(yard.rider.post(&world.at("sessions"), past).refused(409, "at_odds").pointers(), ["/entries/0/horse_id"]);
        yard.owner.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).refused(403, "forbidden");
    }

    fn a_guardian_acts_for_a_minor_and_a_minor_needs_an_adult(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 8);
        body["entries"][0] = json!({"horse_id": yard.pony, "rider_id": yard.child, "planned_efforts": 8, "planned_height_cm": 60});
        body["trainer_id"] = json!(null);
        let refused = world.trainer.post(&world.at("sessions"), body.clone()).refused(409, "rule_refused");
        assert_eq!(refused.reasons(), ["no_adult"]);
        assert_eq!(refused["reasons"][0]["binding"], true);
        body["adult_id"] = json!(yard.guardian.person_id);
        let asked = yard.guardian.post(&world.at("sessions"), body).expect(201);
        assert_eq!(asked["entries"][0]["status"], "requested");
        let path = world.at(&format!("sessions/{}", asked.id()));
        yard.guardian.get(&path).expect(200);
        yard.rider.get(&path).refused(404, "not_found");
        yard.owner.get(&path).refused(404, "not_found");
        world.elsewhere().trainer.get(&path).refused(404, "not_found");
    }

    fn riders_join_a_session_with_places_until_it_is_full(world) {
        let yard = Yard::new(world);
        let mut body = session(&yard, "2026-06-03", 9, 12);
        body["entries"] = json!([]);
        body["places"] = json!(1);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        // whoever may join finds it, whoever may not does not
        let found = |by: &Member| by.get(&world.at("sessions")).expect(200).each("id").contains(&json!(made.id()));
        assert_eq!([&yard.rider, &yard.guardian, &yard.owner].map(found), [true, true, false]);
        let entries = world.at(&format!("sessions/{}/entries", made.id()));
        let mine = json!({"horse_id": yard.horse, "rider_id": yard.rider.person_id, "planned_efforts": 10, "planned_height_cm": 80});
        let joined = yard.rider.post(&entries, mine).expect(201);
        world.trainer.change(&format!("{entries}/{}", joined.id()), json!({"status": "booked"})).expect(200);
        let child = json!({"horse_id": yard.pony, "rider_id": yard.child, "planned_efforts": 6, "planned_height_cm": 50});
        yard.guardian.post(&entries, child).refused(409, "wrong_state");
        // each sees only their own entry
        assert_eq!(yard.rider.get(&entries).expect(200).items().len(), 1);
        assert_eq!(yard.owner.get(&entries).expect(200).items().len(), 1, "it is on her horse");
    }

    fn who_leaves_the_barn_rides_in_nothing_ahead(world) {
        let yard = Yard::new(world);
        let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 12)).expect(201);
        let person = world.at(&format!("people/{}", yard.rider.person_id));
        let etag = world.trainer.get(&person).expect(200).etag();
        world.trainer.delete(&person, &etag).expect(204);
        yard.rider.get(&world.at("sessions")).refused(404, "not_found");
        let left = world.trainer.get(&world.at(&format!("sessions/{}", made.id()))).expect(200);
        assert_eq!(left["entries"][0]["status"], "cancelled");
        // the horse is free for another
        let loose = json!([{"horse_id": yard.horse, "planned_efforts": 6, "planned_height_cm": 60}]);
        let mut other = session(&yard, "2026-06-03", 9, 6);
        other["arena_id"] = json!(yard.other_arena);
        other["trainer_id"] = json!(null);
        other["entries"] = loose;
        world.trainer.post(&world.at("sessions"), other).expect(201);
    }
}
