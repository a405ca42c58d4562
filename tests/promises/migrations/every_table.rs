//! Migrations that alter tables with rows in them: taken back and applied again, every row is there.
use crate::wall::two_barns::TwoBarns;
use std::path::Path;
use stridewright_api::db::check::faults;
use stridewright_api::db::migrate;
use stridewright_tests::Database;
use stridewright_tests::postgres::skipped;
use stridewright_tests::rows::counts;

/// The last migration that only made tables.
const MADE: &str = "2026-11-25-000006";

fn keeps_every_row(database: Database) {
    let Some(barns) = TwoBarns::new(database) else { return skipped() };
    let folder = match database {
        Database::Sqlite => "sqlite",
        Database::Postgres => "postgres",
    };
    let folder = Path::new(env!("CARGO_MANIFEST_DIR")).join("../migrations").join(folder);
    let text = |name: &str, way: &str| std::fs::read_to_string(folder.join(name).join(format!("{way}.sql"))).unwrap();
    let names: Vec<String> =
        migrate::names().unwrap().0.into_iter().filter(|name| &name[..MADE.len()] > MADE).collect();
    assert!(names.len() > 2, "{names:?}");
    let c = &mut barns.db().conn().unwrap();
    let before = counts(c);
    assert!(before.values().all(|rows| *rows > 0), "{before:?}");
    let backwards = names.iter().rev().map(|name| text(name, "down"));
    for statements in backwards.chain(names.iter().map(|name| text(name, "up"))) {
        c.batch(&format!("BEGIN; {statements}; COMMIT")).unwrap_or_else(|e| panic!("{e}: {statements}"));
        assert_eq!(counts(c), before, "{statements}");
    }
    assert_eq!(faults(c).unwrap_or_else(|p| panic!("{p}")), Vec::<String>::new());
    let rows: i64 = before.values().sum();
    println!(
        "migrations on {database:?}: {} that alter tables, there and back with {rows} rows in them, none lost",
        names.len()
    );
}

#[test]
fn sqlite() {
    keeps_every_row(Database::Sqlite);
}

#[test]
fn postgres() {
    keeps_every_row(Database::Postgres);
}
