//! Races: nothing is in two places at once, whoever comes first, and whichever process answers.
mod racers;
mod slowly;
mod stable;

use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::Barrier;
use std::sync::atomic::{AtomicUsize, Ordering};
use stridewright_tests::barn::found;
use stridewright_tests::postgres::{Cluster, skipped};
use stridewright_tests::program::Program;
use stridewright_tests::temporary::Folder;
use stridewright_tests::watch::Watch;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{on_both, size};

on_both! {
    fn of_64_clients_for_one_slot_one_wins(world) {
        let yard = Yard::new(world);
        let rounds = size::of(1, 20, 2_000);
        for round in 0..rounds {
            let mut body = session(&yard, "2026-06-03", 9, 0);
            let starts_at: jiff::Timestamp = "2026-06-03T00:00:00Z".parse().unwrap();
            let hour = |n: usize| (starts_at + jiff::SignedDuration::from_hours(i64::try_from(n).unwrap())).to_string();
            body["kind"] = "flat".into();
            body["entries"] = stridewright_tests::json!([{"horse_id": yard.horse}]);
            (body["starts_at"], body["ends_at"]) = (hour(round).into(), hour(round + 1).into());
            let (start, won, lost) = (Barrier::new(64), AtomicUsize::new(0), AtomicUsize::new(0));
            std::thread::scope(|scope| {
                for _ in 0..64 {
                    scope.spawn(|| {
                        start.wait();
                        let answer = world.trainer.post(&world.at("sessions"), body.clone());
                        match answer.status {
                            201 => won.fetch_add(1, Ordering::Relaxed),
                            409 => lost.fetch_add(1, Ordering::Relaxed),
                            // told to come back: as good as a no here
                            503 => lost.fetch_add(1, Ordering::Relaxed),
                            other => panic!("{other}: {}", answer.text()),
                        };
                    });
                }
            });
            assert_eq!((won.into_inner(), lost.into_inner()), (1, 63));
        }
        println!("one slot on {:?}: {rounds} rounds of 64 clients, one winner each", world.server.database);
    }
}

/// In one barn: bookings, moves and cancellations by two processes, of which one is killed midway and comes again.
fn race_in_a_barn(name: &str, url: &str, attempts: Range<usize>) {
    let watch = Watch::start();
    let programs = [0, 1].map(|_| Program::start(racers::PROGRAM, url));
    let (barn_id, trainer) = found(&programs[0].client());
    let barn = format!("/api/v1/barns/{barn_id}");
    let stable = stable::Stable::new(&trainer, &barn);
    let race = racers::Race::new(programs, trainer, &barn, &stable);
    let outcome = race.run(url, attempts.clone());
    let found = slowly::find(&race.client(0), &barn, url, &stable);
    println!(
        "races on {name}: {} attempts by 2 processes of which one was killed, {} booked, {} moved, {} cancelled, {} \
         refused ({} by the hard limit), {} outrun, {} told to come back, {} sent again after the kill, {} standing in \
         the end, {} overlaps from the API, {} from the tables, {} broken limits (at most {} jumps a day), {} answers of \
         500, {} s",
        attempts.len(),
        outcome.booked.len(),
        outcome.moved,
        outcome.cancelled,
        outcome.refused,
        outcome.by_limit,
        outcome.outrun,
        outcome.busy,
        outcome.sent_again,
        found.booked,
        found.overlaps,
        found.overlaps_in_tables,
        found.broken_limits,
        found.most_jumps,
        outcome.faults.len(),
        watch.seconds(),
    );
    assert_eq!(outcome.faults, Vec::<String>::new());
    assert_eq!((found.overlaps, found.overlaps_in_tables, found.broken_limits), (0, 0, 0));
    let there: BTreeSet<String> = found.sessions.iter().map(|s| s["id"].as_str().unwrap().to_owned()).collect();
    assert_eq!(there.len(), found.sessions.len(), "one is there twice");
    assert_eq!(there, outcome.booked, "what is there is not what was acknowledged");
    assert_eq!(found.booked, outcome.booked.len() - outcome.cancelled, "a cancellation was lost");
    let raced = outcome.refused > 50 && outcome.by_limit > 0 && outcome.moved > 0 && outcome.cancelled > 0;
    assert!(raced && found.booked > 20, "not much of a race");
}

/// `STRIDEWRIGHT_BARNS` says how many barns, one after the other, `STRIDEWRIGHT_SEED` how many were before.
fn many_attempts(name: &str, url: &str) {
    let (barns, each) = (size::said("BARNS").unwrap_or(size::of(1, 1, 50)), size::of(600, 20_000, 20_000));
    let first = size::said("SEED").unwrap_or(0);
    for barn in first..first + barns {
        race_in_a_barn(name, url, barn * each..(barn + 1) * each);
    }
}

mod nothing_overlaps_after_many_attempts {
    use super::*;

    #[test]
    fn sqlite() {
        let folder = Folder::new();
        many_attempts("SQLite", &format!("sqlite://{}/barns.sqlite3", folder.path().display()));
    }

    #[test]
    fn postgres() {
        match Cluster::shared() {
            Some(cluster) => many_attempts("PostgreSQL", &cluster.database()),
            None => skipped(),
        }
    }
}
