//! Migrations: two trees of the same names, run at start under a lock that several processes may race for.
use super::conn::AnyConn;
use super::statistics;
use crate::{on_each, points};
use diesel::backend::Backend;
use diesel::connection::{AnsiTransactionManager, SimpleConnection, TransactionManager};
use diesel::migration::MigrationSource;
use diesel::pg::Pg;
use diesel::sqlite::Sqlite;
use diesel_migrations::{EmbeddedMigrations, MigrationHarness, embed_migrations};

const SQLITE: EmbeddedMigrations = embed_migrations!("../migrations/sqlite");
const POSTGRES: EmbeddedMigrations = embed_migrations!("../migrations/postgres");
/// The advisory lock's number: any constant that nothing else in the database uses.
const ADVISORY: i64 = 0x5374_7269_6465;

type Outcome<T> = Result<T, Box<dyn std::error::Error + Send + Sync>>;

/// Applies what is pending and answers the names applied; refuses a service role that looks past the policies.
pub fn up(conn: &mut AnyConn) -> Outcome<Vec<String>> {
    let applied = locked(conn, |conn| {
        let applied = match conn {
            AnyConn::Sqlite(c) => each(&mut **c, || SQLITE),
            AnyConn::Pg(c) => each(&mut **c, || POSTGRES),
        }?;
        statistics::tell(conn)?;
        Ok(applied)
    })?;
    super::role::require_sound(conn)?;
    Ok(applied)
}

fn each<B: Backend>(c: &mut impl MigrationHarness<B>, source: fn() -> EmbeddedMigrations) -> Outcome<Vec<String>>
where
    EmbeddedMigrations: MigrationSource<B>,
{
    let mut applied = Vec::new();
    while c.has_pending_migration(source())? {
        applied.push(c.run_next_migration(source())?.to_string());
        points::reach("in migration");
    }
    Ok(applied)
}

/// Takes every migration back, the latest first.
pub fn down(conn: &mut AnyConn) -> Outcome<()> {
    locked(conn, |conn| {
        match conn {
            AnyConn::Sqlite(c) => drop(c.revert_all_migrations(SQLITE)?),
            AnyConn::Pg(c) => drop(c.revert_all_migrations(POSTGRES)?),
        }
        Ok(statistics::forget(conn)?)
    })
}

/// Whether nothing is pending.
pub fn is_current(conn: &mut AnyConn) -> Outcome<bool> {
    match conn {
        AnyConn::Sqlite(c) => Ok(!c.has_pending_migration(SQLITE)?),
        AnyConn::Pg(c) => Ok(!c.has_pending_migration(POSTGRES)?),
    }
}

/// The names in each tree, for the test that they are the same.
pub fn names() -> Outcome<(Vec<String>, Vec<String>)> {
    let sqlite = MigrationSource::<Sqlite>::migrations(&SQLITE)?;
    let postgres = MigrationSource::<Pg>::migrations(&POSTGRES)?;
    Ok((sqlite.iter().map(|m| m.name().to_string()).collect(), postgres.iter().map(|m| m.name().to_string()).collect()))
}

/// Runs under the lock in one transaction: whoever dies halfway leaves the old schema.
fn locked<T>(conn: &mut AnyConn, work: impl FnOnce(&mut AnyConn) -> Outcome<T>) -> Outcome<T> {
    match conn {
        AnyConn::Pg(c) => {
            c.batch_execute("SET lock_timeout='60s'")?;
            AnsiTransactionManager::begin_transaction(&mut **c)?;
            // held until the transaction ends
            c.batch_execute(&format!("SELECT pg_advisory_xact_lock({ADVISORY})"))?;
        }
        AnyConn::Sqlite(c) => {
            c.batch_execute("PRAGMA busy_timeout=60000")?;
            AnsiTransactionManager::begin_transaction_sql(&mut **c, "BEGIN EXCLUSIVE")?;
        }
    }
    let result = work(conn);
    if result.is_ok() {
        on_each!(conn, |c| AnsiTransactionManager::commit_transaction(c))?;
    } else {
        on_each!(conn, |c| AnsiTransactionManager::rollback_transaction(c))?;
    }
    conn.batch(if conn.is_sqlite() { "PRAGMA busy_timeout=5000" } else { "SET lock_timeout='5s'" })?;
    result
}
