//! Migrations: there and back, and raced for by several processes.
use diesel::prelude::*;
use diesel::sql_types::Text;
use std::process::Command;
use std::sync::Barrier;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::migrate;
use stridewright_api::db::pool::{Db, Location, OpenError};
use stridewright_api::on_each;
use stridewright_tests::postgres::skipped;
use stridewright_tests::server::{Database, empty};

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

fn raced(database: Database) {
    let Some((url, _folder)) = empty(database) else { return skipped() };
    let start = Barrier::new(4);
    let applied: Vec<String> = std::thread::scope(|scope| {
        let racers: Vec<_> = (0..4)
            .map(|_| {
                scope.spawn(|| {
                    let db = open(&url);
                    start.wait();
                    migrate::up(&mut db.conn().unwrap()).unwrap()
                })
            })
            .collect();
        racers.into_iter().flat_map(|racer| racer.join().unwrap()).collect()
    });
    let (names, _) = migrate::names().unwrap();
    assert_eq!(applied.len(), names.len(), "a migration ran twice, or not at all: {applied:?}");
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
    let program = env!("CARGO_BIN_EXE_barn-server");
    let output = Command::new(program).args(["--database-url", "mysql://localhost/barns", "migrate"]).output().unwrap();
    assert!(!output.status.success());
    assert!(String::from_utf8_lossy(&output.stderr).contains("must begin with sqlite:// or postgres://"));
}
