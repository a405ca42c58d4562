//! Arenas and fence sets: made, changed, removed; what fits and what does not.
use crate::ringside::{conn, member, session_of};
use diesel::prelude::*;
use stridewright_api::db::schema::session;
use stridewright_api::on_each;
use stridewright_core::ids::{Arena, Barn, Exercise, FenceSet, Id, Session};
use stridewright_tests::{Value, World, json, on_both};

fn id<T>(text: &str) -> Id<T> {
    text.parse().unwrap()
}

/// A session of today that rides the exercise in the arena with the fence set; answers its id.
fn session_with(world: &World, arena: &str, set: &str, exercise: &str) -> String {
    let session_id = session_of(world, "jumping");
    on_each!(&mut conn(world), |c| diesel::update(
        session::table.find((id::<Barn>(&world.barn_id), id::<Session>(&session_id)))
    )
    .set((
        session::arena_id.eq(id::<Arena>(arena)),
        session::fence_set_id.eq(id::<FenceSet>(set)),
        session::exercise_id.eq(id::<Exercise>(exercise)),
        session::revision.eq(1),
    ))
    .execute(c))
    .unwrap();
    session_id
}

fn cancel(world: &World, session_id: &str) {
    on_each!(&mut conn(world), |c| diesel::update(
        session::table.find((id::<Barn>(&world.barn_id), id::<Session>(session_id)))
    )
    .set(session::status.eq("cancelled"))
    .execute(c))
    .unwrap();
}

fn school() -> Value {
    json!({"name": "Lower school", "length_m": 60.0, "width_m": 20.0, "letters": "20x60"})
}

on_both! {
    fn made_changed_and_removed(world) {
        let hours = json!([{"weekday": "monday", "opens": "07:00", "closes": "24:00"}]);
        let post = json!({"name": "jump store", "x_m": 57.0, "y_m": 0.0, "length_m": 3.0, "width_m": 2.0});
        let mut body = school();
        body["hours"] = hours.clone();
        body["obstructions"] = json!([post.clone()]);
        let made = world.trainer.post(&world.at("arenas"), body).expect(201);
        assert_eq!(made["hours"], hours);
        assert_eq!(made["obstructions"], json!([post]));
        assert_eq!(made["sessions_at_once"], json!(1));
        let at = world.at(&format!("arenas/{}", made.id()));
        let patch = json!({"name": "Upper school", "length_m": 40.0, "width_m": 20.0, "letters": "20x40", "indoor": true,
            "footing": "sand_and_fibre", "lights": true, "obstructions": [], "sessions_at_once": 2, "hours": []});
        let changed = world.trainer.patch(&at, &made.etag(), patch.clone()).expect(200);
        let read = world.trainer.get(&at).expect(200);
        assert_eq!(read.json, changed.json);
        for (field, value) in patch.as_object().unwrap() {
            assert_eq!(&read[field], value, "{field}");
        }
        world.trainer.patch(&at, &made.etag(), json!({"lights": true})).refused(412, "changed_meanwhile");
        world.trainer.delete(&at, &changed.etag()).expect(204);
        assert_eq!(world.trainer.get(&world.at("arenas")).expect(200).items().len(), 0);
        let gone = world.trainer.get(&at).expect(200);
        assert!(gone["removed_at"].is_string());
        world.trainer.patch(&at, &gone.etag(), json!({"lights": true})).refused(409, "wrong_state");
        world.trainer.delete(&at, &gone.etag()).refused(409, "wrong_state");
    }

    fn what_does_not_fit_is_named(world) {
        let post = |body: Value| world.trainer.post(&world.at("arenas"), body);
        let refused = |body: Value, pointers: &[&str]| {
            assert_eq!(post(body).refused(409, "at_odds").pointers(), pointers);
        };
        let malformed = |body: Value, pointers: &[&str]| {
            assert_eq!(post(body).refused(422, "invalid_body").pointers(), pointers);
        };
        let with = |field: &str, value: Value| {
            let mut body = school();
            body[field] = value;
            body
        };
        refused(with("letters", json!("20x40")), &["/letters"]);
        refused(with("width_m", json!(61.0)), &["/letters", "/width_m"]);
        malformed(with("width_m", json!(9.9)), &["/width_m"]);
        malformed(with("length_m", json!(300.1)), &["/length_m"]);
        malformed(with("sessions_at_once", json!(11)), &["/sessions_at_once"]);
        malformed(with("obstructions", json!([{"name": "a", "x_m": 1, "y_m": 1, "length_m": 0, "width_m": 1}])), &["/obstructions/0/length_m"]);
        let opening = |opens: &str, closes: &str| json!({"weekday": "friday", "opens": opens, "closes": closes});
        refused(with("hours", json!([opening("12:00", "08:00")])), &["/hours/0/closes"]);
        refused(with("hours", json!([opening("08:00", "12:00"), opening("11:59", "13:00")])), &["/hours/1"]);
        malformed(with("hours", json!([opening("8:00", "12:00")])), &["/hours/0/opens"]);
        let outside = json!({"name": "shed", "x_m": 58.0, "y_m": 0.0, "length_m": 3.0, "width_m": 2.0});
        refused(with("obstructions", json!([outside])), &["/obstructions/0"]);
        // letters may be dropped and the arena cut in one change
        let made = world.trainer.post(&world.at("arenas"), school()).expect(201);
        let at = world.at(&format!("arenas/{}", made.id()));
        let cut = world.trainer.patch(&at, &made.etag(), json!({"length_m": 45.0}));
        assert_eq!(cut.refused(409, "at_odds").pointers(), ["/letters"]);
        world.trainer.patch(&at, &made.etag(), json!({"length_m": 45.0, "letters": "none"})).expect(200);
    }

    fn a_fence_set_is_counted_piece_by_piece(world) {
        let items = json!({"wings_pairs": 8, "poles": 30, "planks": 4, "fillers": 3, "cups": 40, "safety_cups": 12});
        let made = world.trainer.post(&world.at("fence-sets"), json!({"name": "Blue set", "items": items})).expect(201);
        let at = world.at(&format!("fence-sets/{}", made.id()));
        let mut fewer = items;
        fewer["poles"] = json!(28);
        let changed = world.trainer.patch(&at, &made.etag(), json!({"items": fewer})).expect(200);
        assert_eq!((&changed["items"]["poles"], &changed["name"]), (&json!(28), &json!("Blue set")));
        fewer["poles"] = json!(-1);
        let refused = world.trainer.patch(&at, &changed.etag(), json!({"items": fewer}));
        assert_eq!(refused.refused(422, "invalid_body").pointers(), ["/items/poles"]);
        world.trainer.delete(&at, &changed.etag()).expect(204);
        assert!(world.trainer.get(&world.at("fence-sets")).expect(200).items().is_empty());
    }

    fn what_a_session_to_come_uses_is_not_removed(world) {
        let items = json!({"wings_pairs": 8, "poles": 30, "planks": 4, "fillers": 3, "cups": 40, "safety_cups": 12});
        let revision = json!({"level": "usual", "fences": [{"label": "1", "kind": "vertical", "height_cm": 90}]});
        let arena = world.make("arenas", school());
        let set = world.make("fence-sets", json!({"name": "Blue set", "items": items}));
        let exercise = world.make("exercises", json!({"name": "One fence", "revision": revision}));
        let things = [format!("arenas/{arena}"), format!("fence-sets/{set}"), format!("exercises/{exercise}")];
        let session_id = session_with(world, &arena, &set, &exercise);
        let removal = |thing: &String| world.trainer.delete(&world.at(thing), "\"v1\"");
        for thing in &things {
            removal(thing).refused(409, "wrong_state");
        }
        cancel(world, &session_id);
        for thing in &things {
            removal(thing).expect(204);
        }
    }

    fn riders_and_owners_read_them_and_trainers_keep_them(world) {
        let revision = json!({"level": "usual", "fences": [{"label": "1", "kind": "vertical", "height_cm": 90}]});
        let exercise = json!({"name": "One fence", "revision": revision});
        let things = [("arenas", school(), world.make("arenas", school())),
            ("exercises", exercise.clone(), world.make("exercises", exercise))];
        for (rider, owner) in [(true, false), (false, true)] {
            let someone = member(world, rider, owner);
            for (list, body, one) in &things {
                let at = world.at(&format!("{list}/{one}"));
                assert_eq!(someone.get(&world.at(list)).expect(200).items().len(), 1);
                someone.get(&at).expect(200);
                someone.post(&world.at(list), body.clone()).refused(403, "forbidden");
                someone.patch(&at, "\"v1\"", json!({"name": "Mine"})).refused(403, "forbidden");
                someone.delete(&at, "\"v1\"").refused(403, "forbidden");
            }
        }
    }

    fn another_barn_does_not_know_them(world) {
        let arena = world.make("arenas", school());
        let other = world.elsewhere();
        let none = format!("{}/{}", other.at("arenas"), arena);
        other.trainer.get(&none).refused(404, "not_found");
        other.trainer.get(&world.at(&format!("arenas/{arena}"))).refused(404, "not_found");
        other.trainer.post(&world.at("arenas"), school()).refused(404, "not_found");
    }

    fn pages_follow_each_other(world) {
        let mut made: Vec<String> = (0..5).map(|_| world.make("arenas", school())).collect();
        made.sort();
        let first = world.trainer.get(&world.at("arenas?limit=3")).expect(200);
        let next = world.at(&format!("arenas?limit=3&cursor={}", first.text_of("next_cursor")));
        let second = world.trainer.get(&next).expect(200);
        let ids: Vec<Value> = [first.each("id"), second.each("id")].concat();
        assert_eq!(ids, made.into_iter().map(Value::from).collect::<Vec<_>>());
        assert!(second["next_cursor"].is_null());
    }
}
