//! Barns: founding another, their settings, and who may change them.
use crate::accounts::stranger;
use diesel::prelude::*;
use stridewright_api::db::schema::audit;
use stridewright_api::on_each;
use stridewright_core::ids::{Barn, Id};
use stridewright_tests::client::fresh;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Answer, World, json, on_both};

const BARNS: &str = "/api/v1/barns";

/// What the barn's audit log holds, in order.
pub fn actions(world: &World) -> Vec<String> {
    let barn: Id<Barn> = world.barn_id.parse().unwrap();
    on_each!(&mut crate::ringside::conn(world), |c| audit::table
        .filter(audit::barn_id.eq(barn))
        .order(audit::seq)
        .select(audit::action)
        .load(c))
    .unwrap()
}

on_both! {
    fn an_account_founds_another(world) {
        let body = json!({"name": "Hill Barn", "time_zone": "America/Denver", "units": "imperial", "labels": "american"});
        world.trainer.ask("POST", BARNS).json(&body).send().refused(400, "idempotency_key_required");
        let key = fresh();
        let made = world.trainer.ask("POST", BARNS).key(&key).json(&body).send().expect(201);
        let again = world.trainer.ask("POST", BARNS).key(&key).json(&body).send().expect(201);
        assert_eq!((again.id(), again.etag()), (made.id(), made.etag()));
        assert_eq!(made["riders_confirm"], json!(false));
        let mut ids = vec![world.barn_id.clone(), made.id()];
        ids.sort();
        let first = world.trainer.get("/api/v1/barns?limit=1").expect(200);
        let next = first.text_of("next_cursor");
        let second = world.trainer.get(&format!("/api/v1/barns?limit=1&cursor={next}")).expect(200);
        assert_eq!([first.each("id"), second.each("id")].concat(), ids);
        assert_eq!(second["next_cursor"], json!(null));
        let founder = world.trainer.get(&format!("{BARNS}/{}/people", made.id())).expect(200);
        assert_eq!(founder.each("roles"), [json!(["trainer"])]);
        let mut taken = body.clone();
        taken["id"] = json!(made.id());
        let (_, other) = stranger(world);
        assert_eq!(other.post(BARNS, taken).refused(409, "conflict").pointers(), ["/id"]);
    }

    fn trainers_change_it_members_see_it_strangers_do_not_know_of_it(world) {
        let path = format!("{BARNS}/{}", world.barn_id);
        let rider = world.member(&["rider"]);
        let seen = rider.get(&path).expect(200);
        assert_eq!((&seen["name"], seen.version().as_str()), (&json!("Long Meadow"), "\"v1\""));
        rider.patch(&path, "\"v1\"", json!({"name": "Mine"})).refused(403, "forbidden");
        let (_, other) = stranger(world);
        let hidden = other.get(&path).refused(404, "not_found");
        let absent = other.get(&format!("{BARNS}/{}", fresh())).refused(404, "not_found");
        assert_eq!(hidden.bytes, absent.bytes);
        other.patch(&path, "\"v1\"", json!({"name": "Mine"})).refused(404, "not_found");
        let body = json!({"time_zone": "Pacific/Auckland", "units": "imperial", "labels": "american", "riders_confirm": true});
        let changed = world.trainer.patch(&path, "\"v1\"", body).expect(200);
        assert_eq!(changed["time_zone"], json!("Pacific/Auckland"));
        assert_eq!(rider.get(&path).expect(200).json, changed.json);
        let bad = world.trainer.change(&path, json!({"units": null, "time_zone": "Moon/Sea"}));
        assert_eq!(bad.refused(422, "invalid_body").pointers(), ["/time_zone", "/units"]);
    }

    fn in_another_zone_what_is_booked_is_tested_again(world) {
        let yard = Yard::new(world);
        let limit = json!({"kind": "max_efforts_per_day", "value": 12, "source": "owner"});
        yard.owner.post(&world.at(&format!("horses/{}/workload-limits", yard.horse)), limit).expect(201);
        // two days in Lisbon, one in Auckland
        let first = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-03", 20, 8)).expect(201);
        let second = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-04", 9, 8)).expect(201);
        let status = |made: &Answer| {
            let read = world.trainer.get(&world.at(&format!("sessions/{}", made.id()))).expect(200);
            let entry = &read["entries"][0];
            (entry["status"].clone(), entry["flags"][0]["code"].clone())
        };
        let path = format!("{BARNS}/{}", world.barn_id);
        world.trainer.change(&path, json!({"name": "Short Meadow"})).expect(200);
        assert_eq!(status(&second), (json!("booked"), json!(null)));
        world.trainer.change(&path, json!({"time_zone": "Pacific/Auckland"})).expect(200);
        assert_eq!(status(&first), (json!("booked"), json!(null)));
        assert_eq!(status(&second), (json!("requested"), json!("max_efforts_per_day")));
    }
}
