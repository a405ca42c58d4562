//! Invitations: how people come into a barn, and that each is good once.
use crate::accounts::{at_once, stranger};
use stridewright_tests::barn::{PASSWORD, fresh_email};
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, Client, Value, World, json, on_both};

const JOIN: &str = "/api/v1/me/memberships";

fn invite(world: &World, body: Value) -> Answer {
    world.trainer.post(&world.at("invitations"), body).expect(201)
}

fn secret(world: &World, body: Value) -> String {
    invite(world, body).text_of("secret")
}

fn join(client: &Client, secret: &str) -> Answer {
    client.post(JOIN, json!({"invitation": secret}))
}

fn sign_up(client: &Client, secret: &str) -> Answer {
    let body = json!({"email": fresh_email("guest"), "name": "Noor", "password": PASSWORD, "invitation": secret});
    client.post("/api/v1/accounts", body)
}

#[track_caller]
fn refused(answer: Answer) -> Vec<u8> {
    let answer = answer.refused(409, "at_odds");
    assert_eq!(answer.pointers(), ["/invitation"]);
    answer.bytes
}

fn rider() -> Value {
    json!({"name": "Noor", "roles": ["rider"]})
}

on_both! {
    fn its_secret_is_shown_once(world) {
        let made = invite(world, rider());
        assert_eq!(made["expires_at"], json!("2026-06-15T08:00:00Z"));
        assert!(made.text_of("secret").starts_with("inv_"));
        let seen = world.trainer.get(&made.header("location")).expect(200);
        assert_eq!(seen["secret"], Value::Null);
        let listed = world.trainer.get(&world.at("invitations")).expect(200);
        assert_eq!(listed.items()[0], seen.json);
        let digest: String = {
            use diesel::prelude::*;
            use stridewright_api::db::schema::invitation;
            use stridewright_core::ids::{Id, Invitation};
            let id: Id<Invitation> = made.id().parse().unwrap();
            stridewright_api::on_each!(&mut crate::ringside::conn(world), |c| invitation::table
                .filter(invitation::id.eq(id)).select(invitation::secret_hash).first(c)).unwrap()
        };
        assert!(digest.len() == 64 && !made.text_of("secret").contains(&digest));
    }

    fn one_signs_up_by_it_once(world) {
        let made = invite(world, rider());
        let secret = made.text_of("secret");
        let account = sign_up(&world.anonymous(), &secret).expect(201);
        let membership = &account["memberships"][0];
        assert_eq!((&membership["barn_id"], &membership["roles"]), (&json!(world.barn_id), &json!(["rider"])));
        let seen = world.trainer.get(&made.header("location")).expect(200);
        assert_eq!((&seen["accepted_by"], &seen["accepted_at"]), (&membership["person_id"], &json!("2026-06-01T08:00:00Z")));
        let used = refused(sign_up(&world.anonymous(), &secret));
        let (_, other) = stranger(world);
        // one answer for all, which tells nothing of the barn
        assert_eq!(refused(join(&other, &secret)), used);
        let mistyped = format!("{}x", &secret[..secret.len() - 1]);
        for bad in [mistyped.as_str(), "inv_nothing_of_the_kind", "a-secret-of-another-kind"] {
            assert_eq!(refused(join(&other, bad)), used, "{bad}");
        }
        assert!(!String::from_utf8(used).unwrap().contains("Long Meadow"));
        world.trainer.delete(&made.header("location"), &seen.etag()).refused(409, "wrong_state");
    }

    fn it_is_accepted_once_however_many_try(world) {
        let secret = secret(world, rider());
        let statuses = at_once(6, || sign_up(&world.anonymous(), &secret).status);
        assert_eq!(statuses.iter().filter(|s| **s == 201).count(), 1, "{statuses:?}");
        assert_eq!(world.trainer.get(&world.at("people")).expect(200).items().len(), 2);
    }

    fn revoked_and_expired_ones_are_refused(world) {
        let (made, (_, other)) = (invite(world, rider()), stranger(world));
        world.trainer.ask("DELETE", &made.header("location")).send().refused(428, "if_match_required");
        world.trainer.delete(&made.header("location"), &made.etag()).expect(204);
        refused(join(&other, &made.text_of("secret")));
        let (short, usual) = (secret(world, json!({"name": "N", "roles": ["rider"], "expires_in_days": 1})), secret(world, rider()));
        let later = world.server.beside();
        later.clock.advance_seconds(24 * 3600);
        refused(sign_up(&Client::new(&later.base), &short));
        later.clock.advance_seconds(13 * 24 * 3600 - 1);
        refused(sign_up(&Client::new(&later.base), &short));
        sign_up(&Client::new(&later.base), &usual).expect(201);
    }

    fn it_links_a_person_who_was_known_before(world) {
        let pia = world.make("people", json!({"name": "Pia", "roles": ["rider"], "birth_date": "2010-01-01"}));
        let invitation = json!({"name": "Pia", "roles": [], "person_id": pia});
        let (first, second) = (secret(world, invitation.clone()), secret(world, invitation.clone()));
        let (_, other) = stranger(world);
        let membership = join(&other, &first).expect(201);
        assert_eq!((&membership["person_id"], &membership["roles"]), (&json!(pia), &json!(["rider"])));
        assert_eq!(world.trainer.get(&world.at(&format!("people/{pia}"))).expect(200)["linked"], json!(true));
        refused(sign_up(&world.anonymous(), &second));
        let again = world.trainer.post(&world.at("invitations"), invitation).refused(409, "at_odds");
        assert_eq!(again.pointers(), ["/person_id"]);
        let ben = world.make("people", json!({"name": "Ben", "roles": ["rider"]}));
        refused(join(&other, &secret(world, json!({"name": "Ben", "roles": [], "person_id": ben}))));
    }

    fn who_is_in_the_barn_gets_the_roles_beside_their_own(world) {
        let noor = world.member(&["rider"]);
        let membership = join(&noor, &secret(world, json!({"name": "Noor", "roles": ["owner"]}))).expect(201);
        assert_eq!((&membership["person_id"], &membership["roles"]), (&json!(noor.person_id), &json!(["rider", "owner"])));
        assert!(crate::barns::actions(world).contains(&format!("POST {JOIN}")));
        let faults = stridewright_api::db::check::faults(&mut crate::ringside::conn(world)).unwrap();
        assert_eq!(faults, Vec::<String>::new());
    }

    fn it_makes_a_guardian(world) {
        let pia = world.make("people", json!({"name": "Pia", "roles": ["rider"], "minor": true}));
        let noor = world.guardian_of(&pia);
        noor.get(&world.at(&format!("people/{pia}"))).expect(200);
        assert_eq!(noor.get("/api/v1/me").expect(200)["memberships"][0]["roles"], json!([]));
        let other = secret(world, json!({"name": "Ana", "roles": [], "guardian_of": pia}));
        world.trainer.change(&world.at(&format!("people/{pia}")), json!({"minor": false})).expect(200);
        refused(sign_up(&world.anonymous(), &other));
        assert_eq!(world.trainer.get(&world.at("people")).expect(200).items().len(), 3);
    }

    fn only_trainers_invite(world) {
        let (noor, elsewhere) = (world.member(&["rider", "owner"]), world.elsewhere());
        let path = world.at("invitations");
        noor.post(&path, rider()).refused(403, "forbidden");
        noor.get(&path).refused(403, "forbidden");
        elsewhere.trainer.post(&path, rider()).refused(404, "not_found");
        world.anonymous().post(&path, rider()).refused(401, "unauthenticated");
        let refused = |body: Value| world.trainer.post(&path, body).refused(409, "at_odds").pointers();
        assert_eq!(refused(json!({"name": "N", "roles": []})), ["/roles"]);
        let bad = world.trainer.post(&path, json!({"name": "N", "roles": ["groom"], "expires_in_days": 91}));
        assert_eq!(bad.refused(422, "invalid_body").pointers(), ["/expires_in_days", "/roles/0"]);
        for id in [fresh(), elsewhere.trainer.person_id.clone()] {
            assert_eq!(refused(json!({"name": "N", "roles": [], "person_id": id})), ["/person_id"]);
            assert_eq!(refused(json!({"name": "N", "roles": [], "guardian_of": id})), ["/guardian_of"]);
        }
        assert_eq!(refused(json!({"name": "N", "roles": [], "guardian_of": noor.person_id})), ["/guardian_of"]);
    }
}
