//! `stridewright check`: silent about what the service wrote, loud about what somebody altered.
use diesel::connection::SimpleConnection;
use stridewright_api::db::check::faults;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::on_each;
use stridewright_tests::server::{Server, settings};
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Database, World, json};

fn finds_what_was_altered(database: Database) {
    let Some(server) = Server::alone(database, settings()) else {
        return stridewright_tests::postgres::skipped();
    };
    let world = World::new(Box::leak(Box::new(server)));
    let yard = Yard::new(&world);
    let made = world.trainer.post(&world.at("sessions"), session(&yard, "2026-06-01", 9, 12)).expect(201);
    let entry = world.at(&format!("sessions/{}/entries/{}", made.id(), made["entries"][0]["id"].as_str().unwrap()));
    let fences = json!([{"fence": "1", "outcome": "jumped"}, {"fence": "2", "outcome": "rail"}, {"fence": "3", "outcome": "refusal"}]);
    world.trainer.post(&format!("{entry}/rides"), json!({"fences": fences, "height_cm": 80})).expect(201);

    let mut conn = Db::open(&Location::parse(&world.server.url).unwrap()).unwrap().conn().unwrap();
    assert_eq!(faults(&mut conn).unwrap(), Vec::<String>::new());
    let mut alter = |statement: &str| {
        on_each!(&mut conn, |c| c.batch_execute(statement)).unwrap();
        faults(&mut conn).unwrap()
    };
    let miscounted = alter("UPDATE ride SET efforts = 1");
    // what is stored, and what is shown of it
    assert!(miscounted.len() == 2 && miscounted[0].contains("stores 1 efforts"), "{miscounted:?}");
    assert!(
        miscounted[1].contains("2026-06-01 show 1 logged and 11 planned, the log counts 2 and 10"),
        "{miscounted:?}"
    );
    assert!(alter("UPDATE ride SET efforts = 2").is_empty());
    // somebody who owns the tables can do this too, and is found out
    let triggers: &[&str] = match database {
        Database::Sqlite => &["audit_no_update", "audit_no_delete", "audit_no_replace"],
        Database::Postgres => &["audit_append_only ON audit", "audit_not_truncated ON audit"],
    };
    for trigger in triggers {
        assert!(alter(&format!("DROP TRIGGER {trigger}")).is_empty());
    }
    let altered = alter("UPDATE audit SET resource = 'other' WHERE seq = 2");
    assert!(altered.len() == 1 && altered[0].contains("audit row 2"), "{altered:?}");
    let gone = alter("DELETE FROM audit WHERE seq = 2");
    assert!(gone.len() == 1 && gone[0].contains("audit row 3"), "{gone:?}");
}

#[test]
fn sqlite() {
    finds_what_was_altered(Database::Sqlite);
}

#[test]
fn postgres() {
    finds_what_was_altered(Database::Postgres);
}
