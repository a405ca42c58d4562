//! Migrations: there and back, killed halfway, and raced for by several processes.
mod every_table;

use diesel::prelude::*;
use diesel::sql_types::Text;
use std::process::{Child, Command, Stdio};
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::migrate;
use stridewright_api::db::pool::{Db, Location, OpenError};
use stridewright_api::on_each;
use stridewright_tests::operations::Stage;
use stridewright_tests::postgres::skipped;
use stridewright_tests::rows::counts;
use stridewright_tests::server::{Server, empty, settings};
use stridewright_tests::watch::Watch;
use stridewright_tests::{Client, Database, size};

const PROGRAM: &str = env!("CARGO_BIN_EXE_barn-server");

#[derive(QueryableByName)]
struct Line {
    #[diesel(sql_type = Text)]
    line: String,
}

const SQLITE_SCHEMA: &str = "SELECT type || ' ' || name || ' ' || coalesce(sql, '') AS line FROM sqlite_master \
    WHERE name NOT LIKE 'sqlite_%' AND name NOT LIKE '__diesel%' ORDER BY 1";
const POSTGRES_SCHEMA: &str = "SELECT * FROM (
    SELECT 'column ' || table_name || '.' || column_name || ' ' || data_type || ' ' || is_nullable || ' '
        || coalesce(column_default, '') AS line FROM information_schema.columns WHERE table_schema = 'public'
    UNION ALL SELECT 'constraint ' || conrelid::regclass || ' ' || conname || ' ' || pg_get_constraintdef(oid)
        FROM pg_constraint WHERE connamespace = 'public'::regnamespace AND conrelid <> 0
    UNION ALL SELECT 'index ' || indexdef FROM pg_indexes WHERE schemaname = 'public'
    UNION ALL SELECT 'trigger ' || tgname || ' ' || pg_get_triggerdef(oid) FROM pg_trigger WHERE NOT tgisinternal
    UNION ALL SELECT 'function ' || proname || ' ' || prosrc FROM pg_proc p
        WHERE pronamespace = 'public'::regnamespace
        AND NOT EXISTS (SELECT 1 FROM pg_depend d WHERE d.objid = p.oid AND d.deptype = 'e')
    UNION ALL SELECT 'policy ' || tablename || ' ' || policyname || ' ' || cmd || ' ' || roles::text || ' '
        || coalesce(qual, '') || ' ' || coalesce(with_check, '') FROM pg_policies WHERE schemaname = 'public'
    UNION ALL SELECT 'table ' || relname || ' ' || relrowsecurity || ' ' || relforcerowsecurity || ' '
        || coalesce(relacl::text, '') FROM pg_class WHERE relnamespace = 'public'::regnamespace AND relkind = 'r'
    UNION ALL SELECT 'type ' || typname FROM pg_type t WHERE typnamespace = 'public'::regnamespace AND typtype = 'e'
) all_of_it WHERE line NOT LIKE '%__diesel%' ORDER BY 1";

fn schema(c: &mut AnyConn) -> Vec<String> {
    let query = if c.is_sqlite() { SQLITE_SCHEMA } else { POSTGRES_SCHEMA };
    let lines: Vec<Line> = on_each!(c, |c| diesel::sql_query(query).load(c)).unwrap();
    lines.into_iter().map(|line| line.line).collect()
}

fn open(url: &str) -> Db {
    Db::open(&Location::parse(url).unwrap()).unwrap()
}

fn there_and_back(database: Database) {
    let Some((url, _folder)) = empty(database) else { return skipped() };
    let db = open(&url);
    let c = &mut db.conn().unwrap();
    assert!(!migrate::is_current(c).unwrap());
    let applied = migrate::up(c).unwrap();
    let first = schema(c);
    assert!(first.len() > 50 && migrate::is_current(c).unwrap());
    migrate::down(c).unwrap();
    assert_eq!(schema(c), Vec::<String>::new(), "something is left behind");
    assert_eq!(migrate::up(c).unwrap(), applied);
    assert_eq!(schema(c), first);
}

/// A program that brings the database up to date, and perhaps dies at a point.
fn migrating(url: &str, point: Option<String>) -> Command {
    let mut command = Command::new(PROGRAM);
    command.args(["--database-url", url, "migrate"]).stdout(Stdio::piped()).stderr(Stdio::null());
    command.envs(point.map(|point| ("STRIDEWRIGHT_DIE_AT", point)));
    command
}

fn succeeds(url: &str) {
    assert!(migrating(url, None).status().unwrap().success(), "it does not come to an end after a kill");
}

fn raced(database: Database) {
    let Some((url, _folder)) = empty(database) else { return skipped() };
    let racers: Vec<Child> = (0..4).map(|_| migrating(&url, None).spawn().unwrap()).collect();
    let outputs: Vec<_> = racers.into_iter().map(|racer| racer.wait_with_output().unwrap()).collect();
    assert!(outputs.iter().all(|output| output.status.success()));
    let applied: usize = outputs.iter().map(|output| String::from_utf8_lossy(&output.stdout).lines().count()).sum();
    let (names, _) = migrate::names().unwrap();
    assert_eq!(applied, names.len(), "a migration ran twice, or not at all");
    println!("migrations on {database:?}: raced for by 4 processes, each of {applied} applied once");
}

/// Runs a script of the last migrations: `down` from the latest on, or `up`.
fn run(c: &mut AnyConn, way: &str, last: usize) {
    let tree = if c.is_sqlite() { "sqlite" } else { "postgres" };
    let (names, _) = migrate::names().unwrap();
    let mut names = names[names.len() - last..].to_vec();
    if way == "down" {
        names.reverse();
    }
    c.batch("BEGIN").unwrap();
    for name in names {
        let path = format!("{}/../migrations/{tree}/{name}/{way}.sql", env!("CARGO_MANIFEST_DIR"));
        c.batch(&std::fs::read_to_string(&path).unwrap()).unwrap_or_else(|e| panic!("{path}: {e}"));
    }
    c.batch("COMMIT").unwrap();
}

/// A database in which everything was made once.
fn filled(database: Database) -> Option<Server> {
    let server = Server::alone(database, settings())?;
    let stage = Stage::new(&Client::new(&server.base));
    for operation in stage.operations().iter().filter(|operation| operation.action == "Create") {
        assert!(stage.request(operation).send().status < 300, "{}", operation.name());
    }
    Some(server)
}

/// What is not a migration's own stays as it was when the migration is taken back and comes again.
fn keeps_what_it_can(database: Database) {
    let Some(server) = filled(database) else { return skipped() };
    let c = &mut open(&server.url).conn().unwrap();
    let (first, (names, _)) = (schema(c), migrate::names().unwrap());
    let mut kept_most = 0;
    for last in 1..names.len() {
        let before = counts(c);
        run(c, "down", last);
        let halfway = counts(c);
        let lost: Vec<_> = halfway.iter().filter(|(table, rows)| before.get(*table) != Some(rows)).collect();
        assert_eq!(lost, [], "taking {last} back loses rows of tables that stay");
        kept_most = kept_most.max(halfway.values().sum());
        run(c, "up", last);
        let again = counts(c);
        let lost: Vec<_> = halfway.iter().filter(|(table, rows)| again.get(*table) != Some(rows)).collect();
        assert_eq!((lost, schema(c)), (Vec::new(), first.clone()), "the last {last} come again");
    }
    println!(
        "migrations on {database:?}: the last 1 to {} taken back and again, {kept_most} rows kept",
        names.len() - 1
    );
}

/// Old or new, never between, wherever the program dies.
fn killed(database: Database) {
    let Some((url, _folder)) = empty(database) else { return skipped() };
    let watch = Watch::start();
    succeeds(&url);
    let whole = watch.elapsed();
    let c = &mut open(&url).conn().unwrap();
    let (new, (names, _)) = (schema(c), migrate::names().unwrap());
    let again = |c: &mut AnyConn| {
        migrate::down(c).unwrap();
        assert_eq!(schema(c), Vec::<String>::new());
    };
    for nth in 1..=names.len() {
        again(c);
        let died = migrating(&url, Some(format!("in migration:{nth}"))).status().unwrap();
        assert!(!died.success(), "it passed the point");
        assert_eq!(schema(c), Vec::<String>::new(), "between old and new after migration {nth}");
        succeeds(&url);
        assert_eq!(schema(c), new);
    }
    let (kills, mut old) = (size::of(5, 50, 500), 0);
    for _ in 0..kills {
        again(c);
        let mut child = migrating(&url, None).spawn().unwrap();
        let part = u32::from(uuid::Uuid::new_v4().as_bytes()[0]);
        #[allow(clippy::disallowed_methods, reason = "the moment of the kill is the point")]
        std::thread::sleep(whole * part / 220);
        let _ = child.kill();
        let _ = child.wait();
        let left = schema(c);
        assert!(left.is_empty() || left == new, "between old and new: {left:?}");
        old += usize::from(left.is_empty());
        succeeds(&url);
        assert_eq!(schema(c), new);
    }
    println!(
        "migrations on {database:?}: killed after each of {}, and at {kills} moments ({old} left the old schema, {} the new)",
        names.len(),
        kills - old
    );
}

/// A database with data in it, two versions behind.
fn killed_in_an_upgrade(database: Database) {
    let Some(server) = filled(database) else { return skipped() };
    let c = &mut open(&server.url).conn().unwrap();
    let new = schema(c);
    for nth in [1, 2] {
        run(c, "down", 2);
        let latest = "SELECT version FROM __diesel_schema_migrations ORDER BY version DESC LIMIT 2";
        c.batch(&format!("DELETE FROM __diesel_schema_migrations WHERE version IN ({latest})")).unwrap();
        let (old, rows) = (schema(c), counts(c));
        let died = migrating(&server.url, Some(format!("in migration:{nth}"))).status().unwrap();
        assert!(!died.success(), "it passed the point");
        assert_eq!((schema(c), counts(c)), (old, rows.clone()), "between old and new");
        succeeds(&server.url);
        let now = counts(c);
        let lost = rows.iter().filter(|(table, rows)| !table.starts_with("__") && now.get(*table) != Some(rows));
        assert_eq!((lost.count(), schema(c)), (0, new.clone()));
    }
}

mod up_down_up {
    use super::*;
    #[test]
    fn sqlite() {
        there_and_back(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        there_and_back(Database::Postgres);
    }
}

mod data_is_kept {
    use super::*;
    #[test]
    fn sqlite() {
        keeps_what_it_can(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        keeps_what_it_can(Database::Postgres);
    }
}

mod killed_halfway {
    use super::*;
    #[test]
    fn sqlite() {
        killed(Database::Sqlite);
        killed_in_an_upgrade(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        killed(Database::Postgres);
        killed_in_an_upgrade(Database::Postgres);
    }
}

mod four_at_once {
    use super::*;
    #[test]
    fn sqlite() {
        raced(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        raced(Database::Postgres);
    }
}

#[test]
fn an_unknown_scheme_is_refused() {
    for url in ["mysql://localhost/barns", "barns.sqlite3", "sqlite://", "sqlite:barns", ""] {
        assert!(matches!(Location::parse(url), Err(OpenError::UnknownScheme)), "{url}");
    }
    let output = Command::new(PROGRAM).args(["--database-url", "mysql://localhost/barns", "migrate"]).output().unwrap();
    assert!(!output.status.success());
    assert!(String::from_utf8_lossy(&output.stderr).contains("must begin with sqlite:// or postgres://"));
}
