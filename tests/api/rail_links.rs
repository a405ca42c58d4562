//! Rail links: what one opens, until when, and for whom.
use crate::ringside::{entry_of, go, member, ringside, with};
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Client, Value, World, json, on_both};

fn links(world: &World, session: &str) -> String {
    world.at(&format!("sessions/{session}/rail-links"))
}

/// A helper with a fresh link to the session, and the link's address and ETag.
fn helper(world: &World, session: &str) -> (Client, String, String) {
    let made = world.trainer.post(&links(world, session), json!({"label": "Gate"})).expect(201);
    (world.anonymous().with_token(&made.text_of("secret")), made.header("location"), made.etag())
}

on_both! {
    fn opens_the_rides_of_its_session_and_nothing_else(world) {
        let (of, alien) = (ringside(world, None), ringside(world, None));
        let (rail, location, _) = helper(world, &of.session);
        let ride = rail.post(&of.rides, go(&["jumped"])).expect(201);
        assert_eq!(ride["logged_by"], json!(world.trainer.person_id));
        rail.post(&alien.rides, go(&["jumped"])).refused(404, "not_found");
        rail.get(&alien.rides).refused(404, "not_found");
        rail.post(&format!("{}/{}/choice", of.rides, ride.id()), json!({"keep": true})).refused(403, "forbidden");
        for hidden in ["horses".to_owned(), format!("horses/{}", of.horse), format!("sessions/{}/rail-links", of.session)] {
            rail.get(&world.at(&hidden)).refused(404, "not_found");
        }
        rail.get(&location).refused(404, "not_found");
        rail.get(&world.elsewhere().at("rides")).refused(404, "not_found");

        world.trainer.post(&alien.rides, go(&["jumped"])).expect(201);
        assert_eq!(rail.get(&world.at("rides")).expect(200).each("session_id"), [json!(of.session)]);
        let of_entry = |entry: &str| with(go(&["jumped"]), json!({"entry_id": entry}));
        let mixed = json!({"rides": [of_entry(&of.entry), of_entry(&alien.entry)]});
        let refused = rail.post(&world.at("rides"), mixed).refused(409, "at_odds");
        assert_eq!(refused.pointers(), ["/rides/1/entry_id"]);
        rail.post(&world.at("rides"), json!({"rides": [of_entry(&of.entry)]})).expect(200);
    }

    fn tells_what_is_ridden_and_by_whom(world) {
        let yard = Yard::new(world);
        let revision = json!({"level": "novice", "fences": [{"label": "1", "kind": "vertical", "height_cm": 80}], "lines": []});
        let exercise = |name: &str| world.make("exercises", json!({"name": name, "revision": revision}));
        let (ridden, other) = (exercise("One fence"), exercise("Another"));
        let mut body = session(&yard, "2026-06-03", 9, 12);
        body["exercise_id"] = json!(ridden);
        let made = world.trainer.post(&world.at("sessions"), body).expect(201);
        let (rail, ..) = helper(world, &made.id());
        let seen = rail.get(&world.at(&format!("sessions/{}", made.id()))).expect(200);
        let entry = &seen["entries"][0];
        assert_eq!((&entry["horse_name"], &entry["rider_name"]), (&json!("Bramble"), &made["entries"][0]["rider_name"]));
        assert!(entry["rider_name"].is_string());
        let at = |exercise: &str| world.at(&format!("exercises/{exercise}/revisions/{}", seen["revision"]));
        assert_eq!(rail.get(&at(&ridden)).expect(200)["fences"][0]["label"], "1");
        rail.get(&at(&other)).refused(404, "not_found");
        rail.get(&world.at(&format!("exercises/{ridden}"))).refused(404, "not_found");
    }

    fn does_not_act_as_the_one_who_handed_it_out(world) {
        let of = ringside(world, None);
        let alien = ringside(world, None);
        let theirs = entry_of(world, &alien.session, Some(alien.horse.clone()), Some(&world.trainer), "booked");
        let (rail, ..) = helper(world, &of.session);
        rail.get(&theirs.rides).refused(404, "not_found");
        assert_eq!(rail.get(&world.at("rides")).expect(200).items().len(), 0);
    }

    fn ends_when_revoked(world) {
        let of = ringside(world, None);
        let (rail, location, etag) = helper(world, &of.session);
        rail.post(&of.rides, go(&["jumped"])).expect(201);
        world.trainer.ask("DELETE", &location).send().refused(428, "if_match_required");
        world.trainer.delete(&location, &etag).expect(204);
        rail.post(&of.rides, go(&["jumped"])).refused(401, "unauthenticated");
        let read = world.trainer.get(&location).expect(200);
        assert_ne!(read["revoked_at"], Value::Null);
        world.trainer.delete(&location, &read.etag()).refused(409, "wrong_state");
        assert_eq!(world.trainer.get(&of.rides).expect(200).items().len(), 1);
    }

    fn ends_two_hours_after_the_session(world) {
        let of = ringside(world, None);
        let (rail, location, _) = helper(world, &of.session);
        assert_eq!(world.trainer.get(&location).expect(200)["expires_at"], "2026-06-01T12:00:00Z");
        let later = world.server.beside();
        later.clock.set("2026-06-01T11:59:59Z");
        rail.at(&later.base).get(&of.rides).expect(200);
        later.clock.set("2026-06-01T12:00:00Z");
        rail.at(&later.base).get(&of.rides).refused(401, "unauthenticated");
    }

    fn told_once_and_bounded(world) {
        let of = ringside(world, None);
        let path = links(world, &of.session);
        let until = |at: &str| json!({"label": "Gate", "expires_at": at});
        world.trainer.post(&path, until("2026-06-02T10:00:00Z")).expect(201);
        for at in ["2026-06-02T10:00:01Z", "2026-06-01T08:00:00Z"] {
            assert_eq!(world.trainer.post(&path, until(at)).refused(409, "at_odds").pointers(), ["/expires_at"]);
        }
        let list = world.trainer.get(&path).expect(200);
        assert_eq!(list.items().len(), 1);
        assert!(!list.text().contains("secret"), "{}", list.text());
        let rider = member(world, true, false);
        rider.get(&path).refused(404, "not_found");
        rider.post(&path, json!({"label": "Gate"})).refused(404, "not_found");
        world.elsewhere().trainer.get(&path).refused(404, "not_found");
        let wrong = format!("{}x", world.trainer.post(&path, json!({"label": "Gate"})).expect(201).text_of("secret"));
        world.anonymous().with_token(&wrong).get(&of.rides).refused(401, "unauthenticated");
    }
}
