//! The people of a barn: who they are, who sees them, and that a trainer stays.
use stridewright_api::people::rows::is_minor;
use stridewright_tests::barn::Member;
use stridewright_tests::client::fresh;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Value, World, json, on_both};

fn path(world: &World, person: &str) -> String {
    world.at(&format!("people/{person}"))
}

fn guardians(world: &World, person: &str) -> String {
    world.at(&format!("people/{person}/guardians"))
}

/// A child of the barn without a sign-in.
fn child(world: &World, name: &str) -> String {
    world.make("people", json!({"name": name, "roles": ["rider"], "birth_date": "2015-03-02"}))
}

#[test]
fn one_is_a_minor_until_the_eighteenth_birthday() {
    let on = |born: &str, day: &str| is_minor(Some(born.parse().unwrap()), false, day.parse().unwrap());
    assert!(on("2008-06-02", "2026-06-01"));
    assert!(!on("2008-06-01", "2026-06-01"));
    assert!(on("2008-02-29", "2026-02-28"));
    assert!(!on("2008-02-29", "2026-03-01"));
    assert!(is_minor(None, true, "2026-06-01".parse().unwrap()));
}

on_both! {
    fn a_trainer_keeps_the_list(world) {
        let id = fresh();
        let body = json!({"id": id, "name": "Noor", "roles": ["owner", "rider"], "birth_date": "2008-06-02", "step_m": 0.81});
        let made = world.trainer.post(&world.at("people"), body.clone()).expect(201);
        assert_eq!(made.id(), id);
        assert_eq!((&made["roles"], &made["minor"], &made["linked"]), (&json!(["rider", "owner"]), &json!(true), &json!(false)));
        world.trainer.post(&world.at("people"), body).refused(409, "conflict");
        let changed = world.trainer.patch(&path(world, &id), &made.etag(), json!({"birth_date": "2008-06-01", "step_m": null})).expect(200);
        assert_eq!((&changed["minor"], &changed["step_m"]), (&json!(false), &Value::Null));
        let at_odds = |body: Value| world.trainer.change(&path(world, &id), body).refused(409, "at_odds").pointers();
        assert_eq!(at_odds(json!({"minor": true})), ["/minor"]);
        assert_eq!(at_odds(json!({"birth_date": "2026-06-02"})), ["/birth_date"]);
        let refused = |body: Value| world.trainer.change(&path(world, &id), body).refused(422, "invalid_body").pointers();
        assert_eq!(refused(json!({"step_m": 2.0})), ["/step_m"]);
        assert_eq!(refused(json!({"roles": ["groom"], "name": null})), ["/name", "/roles/0"]);
        let said = world.trainer.change(&path(world, &id), json!({"birth_date": null, "minor": true})).expect(200);
        assert_eq!((&said["minor"], &said["birth_date"]), (&json!(true), &Value::Null));
        world.trainer.ask("DELETE", &path(world, &id)).send().refused(428, "if_match_required");
        world.trainer.delete(&path(world, &id), &said.etag()).expect(204);
        world.trainer.get(&path(world, &id)).refused(404, "not_found");
        assert_eq!(world.trainer.get(&world.at("people")).expect(200).each("id"), [json!(world.trainer.person_id)]);
    }

    fn others_see_themselves_their_wards_and_the_trainers_names(world) {
        let (noor, rui) = (world.member(&["rider", "owner"]), world.member(&["rider"]));
        let ward = child(world, "Pia");
        world.trainer.change(&path(world, &world.trainer.person_id), json!({"roles": ["trainer", "rider"], "step_m": 0.9})).expect(200);
        world.trainer.post(&guardians(world, &ward), json!({"guardian_id": noor.person_id})).expect(201);
        let mut all: Vec<&str> = [&noor.person_id, &world.trainer.person_id, &ward].map(String::as_str).to_vec();
        all.sort_unstable();
        let ids = |query: &str| noor.get(&world.at(&format!("people{query}"))).expect(200).each("id");
        assert_eq!(ids(""), all.iter().map(|id| json!(id)).collect::<Vec<_>>());
        assert_eq!(ids("?role=trainer"), [json!(world.trainer.person_id)]);
        assert_eq!(ids("?role=owner"), [json!(noor.person_id)]);
        // that a trainer rides too is not for others to know
        assert!(!ids("?role=rider").contains(&json!(world.trainer.person_id)));
        assert_eq!(world.trainer.get(&world.at("people?role=rider")).expect(200).items().len(), 4);
        let seen = noor.get(&path(world, &world.trainer.person_id)).expect(200);
        assert_eq!(seen.json, json!({"id": world.trainer.person_id, "name": "Mara", "roles": ["trainer"]}));
        assert_eq!(noor.get(&path(world, &ward)).expect(200)["birth_date"], json!("2015-03-02"));
        let hidden = noor.get(&path(world, &rui.person_id)).refused(404, "not_found");
        assert_eq!(hidden.bytes, noor.get(&path(world, &fresh())).refused(404, "not_found").bytes);
        rui.get(&path(world, &ward)).refused(404, "not_found");
        world.elsewhere().trainer.get(&path(world, &ward)).refused(404, "not_found");
        noor.post(&world.at("people"), json!({"name": "X", "roles": []})).refused(403, "forbidden");
        noor.delete(&path(world, &noor.person_id), "\"v1\"").refused(403, "forbidden");
        noor.change(&path(world, &world.trainer.person_id), json!({"name": "X"})).refused(403, "forbidden");
        noor.change(&path(world, &ward), json!({"name": "Pia", "step_m": 0.5})).expect(200);
        for (field, value) in [("roles", json!(["trainer"])), ("birth_date", json!("2000-01-01")), ("minor", json!(false))] {
            let refused = noor.change(&path(world, &noor.person_id), json!({field: value})).refused(403, "forbidden");
            assert_eq!(refused.pointers(), [format!("/{field}")]);
        }
    }

    fn a_barn_keeps_a_trainer_who_can_sign_in(world) {
        let own = path(world, &world.trainer.person_id);
        world.make("people", json!({"name": "Tom", "roles": ["trainer"]})); // has no sign-in
        world.trainer.change(&own, json!({"roles": ["rider"]})).refused(409, "last_trainer");
        let etag = world.trainer.get(&own).expect(200).etag();
        world.trainer.delete(&own, &etag).refused(409, "last_trainer");
        let second = world.member(&["trainer"]);
        world.trainer.change(&own, json!({"roles": ["rider"]})).expect(200);
        world.trainer.post(&world.at("people"), json!({"name": "X", "roles": []})).refused(403, "forbidden");
        let etag = second.get(&path(world, &second.person_id)).expect(200).etag();
        second.delete(&path(world, &second.person_id), &etag).refused(409, "last_trainer");
    }

    fn two_trainers_cannot_remove_each_other(world) {
        let second = world.member(&["trainer"]);
        let mut tries = vec![(&world.trainer, &second), (&second, &world.trainer)];
        let etags: Vec<String> = tries.iter().map(|(_, who)| world.trainer.get(&path(world, &who.person_id)).expect(200).etag()).collect();
        let statuses: Vec<u16> = std::thread::scope(|scope| {
            let threads: Vec<_> = tries.drain(..).zip(&etags)
                .map(|((by, who), etag)| scope.spawn(move || by.delete(&path(world, &who.person_id), etag).status))
                .collect();
            threads.into_iter().map(|thread| thread.join().unwrap()).collect()
        });
        assert_eq!(statuses.iter().filter(|s| **s == 204).count(), 1, "{statuses:?}");
    }

    fn a_removal_bites_at_the_next_request(world) {
        let noor = world.member(&["rider", "owner"]);
        let horse = world.horse("Bramble");
        world.make(&format!("horses/{horse}/ownerships"), json!({"person_id": noor.person_id, "kind": "owner"}));
        noor.get(&world.at(&format!("horses/{horse}"))).expect(200);
        let etag = world.trainer.get(&path(world, &noor.person_id)).expect(200).etag();
        world.trainer.delete(&path(world, &noor.person_id), &etag).expect(204);
        noor.get(&world.at(&format!("horses/{horse}"))).refused(404, "not_found");
        noor.get(&format!("/api/v1/barns/{}", world.barn_id)).refused(404, "not_found");
        assert_eq!(noor.get("/api/v1/me").expect(200)["memberships"], json!([]));
        assert!(world.trainer.get(&world.at(&format!("horses/{horse}/ownerships"))).expect(200).items().is_empty());
    }

    fn only_adults_are_guardians_and_only_of_minors(world) {
        let (pia, noor) = (child(world, "Pia"), world.member(&["rider"]));
        let (ben, list) = (child(world, "Ben"), guardians(world, &pia));
        let add = |id: &str| world.trainer.post(&list, json!({"guardian_id": id}));
        for id in [fresh(), world.elsewhere().trainer.person_id] {
            assert_eq!(add(&id).refused(409, "at_odds").pointers(), ["/guardian_id"]);
        }
        assert_eq!(add(&ben).refused(409, "at_odds").pointers(), ["/guardian_id"]);
        world.trainer.post(&guardians(world, &noor.person_id), json!({"guardian_id": world.trainer.person_id})).refused(409, "wrong_state");
        noor.get(&list).refused(404, "not_found");
        let made = add(&noor.person_id).expect(201);
        assert_eq!(add(&noor.person_id).refused(409, "conflict").pointers(), ["/guardian_id"]);
        assert_eq!(noor.get(&made.header("location")).expect(200).json, made.json);
        assert_eq!(noor.get(&list).expect(200).each("name"), [json!("Robin")]);
        assert_eq!(noor.get("/api/v1/me").expect(200)["memberships"][0]["wards"], json!([{"person_id": pia, "name": "Pia"}]));
        noor.post(&list, json!({"guardian_id": noor.person_id})).refused(403, "forbidden");
        world.trainer.change(&path(world, &noor.person_id), json!({"minor": true})).refused(409, "wrong_state");
        // of age: nobody's ward
        let (grown, born) = (path(world, &pia), |day: &str| json!({"birth_date": day}));
        world.trainer.change(&grown, born("2000-01-01")).expect(200);
        noor.get(&grown).refused(404, "not_found");
        world.trainer.change(&grown, born("2015-03-02")).expect(200);
        noor.get(&grown).expect(200);
        noor.ask("DELETE", &made.header("location")).send().refused(403, "forbidden");
        world.trainer.ask("DELETE", &made.header("location")).send().expect(204);
        noor.get(&grown).refused(404, "not_found");
        world.trainer.get(&made.header("location")).refused(404, "not_found");
    }

    fn who_lost_a_role_finds_nothing_by_it_in_any_list(world) {
        let yard = Yard::new(world);
        world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 9, 8)).expect(201);
        let lists = |who: &Member| ["horses", "pairings", "sessions"].map(|list| who.get(&world.at(list)).expect(200).items().len());
        assert_eq!((lists(&yard.owner), lists(&yard.rider)), ([1, 1, 1], [1, 1, 1]));
        let line = json!({"horse_id": yard.horse, "distance_m": 21.0, "first_height_cm": 80, "second_height_cm": 80});
        let reckons = |who: &Member| who.post(&world.at("lines"), line.clone()).status;
        assert_eq!(reckons(&yard.owner), 200);
        // the ownership and the pairing stay; the roles that go with them change places
        for (member, role) in [(&yard.owner, "rider"), (&yard.rider, "owner")] {
            world.trainer.change(&world.at(&format!("people/{}", member.person_id)), json!({"roles": [role]})).expect(200);
            member.get(&world.at(&format!("horses/{}", yard.horse))).refused(403, "forbidden");
        }
        assert_eq!(lists(&yard.owner), [0, 0, 0]);
        assert_ne!(reckons(&yard.owner), 200);
        // what is their own stays theirs to see
        assert_eq!(lists(&yard.rider), [0, 1, 1]);
    }
}
