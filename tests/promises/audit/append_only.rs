//! Nothing that stands in the log is altered or taken out of it, by the owner of the tables either; and where
//! somebody does it all the same, `check` says so.
use crate::wall::catalogue::tables;
use crate::wall::two_barns::{TwoBarns, count, literal};
use stridewright_api::db::check::faults;
use stridewright_api::db::conn::AnyConn;
use stridewright_tests::Database;
use stridewright_tests::client::fresh;
use stridewright_tests::postgres::skipped;

/// Statements that change what stands there.
fn changes(database: Database) -> Vec<&'static str> {
    let mut all = vec![
        "UPDATE audit SET status = 200",
        "UPDATE audit SET hash = hash WHERE seq = 1",
        "DELETE FROM audit",
        "DELETE FROM audit WHERE seq = (SELECT max(seq) FROM audit)",
        "INSERT INTO audit SELECT * FROM audit WHERE seq = 1",
    ];
    match database {
        Database::Sqlite => all.extend([
            "REPLACE INTO audit SELECT * FROM audit WHERE seq = 1",
            "UPDATE OR REPLACE audit SET seq = 1 WHERE seq = 2",
            "INSERT INTO audit SELECT * FROM audit WHERE true ON CONFLICT DO UPDATE SET status = 200",
        ]),
        Database::Postgres => all.extend([
            "TRUNCATE audit",
            "TRUNCATE barn CASCADE",
            "SET LOCAL session_replication_role = replica; DELETE FROM audit",
            "INSERT INTO audit SELECT * FROM audit ON CONFLICT (barn_id, seq) DO UPDATE SET status = 200",
        ]),
    }
    all
}

fn rolled_back<T>(c: &mut AnyConn, work: impl FnOnce(&mut AnyConn) -> T) -> T {
    c.batch("BEGIN").unwrap();
    let result = work(c);
    c.batch("ROLLBACK").unwrap();
    result
}

fn refuses(database: Database) {
    let Some(barns) = TwoBarns::new(database) else { return skipped() };
    let c = &mut barns.db().conn().unwrap();
    let all = changes(database);
    for statement in &all {
        let refused = rolled_back(c, |c| c.batch(statement)).expect_err(statement).to_string();
        assert!(refused.contains("append-only") || refused.contains("duplicate key"), "{statement}: {refused}");
    }
    println!("audit log on {database:?}: {} ways to change or delete rows, all refused to the owner", all.len());
}

/// Alters a copy, as it were: a transaction without the triggers, which is taken back.
fn found(c: &mut AnyConn, database: Database, statement: &str) -> Vec<String> {
    let triggers: &[&str] = match database {
        Database::Sqlite => &["audit_no_update", "audit_no_delete", "audit_no_replace"],
        Database::Postgres => &["audit_append_only ON audit", "audit_not_truncated ON audit"],
    };
    rolled_back(c, |c| {
        for trigger in triggers {
            c.batch(&format!("DROP TRIGGER {trigger}")).unwrap();
        }
        c.batch(statement).unwrap_or_else(|e| panic!("{e}: {statement}"));
        faults(c).unwrap_or_else(|p| panic!("{p}"))
    })
}

fn tampering_is_found(database: Database) {
    let Some(barns) = TwoBarns::new(database) else { return skipped() };
    let c = &mut barns.db().conn().unwrap();
    let (here, there) = (literal(database, &barns.here.barn_id), literal(database, &barns.there.barn_id));
    let rows = count(c, &format!("SELECT count(*) AS n FROM audit WHERE barn_id = {here}")).unwrap();
    assert!(rows > 20 && faults(c).unwrap_or_else(|p| panic!("{p}")).is_empty());
    let table = tables(c).into_iter().find(|table| table.name == "audit").unwrap();
    let mut statements: Vec<String> = table
        .columns
        .iter()
        .map(|column| {
            let value = match (column.as_str(), database) {
                ("barn_id", _) => format!("{there}, seq = seq + 1000"),
                ("caller_id", _) => literal(database, &fresh()),
                ("seq", _) => "seq + 1000".to_owned(),
                ("status", _) => "status + 1".to_owned(),
                ("at", Database::Sqlite) => "at + 1".to_owned(),
                ("at", Database::Postgres) => "at + interval '1 microsecond'".to_owned(),
                (text, _) => format!("{text} || 'x'"),
            };
            format!("UPDATE audit SET {column} = {value} WHERE barn_id = {here} AND seq = 7")
        })
        .collect();
    statements.extend([
        format!("DELETE FROM audit WHERE barn_id = {here} AND seq = 1"),
        format!("DELETE FROM audit WHERE barn_id = {here} AND seq = 7"),
    ]);
    for statement in &statements {
        let faults = found(c, database, statement);
        assert!(!faults.is_empty() && faults.iter().all(|f| f.contains("audit row")), "{statement}: {faults:?}");
    }
    println!("audit log on {database:?}: {} alterations of one row among {rows}, all found by check", statements.len());
}

mod nothing_is_altered {
    use super::*;
    #[test]
    fn sqlite() {
        refuses(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        refuses(Database::Postgres);
    }
}

mod check_finds_what_was {
    use super::*;
    #[test]
    fn sqlite() {
        tampering_is_found(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        tampering_is_found(Database::Postgres);
    }
}
