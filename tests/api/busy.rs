//! Waiting for the lock is bounded: a request that does not get it is told to come back, and loses nothing.
use std::sync::mpsc::channel;
use std::time::Duration;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::scope::Scope;
use stridewright_core::ids::{Barn, Id};
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Database, World, json};

/// Somebody else holds the barn's lock for longer than anybody waits.
fn comes_back_later(database: Database) {
    let Some(server) = Server::alone(database, settings()) else { return };
    let server: &'static Server = Box::leak(Box::new(server));
    let world = World::new(server);
    let (held, told) = channel();
    let (done, release) = channel::<()>();
    let (url, barn) = (server.url.clone(), world.barn_id.parse::<Id<Barn>>().unwrap());
    let holder = std::thread::spawn(move || {
        let db = Db::open(&Location::parse(&url).unwrap()).unwrap();
        let work = |_: &mut _| {
            held.send(()).unwrap();
            release.recv_timeout(Duration::from_secs(60)).ok();
            Ok::<(), stridewright_api::problem::Problem>(())
        };
        db.write(&Scope::barn(barn), work).unwrap_or_else(|p| panic!("{p}"));
    });
    told.recv().unwrap();
    let horse = json!({"id": stridewright_tests::client::fresh(), "name": "Bramble", "profile": "horse"});
    let busy = world.trainer.post(&world.at("horses"), horse.clone()).refused(503, "busy");
    assert!(!busy.header("retry-after").is_empty());
    world.trainer.get(&world.at("horses")).expect(200); // reading goes on
    done.send(()).unwrap();
    holder.join().unwrap();
    world.trainer.post(&world.at("horses"), horse).expect(201);
}

#[test]
fn sqlite() {
    comes_back_later(Database::Sqlite);
}

#[test]
fn postgres() {
    comes_back_later(Database::Postgres);
}
