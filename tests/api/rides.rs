//! Rides: logged, repeated, told twice, corrected, withdrawn, and in batches.
use crate::ringside::{Ringside, entry_of, go, member, own, ringside, session_of, set_exercise, with};
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, Value, World, json, on_both};

fn jumps_of(answer: &Answer) -> &Value {
    &answer["jumps_today"]
}

/// The efforts of an entry that count.
fn counted(world: &World, of: &Ringside) -> i64 {
    let list = world.trainer.get(&of.rides).expect(200);
    let counts = list.items().iter().filter(|ride| ride["standing"] == "counted");
    counts.map(|ride| ride["efforts"].as_i64().unwrap()).sum()
}

on_both! {
    fn counted_as_ridden(world) {
        let of = ringside(world, None);
        let attempt = json!({"line": "1-2", "asked": 5, "ridden": 6, "distance_m": 21.0, "first_height_cm": 80,
            "second_height_cm": 90, "approach": "slow", "lost_first": "rhythm", "seconds": 3.5});
        let body = with(go(&["jumped", "rail", "refusal"]), json!({"attempts": [attempt], "pole_passes": 3}));
        let first = world.trainer.post(&of.rides, body).expect(201);
        assert_eq!(first["efforts"], 2);
        assert_eq!((&first["go"], &first["pole_passes"], &first["height_cm"]), (&json!(1), &json!(3), &json!(90)));
        assert_eq!((&first["standing"], jumps_of(&first)), (&json!("counted"), &json!(2)));
        assert_eq!(first["attempts"][0]["circle"], json!(false));
        assert_eq!(first["logged_by"], json!(world.trainer.person_id));
        let location = first.header("location");
        let read = world.trainer.get(&location).expect(200);
        assert_eq!(read["attempts"], first["attempts"]);
        assert_eq!(read["fences"][2]["outcome"], "refusal");

        let second = world.trainer.post(&of.rides, go(&["jumped"])).expect(201);
        assert_eq!((&second["go"], jumps_of(&second)), (&json!(2), &json!(3)));
        let more = world.trainer.post(&of.rides, json!({"kind": "extra_fence", "height_cm": 80})).expect(201);
        assert_eq!((&more["go"], jumps_of(&more)), (&Value::Null, &json!(4)));
        let about = json!({"kind": "about", "efforts": 10, "height_cm": 60});
        assert_eq!(jumps_of(&world.trainer.post(&of.rides, about).expect(201)), &json!(14));
        // yesterday's jumps are not today's
        let before = with(go(&["jumped"]), json!({"at": "2026-05-31T10:00:00Z"}));
        assert_eq!(jumps_of(&world.trainer.post(&of.rides, before).expect(201)), &json!(14));
        assert_eq!(world.trainer.get(&of.rides).expect(200).each("go"), json!([null, null, 1, 2, 3]).as_array().unwrap().clone());
    }

    fn a_session_ahead_does_not_say_when_it_was_ridden(world) {
        let of = ringside(world, None);
        let session = world.at(&format!("sessions/{}", of.session));
        let next_day = json!({"starts_at": "2026-06-02T09:00:00Z", "ends_at": "2026-06-02T10:00:00Z"});
        let arena = world.make("arenas", json!({"name": "Lower arena", "length_m": 60, "width_m": 25}));
        world.trainer.change(&session, with(next_day, json!({"arena_id": arena, "override_reason": "A test."}))).expect(200);
        let refused = world.trainer.post(&of.rides, go(&["jumped"])).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/at"]);
        let batch = json!({"rides": [with(go(&["jumped"]), json!({"entry_id": of.entry}))]});
        assert_eq!(world.trainer.post(&world.at("rides"), batch).refused(409, "at_odds").pointers(), ["/rides/0/at"]);
        let told = with(go(&["jumped"]), json!({"at": "2026-06-01T07:50:00Z"}));
        let ride = world.trainer.post(&of.rides, told).expect(201);
        assert_eq!((jumps_of(&ride), &ride["at_most_today"]), (&json!(1), &Value::Null));
        let corrections = format!("{}/{}/corrections", of.rides, ride.id());
        assert_eq!(world.trainer.post(&corrections, go(&["rail"])).refused(409, "at_odds").pointers(), ["/at"]);
        world.trainer.post(&corrections, json!({"withdrawn": true})).expect(201);
    }

    fn a_slip_of_the_pen_is_no_ride(world) {
        let of = ringside(world, None);
        assert_eq!(world.trainer.post(&of.rides, json!({})).refused(409, "at_odds").pointers(), ["/fences"]);
        let none = json!({"fences": [], "attempts": [], "pole_passes": 0});
        assert_eq!(world.trainer.post(&of.rides, none).refused(409, "at_odds").pointers(), ["/fences"]);
        let attempt = |distance: f64, ridden: u32| {
            let line = json!({"line": "1-2", "asked": 5, "ridden": ridden, "distance_m": distance, "first_height_cm": 80,
                "second_height_cm": 80});
            world.trainer.post(&of.rides, with(go(&["jumped", "jumped"]), json!({"attempts": [line]})))
        };
        // feet for metres, a digit too many, a bounce of 21 m, and next to nothing
        for (distance, ridden) in [(69.0, 5), (210.0, 5), (21.0, 0), (0.5, 5)] {
            assert_eq!(attempt(distance, ridden).refused(409, "at_odds").pointers(), ["/attempts/0/distance_m"]);
        }
        // a bounce, trot poles a stride apart, and the longest that a gallop makes of five
        for (distance, ridden) in [(3.3, 0), (1.4, 1), (35.0, 5)] {
            attempt(distance, ridden).expect(201);
        }
        let poles = json!({"pole_passes": 4});
        assert_eq!(world.trainer.post(&of.rides, poles).expect(201)["pole_passes"], 4);
    }

    fn once_however_often_it_is_sent(world) {
        let of = ringside(world, None);
        let body = with(go(&["jumped", "jumped", "jumped"]), json!({"id": fresh(), "note": "soft ground"}));
        let answers: Vec<Answer> = std::thread::scope(|scope| {
            let posts: Vec<_> = (0..64).map(|_| scope.spawn(|| world.trainer.post(&of.rides, body.clone()))).collect();
            posts.into_iter().map(|post| post.join().unwrap()).collect()
        });
        let first = answers[0].clone().expect(201);
        for answer in answers {
            assert_eq!(answer.expect(201).bytes, first.bytes);
        }
        assert_eq!(world.trainer.get(&of.rides).expect(200).items().len(), 1);
        assert_eq!(counted(world, &of), 3);
        let other = with(body.clone(), json!({"note": "hard ground"}));
        let refused = world.trainer.post(&of.rides, other).refused(409, "conflict");
        assert_eq!(refused.pointers(), ["/id"]);
        let elsewhere = ringside(world, None);
        world.trainer.post(&elsewhere.rides, body).refused(409, "conflict");
    }

    fn told_by_two_phones(world) {
        let rider = member(world, true, false);
        let of = ringside(world, Some(&rider));
        let one = with(go(&["jumped", "jumped"]), json!({"go": 1, "id": fresh()}));
        let first = rider.post(&of.rides, one.clone()).expect(201);
        // the trainer's phone saw the same
        let alike = with(one.clone(), json!({"id": fresh(), "note": "seen from the gate"}));
        assert_eq!(world.trainer.post(&of.rides, alike).expect(200).id(), first.id());
        // and another helper's did not
        let unlike = with(go(&["jumped", "rail", "jumped"]), json!({"go": 1, "id": fresh()}));
        let second = world.trainer.post(&of.rides, unlike.clone()).expect(201);
        assert_eq!((&second["standing"], jumps_of(&second)), (&json!("disputed"), &json!(2)));
        assert_eq!(world.trainer.post(&of.rides, unlike).expect(201)["standing"], "disputed");

        let choice = |ride: &Answer| format!("{}/{}/choice", of.rides, ride.id());
        rider.post(&choice(&second), json!({"keep": true})).refused(403, "forbidden");
        let kept = world.trainer.post(&choice(&second), json!({"keep": true})).expect(200);
        assert_eq!(kept["standing"], "counted");
        assert_eq!(counted(world, &of), 3);
        assert_eq!(world.trainer.get(&first.header("location")).expect(200)["standing"], "superseded");
        world.trainer.post(&choice(&second), json!({"keep": true})).refused(409, "wrong_state");
        world.trainer.post(&choice(&first), json!({"keep": true})).refused(409, "wrong_state");

        let third = with(go(&["fall"]), json!({"go": 1}));
        let third = world.trainer.post(&of.rides, third).expect(201);
        assert_eq!(third["standing"], "disputed");
        let dropped = world.trainer.post(&choice(&third), json!({"keep": false})).expect(200);
        assert_eq!(dropped["standing"], "superseded");
        let fourth = world.trainer.post(&of.rides, with(go(&["run_out"]), json!({"go": 1}))).expect(201);
        world.trainer.post(&choice(&second), json!({"keep": true})).expect(200);
        assert_eq!(world.trainer.get(&fourth.header("location")).expect(200)["standing"], "superseded");
        assert_eq!(counted(world, &of), 3);
    }

    fn corrected_without_losing_what_was_said(world) {
        let of = ringside(world, None);
        let old = world.trainer.post(&of.rides, with(go(&["jumped", "jumped"]), json!({"note": "two"}))).expect(201);
        let corrections = |ride: &Answer| format!("{}/{}/corrections", of.rides, ride.id());
        let body = with(go(&["jumped", "jumped", "jumped"]), json!({"id": fresh()}));
        let new = world.trainer.post(&corrections(&old), body.clone()).expect(201);
        assert_eq!((&new["go"], &new["supersedes"]), (&json!(1), &json!(old.id())));
        assert_eq!((&new["standing"], jumps_of(&new)), (&json!("counted"), &json!(3)));
        let kept = world.trainer.get(&old.header("location")).expect(200);
        assert_eq!((&kept["standing"], &kept["efforts"], &kept["note"]), (&json!("superseded"), &json!(2), &json!("two")));
        // another phone still tells what was corrected
        let slow = with(go(&["jumped", "jumped"]), json!({"id": fresh(), "go": 1}));
        assert_eq!(world.trainer.post(&of.rides, slow).expect(200).id(), old.id());
        // sent again under another key, and the first one too, by a phone that slept
        assert_eq!(world.trainer.post(&corrections(&old), body.clone()).expect(201).bytes, new.bytes);
        let slept = with(go(&["jumped", "jumped"]), json!({"id": old.id(), "note": "two"}));
        assert_eq!(world.trainer.post(&of.rides, slept).expect(201)["standing"], "superseded");
        world.trainer.post(&of.rides, body).refused(409, "conflict");
        world.trainer.post(&corrections(&old), go(&["fall"])).refused(409, "wrong_state");
        assert_eq!(counted(world, &of), 3);

        let mixed = with(go(&["jumped"]), json!({"withdrawn": true}));
        assert_eq!(world.trainer.post(&corrections(&new), mixed).refused(409, "at_odds").pointers(), ["/fences"]);
        let none = json!({"withdrawn": true, "note": "that was the other bay"});
        let none = world.trainer.post(&corrections(&new), none).expect(201);
        assert_eq!((&none["standing"], &none["efforts"], jumps_of(&none)), (&json!("withdrawn"), &json!(0), &json!(0)));
        world.trainer.post(&corrections(&none), json!({"withdrawn": true})).refused(409, "wrong_state");
        assert_eq!(world.trainer.get(&of.rides).expect(200).items().len(), 3);
        // its number is free again
        assert_eq!(world.trainer.post(&of.rides, go(&["jumped"])).expect(201)["go"], 1);
    }

    fn measured_as_the_exercise_stands(world) {
        let of = ringside(world, None);
        let fence = |label: &str, height: u32| json!({"label": label, "kind": "vertical", "height_cm": height});
        let line = json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 21.0, "measured": "inside_to_inside"});
        let revision = json!({"level": "usual", "fences": [fence("1", 80), fence("2", 95)], "lines": [line]});
        let exercise = world.make("exercises", json!({"name": "One line", "revision": revision}));
        let attempt = json!({"attempts": [{"line": "1-2", "asked": 5, "ridden": 5}]});
        let body = with(go(&["jumped", "jumped"]), attempt.clone());
        let unknown = world.trainer.post(&of.rides, body.clone()).refused(409, "at_odds");
        assert_eq!(
            unknown.pointers(),
            ["/attempts/0/distance_m", "/attempts/0/first_height_cm", "/attempts/0/second_height_cm"]
        );
        set_exercise(world, &of.session, &exercise);
        let half = with(go(&["jumped"]), attempt);
        assert_eq!(world.trainer.post(&of.rides, half).refused(409, "at_odds").pointers(), ["/attempts/0/line"]);
        let ride = world.trainer.post(&of.rides, body).expect(201);
        let as_set = &ride["attempts"][0];
        assert_eq!((&as_set["distance_m"], &as_set["second_height_cm"]), (&json!(21.0), &json!(95)));
        assert_eq!(ride["height_cm"], 95);
    }

    fn at_most_so_many_today(world) {
        let of = ringside(world, None);
        let also = entry_of(world, &session_of(world, "jumping"), Some(of.horse.clone()), None, "open");
        let at_most = |rides: &str, n: usize| {
            let answer = world.trainer.post(rides, go(&vec!["jumped"; n])).expect(201);
            answer["at_most_today"].as_i64().expect("a ceiling")
        };
        // the barn's 35 a day, of which 20 are planned in the other session
        assert_eq!(at_most(&of.rides, 1), 35 - 20);
        assert_eq!(at_most(&of.rides, 3), 15);
        // four of those planned in the other are jumped now, and two here
        assert_eq!(at_most(&also.rides, 2), 4 + 15);
        assert_eq!(at_most(&of.rides, 20), 2 + 15);
        // more than planned was jumped there
        assert_eq!(at_most(&also.rides, 1), 24 + 11);
        assert_eq!(at_most(&of.rides, 100), 3 + 15);
    }

    fn corrected_to_a_number_that_is_taken(world) {
        let of = ringside(world, None);
        world.trainer.post(&of.rides, go(&["jumped"])).expect(201);
        let second = world.trainer.post(&of.rides, go(&["jumped", "jumped"])).expect(201);
        let path = format!("{}/{}/corrections", of.rides, second.id());
        let moved = world.trainer.post(&path, with(go(&["jumped", "jumped"]), json!({"go": 1}))).expect(201);
        assert_eq!(moved["standing"], "disputed");
        assert_eq!(counted(world, &of), 1);
    }

    fn refused_only_where_it_is_no_log(world) {
        let of = ringside(world, None);
        let bad = json!({"go": 0, "fences": [{"fence": "1", "outcome": "flew"}, {"fence": "2"}], "extra": 1});
        let refused = world.trainer.post(&of.rides, bad).refused(422, "invalid_body");
        assert_eq!(refused.pointers(), ["/extra", "/fences/0/outcome", "/fences/1/outcome", "/go"]);
        let after = world.trainer.post(&of.rides, go(&["fall", "jumped"])).refused(409, "at_odds");
        assert_eq!(after.pointers(), ["/fences/1"]);
        let session = session_of(world, "jumping");
        let loose = entry_of(world, &session, None, None, "booked");
        world.trainer.post(&loose.rides, go(&["jumped"])).refused(409, "wrong_state");
        let farrier = entry_of(world, &session_of(world, "appointment"), Some(of.horse.clone()), None, "booked");
        world.trainer.post(&farrier.rides, go(&["jumped"])).refused(409, "wrong_state");
        // called off, and ridden all the same; far beyond every limit
        let called_off = entry_of(world, &session, Some(of.horse.clone()), None, "cancelled");
        let many = json!({"kind": "about", "efforts": 400});
        assert_eq!(jumps_of(&world.trainer.post(&called_off.rides, many).expect(201)), &json!(400));
    }

    fn seen_and_logged_by_whom_it_concerns(world) {
        let (rider, owner, other) = (member(world, true, false), member(world, false, true), member(world, true, true));
        let of = ringside(world, Some(&rider));
        own(world, &of.horse, &owner);
        let ride = rider.post(&of.rides, go(&["jumped"])).expect(201);
        assert_eq!(ride["logged_by"], json!(rider.person_id));
        assert_eq!(owner.get(&of.rides).expect(200).items().len(), 1);
        owner.post(&of.rides, go(&["jumped"])).refused(403, "forbidden");
        other.get(&of.rides).refused(404, "not_found");
        other.post(&of.rides, go(&["jumped"])).refused(404, "not_found");
        other.post(&format!("{}/{}/corrections", of.rides, ride.id()), go(&["jumped"])).refused(404, "not_found");
        world.elsewhere().trainer.post(&of.rides, go(&["jumped"])).refused(404, "not_found");
        world.anonymous().post(&of.rides, go(&["jumped"])).refused(401, "unauthenticated");

        let all = world.at("rides");
        let alien = ringside(world, None);
        world.trainer.post(&alien.rides, with(go(&["jumped"]), json!({"at": "2026-05-01T10:00:00Z"}))).expect(201);
        assert_eq!(world.trainer.get(&all).expect(200).items().len(), 2);
        for (who, expected) in [(&rider, 1), (&owner, 1), (&other, 0)] {
            assert_eq!(who.get(&all).expect(200).items().len(), expected);
        }
        let found = |query: &str| world.trainer.get(&format!("{all}?{query}")).expect(200).items().len();
        assert_eq!(found(&format!("horse_id={}", of.horse)), 1);
        assert_eq!(found(&format!("rider_id={}", rider.person_id)), 1);
        // without a time the planned start stands for it
        assert_eq!((found("from=2026-06-01"), found("to=2026-05-31"), found("from=2026-06-02")), (1, 1, 0));
        world.trainer.get(&format!("{all}?from=2026-06-02&to=2026-06-01")).refused(409, "at_odds");
        let page = world.trainer.get(&format!("{all}?limit=1")).expect(200);
        let next = world.trainer.get(&format!("{all}?limit=1&cursor={}", page.text_of("next_cursor"))).expect(200);
        assert_ne!(page.items()[0]["id"], next.items()[0]["id"]);
        assert_eq!(next["next_cursor"], Value::Null);
    }

    fn sent_in_a_batch(world) {
        let (of, also) = (ringside(world, None), ringside(world, None));
        let one = |n: usize| {
            let entry = if n.is_multiple_of(2) { &of.entry } else { &also.entry };
            with(go(&["jumped", "rail"]), json!({"id": fresh(), "entry_id": entry, "go": n / 2 + 1}))
        };
        let rides: Vec<Value> = (0..500).map(one).collect();
        let path = world.at("rides");
        let stored = world.trainer.post(&path, json!({"rides": rides})).expect(200);
        let outcomes = |answer: &Answer| -> Vec<Value> {
            answer["rides"].as_array().unwrap().iter().map(|ride| ride["outcome"].clone()).collect()
        };
        assert_eq!(outcomes(&stored), vec![json!("stored"); 500]);
        assert_eq!(stored["rides"][499]["go"], 250);
        assert_eq!(stored["entries"][0]["jumps_today"], 500);
        let again = world.trainer.post(&path, json!({"rides": rides})).expect(200);
        assert_eq!(outcomes(&again), vec![json!("known"); 500]);
        assert_eq!(again["entries"], stored["entries"]);
        let mut too_many = rides.clone();
        too_many.push(one(500));
        let refused = world.trainer.post(&path, json!({"rides": too_many})).refused(422, "invalid_body");
        assert_eq!(refused.pointers(), ["/rides"]);

        let differs = with(go(&["jumped"]), json!({"entry_id": of.entry, "go": 1}));
        let new = with(go(&["jumped"]), json!({"entry_id": of.entry}));
        let answer = world.trainer.post(&path, json!({"rides": [differs, new]})).expect(200);
        assert_eq!(outcomes(&answer), [json!("disputed"), json!("stored")]);
    }

    fn all_or_nothing_of_a_batch(world) {
        let of = ringside(world, None);
        let path = world.at("rides");
        let good = |outcomes: &[&str]| with(go(outcomes), json!({"entry_id": of.entry, "id": fresh()}));
        let lost = with(good(&["jumped"]), json!({"entry_id": fresh()}));
        let bad = json!({"rides": [good(&["jumped"]), good(&["fall", "jumped"]), lost]});
        let refused = world.trainer.post(&path, bad).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/rides/1/fences/1", "/rides/2/entry_id"]);
        let first = good(&["jumped"]);
        let at_odds = with(first.clone(), json!({"fences": [{"fence": "2", "outcome": "rail"}]}));
        let refused = world.trainer.post(&path, json!({"rides": [first, at_odds]})).refused(409, "conflict");
        assert_eq!(refused.pointers(), ["/rides/1/id"]);
        assert_eq!(world.trainer.get(&of.rides).expect(200).items().len(), 0);

        let rider = member(world, true, false);
        let theirs = entry_of(world, &of.session, Some(of.horse.clone()), Some(&rider), "booked");
        let own_ride = with(go(&["jumped"]), json!({"entry_id": theirs.entry}));
        let mixed = json!({"rides": [own_ride, good(&["jumped"])]});
        assert_eq!(rider.post(&path, mixed).refused(409, "at_odds").pointers(), ["/rides/1/entry_id"]);
        rider.post(&path, json!({"rides": [with(go(&["jumped"]), json!({"entry_id": theirs.entry}))]})).expect(200);
    }
}
