//! `stridewright check` beside twins: what was altered in one barn is told of that barn, once, by its own clock.
use super::steps;
use super::trio::Trio;
use diesel::prelude::*;
use stridewright_api::db::check::faults;
use stridewright_api::db::schema::{barn, ride};
use stridewright_api::on_each;
use stridewright_core::ids::{Barn, Id, Ride};
use stridewright_tests::{on_both, rows};

on_both! {
    fn tells_which_barn_was_altered(world) {
        let trio = Trio::found(world);
        for twin in &trio.barns {
            steps::fill(&trio, twin);
        }
        let c = &mut rows::beside(&trio.world.server.url);
        let id: Id<Barn> = trio.barns[1].id.parse().unwrap();
        let altered: Id<Ride> = trio.id("ride_id").parse().unwrap();
        // there the ride was the day before
        on_each!(&mut *c, |c| diesel::update(barn::table.filter(barn::barn_id.ne(id)))
            .set(barn::time_zone.eq("Pacific/Honolulu"))
            .execute(c))
        .unwrap();
        assert_eq!(faults(c).unwrap(), Vec::<String>::new());
        on_each!(&mut *c, |c| diesel::update(ride::table.filter(ride::barn_id.eq(id).and(ride::id.eq(altered))))
            .set(ride::efforts.eq(3))
            .execute(c))
        .unwrap();
        let stored = format!("barn {id}: ride {altered} stores 3 efforts, its fences count otherwise");
        // the day itself, and the sums to later days that hold it
        let days = [("1 days to 2026-06-01", 3, 5), ("28 days to 2026-06-15", 3, 27), ("28 days to 2026-06-20", 3, 32)];
        let shown = days.map(|(days, logged, planned)| {
            format!(
                "barn {id}: horse {}: {days} show {logged} logged and {planned} planned, the log counts {} and {}",
                trio.id("horse_id"),
                logged - 1,
                planned + 1
            )
        });
        let expected: Vec<String> = std::iter::once(stored).chain(shown).collect();
        assert_eq!(faults(c).unwrap(), expected);
    }
}
