//! Of two who change the same version one wins, and the other is told: every operation that takes If-Match.
use std::sync::Barrier;
use std::sync::atomic::{AtomicUsize, Ordering};
use stridewright_tests::client::fresh;
use stridewright_tests::operations::{Request, Stage};
use stridewright_tests::postgres::skipped;
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Answer, Client, Database, json, size};

const CLIENTS: usize = 4;

/// Sends the same under different keys, all at once.
fn race(request: &Request) -> Vec<Answer> {
    let start = Barrier::new(CLIENTS);
    std::thread::scope(|scope| {
        let racers: Vec<_> = (0..CLIENTS)
            .map(|_| {
                scope.spawn(|| {
                    let own = Request { key: fresh(), ..request.clone() };
                    start.wait();
                    own.send()
                })
            })
            .collect();
        racers.into_iter().map(|racer| racer.join().unwrap()).collect()
    })
}

/// Every change of the document: one of those who saw the same version does it.
fn every_change(server: &Server) {
    let stage = Stage::new(&Client::new(&server.base));
    let versioned: Vec<_> = stage.operations().iter().filter(|o| o.versioned).cloned().collect();
    assert!(versioned.len() > 15);
    let rounds = size::of(2, 10, 50);
    for operation in &versioned {
        for _ in 0..rounds {
            let answers = race(&stage.request(operation));
            let won = answers.iter().filter(|a| a.status < 300).count();
            // whose thing is gone meanwhile is told that it is not there
            let told = answers.iter().filter(|a| [404, 412].contains(&a.status)).count();
            let all: Vec<String> = answers.iter().map(|a| format!("{} {}", a.status, a.text())).collect();
            assert_eq!((won, told), (1, CLIENTS - 1), "{}: {all:?}", operation.name());
        }
    }
    let races = versioned.len() * rounds;
    println!(
        "lost updates on {:?}: {} changes, {races} races of {CLIENTS}, one winner each",
        server.database,
        versioned.len()
    );
}

/// Read, add one, write: what was added is there in the end.
fn counted_up(server: &Server) {
    let stage = Stage::new(&Client::new(&server.base));
    let path = format!("/api/v1/barns/{}/horses/{}", stage.barn_id, stage.make("/api/v1/barns/{barn_id}/horses"));
    let trainer = &stage.trainer;
    trainer.change(&path, json!({"name": "0"}));
    let rounds = size::of(50, 1_000, 10_000);
    let (start, end, lost) = (Barrier::new(CLIENTS), Barrier::new(CLIENTS), AtomicUsize::new(0));
    let won: Vec<usize> = std::thread::scope(|scope| {
        let counting: Vec<_> = (0..CLIENTS)
            .map(|_| {
                scope.spawn(|| {
                    let mut won = 0;
                    for _ in 0..rounds {
                        let seen = trainer.get(&path).expect(200);
                        let next: usize = seen.text_of("name").parse::<usize>().unwrap() + 1;
                        // everybody has read before anybody writes
                        start.wait();
                        let answer = trainer.patch(&path, &seen.etag(), json!({"name": next.to_string()}));
                        match answer.status {
                            200 => won += 1,
                            412 => drop(lost.fetch_add(1, Ordering::Relaxed)),
                            other => panic!("{other}: {}", answer.text()),
                        }
                        end.wait();
                    }
                    won
                })
            })
            .collect();
        counting.into_iter().map(|one| one.join().unwrap()).collect()
    });
    let all: usize = won.iter().sum();
    assert_eq!((all, lost.into_inner()), (rounds, rounds * (CLIENTS - 1)), "not one winner a round: {won:?}");
    assert_eq!(trainer.get(&path).expect(200)["name"], rounds.to_string(), "an update is lost");
    println!("lost updates on {:?}: {rounds} rounds of {CLIENTS}, won {won:?}, 0 lost", server.database);
}

fn on(database: Database, test: fn(&Server)) {
    match Server::alone(database, settings()) {
        Some(server) => test(&server),
        None => skipped(),
    }
}

mod of_every_change_one_wins {
    use super::*;
    #[test]
    fn sqlite() {
        on(Database::Sqlite, every_change);
    }
    #[test]
    fn postgres() {
        on(Database::Postgres, every_change);
    }
}

mod read_add_one_write {
    use super::*;
    #[test]
    fn sqlite() {
        on(Database::Sqlite, counted_up);
    }
    #[test]
    fn postgres() {
        on(Database::Postgres, counted_up);
    }
}
