//! An arena that several sessions may use at once: never more, and as many as there is room for.
use crate::ringside::conn;
use diesel::prelude::*;
use stridewright_api::db::schema::occupancy;
use stridewright_api::on_each;
use stridewright_core::ids::{Barn, Id, Session};
use stridewright_tests::{Answer, World, json, on_both};

/// A flat session from one hour of 3 June to another.
fn book(world: &World, arena: &str, from: u8, to: u8) -> Answer {
    let at = |hour: u8| format!("2026-06-03T{hour:02}:00:00Z");
    let session =
        json!({"kind": "flat", "title": "Flat work", "arena_id": arena, "starts_at": at(from), "ends_at": at(to)});
    world.trainer.post(&world.at("sessions"), session)
}

fn arena(world: &World, at_once: u8) -> String {
    world.make("arenas", json!({"name": "Top school", "length_m": 60, "width_m": 25, "sessions_at_once": at_once}))
}

fn cancel(world: &World, session: &Answer) {
    world.trainer.change(&world.at(&format!("sessions/{}", session.id())), json!({"status": "cancelled"})).expect(200);
}

/// The highest place that is held there: below the arena's room, the table's constraint stands behind the count.
fn highest(world: &World, arena: &str) -> Option<i32> {
    let (barn, arena): (Id<Barn>, Id<Session>) = (world.barn_id.parse().unwrap(), arena.parse().unwrap());
    on_each!(&mut conn(world), |c| occupancy::table
        .filter(occupancy::barn_id.eq(barn).and(occupancy::resource_id.eq(arena)))
        .select(diesel::dsl::max(occupancy::place))
        .first(c))
    .unwrap()
}

on_both! {
    fn two_at_once_and_no_third(world) {
        let arena = arena(world, 2);
        book(world, &arena, 9, 11).expect(201);
        book(world, &arena, 10, 12).expect(201);
        assert_eq!(book(world, &arena, 10, 11).refused(409, "occupied").reasons(), ["arena_taken"]);
        book(world, &arena, 11, 13).expect(201);
        assert_eq!(book(world, &arena, 8, 14).refused(409, "occupied").reasons(), ["arena_taken"]);
    }

    fn others_move_up_for_one_that_fits(world) {
        let arena = arena(world, 2);
        let gap = book(world, &arena, 9, 11).expect(201);
        book(world, &arena, 10, 11).expect(201);
        cancel(world, &gap);
        // one after the other, but in different places
        book(world, &arena, 9, 10).expect(201);
        book(world, &arena, 9, 11).expect(201);
        assert_eq!(highest(world, &arena), Some(1));
        assert_eq!(book(world, &arena, 9, 10).refused(409, "occupied").reasons(), ["arena_taken"]);
        assert_eq!(book(world, &arena, 10, 11).refused(409, "occupied").reasons(), ["arena_taken"]);
    }

    fn room_is_taken_away_only_where_it_is_not_needed(world) {
        let arena = arena(world, 3);
        let path = world.at(&format!("arenas/{arena}"));
        let all = [(9, 12), (10, 12), (11, 12)].map(|(from, to)| book(world, &arena, from, to).expect(201));
        world.trainer.change(&path, json!({"sessions_at_once": 2})).refused(409, "wrong_state");
        cancel(world, &all[0]);
        // the other two move down to the places that are left
        world.trainer.change(&path, json!({"sessions_at_once": 2})).expect(200);
        assert_eq!(highest(world, &arena), Some(1));
        assert_eq!(book(world, &arena, 11, 12).refused(409, "occupied").reasons(), ["arena_taken"]);
        book(world, &arena, 9, 11).expect(201);
        world.trainer.change(&path, json!({"sessions_at_once": 1})).refused(409, "wrong_state");
    }
}
