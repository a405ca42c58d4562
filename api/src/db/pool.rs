//! The pool, the one way to read, and the one way to write: a transaction that takes the barn's lock first.
use super::conn::AnyConn;
use super::errors::Busy;
use super::scope::Scope;
use crate::{on_each, points};
use diesel::connection::{AnsiTransactionManager, TransactionManager};
use diesel::prelude::*;
use diesel::r2d2::{ConnectionManager, CustomizeConnection, Pool};
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::time::Duration;
use tokio::sync::{OwnedSemaphorePermit, Semaphore};

/// How long a request waits for its turn before it is told to come back.
pub const PATIENCE: Duration = Duration::from_secs(5);

/// Where the data lives.
#[derive(Debug, Clone, PartialEq, Eq)]
pub enum Location {
    Sqlite(PathBuf),
    Postgres(String),
}

#[derive(Debug, thiserror::Error)]
pub enum OpenError {
    #[error("DATABASE_URL must begin with sqlite:// or postgres:// (or postgresql://)")]
    UnknownScheme,
    #[error("the database could not be opened: {0}")]
    Unreachable(#[from] diesel::r2d2::PoolError),
    #[error("the folder {0} could not be made: {1}")]
    Folder(PathBuf, std::io::Error),
}

impl Location {
    /// Reads a `DATABASE_URL`.
    pub fn parse(url: &str) -> Result<Self, OpenError> {
        if let Some(path) = url.strip_prefix("sqlite://") {
            if path.is_empty() { Err(OpenError::UnknownScheme) } else { Ok(Self::Sqlite(path.into())) }
        } else if url.starts_with("postgres://") || url.starts_with("postgresql://") {
            Ok(Self::Postgres(url.to_owned()))
        } else {
            Err(OpenError::UnknownScheme)
        }
    }
}

#[derive(Clone)]
enum AnyPool {
    Sqlite(Pool<ConnectionManager<SqliteConnection>>),
    Pg(Pool<ConnectionManager<PgConnection>>),
}

/// The database of one process.
#[derive(Clone)]
pub struct Db {
    pool: AnyPool,
    writers: Arc<Semaphore>,
}

#[derive(Debug)]
struct SqliteSettings;

impl CustomizeConnection<SqliteConnection, diesel::r2d2::Error> for SqliteSettings {
    fn on_acquire(&self, c: &mut SqliteConnection) -> Result<(), diesel::r2d2::Error> {
        use diesel::connection::SimpleConnection;
        // synchronous=FULL: an acknowledged write has reached the disk
        c.batch_execute(
            "PRAGMA busy_timeout=5000; PRAGMA journal_mode=WAL; PRAGMA synchronous=FULL; PRAGMA foreign_keys=ON; \
             PRAGMA trusted_schema=OFF; PRAGMA cache_size=-16000;",
        )
        .map_err(diesel::r2d2::Error::QueryError)
    }
}

#[derive(Debug)]
struct PgSettings;

impl CustomizeConnection<PgConnection, diesel::r2d2::Error> for PgSettings {
    fn on_acquire(&self, c: &mut PgConnection) -> Result<(), diesel::r2d2::Error> {
        use diesel::connection::SimpleConnection;
        c.batch_execute(
            "SET lock_timeout='5s'; SET statement_timeout='20s'; SET idle_in_transaction_session_timeout='30s'; \
             SET TIME ZONE 'UTC'; SET synchronous_commit=on;",
        )
        .map_err(diesel::r2d2::Error::QueryError)
    }
}

impl Db {
    /// Opens the pool; for SQLite makes the file's folder.
    pub fn open(location: &Location) -> Result<Self, OpenError> {
        match location {
            Location::Sqlite(path) => {
                let folder = path.parent().filter(|f| !f.as_os_str().is_empty()).unwrap_or(Path::new("."));
                std::fs::create_dir_all(folder).map_err(|e| OpenError::Folder(folder.to_owned(), e))?;
                let manager = ConnectionManager::new(path.to_string_lossy());
                let pool = Pool::builder()
                    .max_size(4)
                    .connection_timeout(PATIENCE)
                    .test_on_check_out(false)
                    .connection_customizer(Box::new(SqliteSettings))
                    .build(manager)?;
                Ok(Self { pool: AnyPool::Sqlite(pool), writers: Arc::new(Semaphore::new(1)) })
            }
            Location::Postgres(url) => {
                let pool = Pool::builder()
                    .max_size(16)
                    .min_idle(Some(2))
                    .connection_timeout(PATIENCE)
                    .test_on_check_out(false)
                    .connection_customizer(Box::new(PgSettings))
                    .build(ConnectionManager::new(url))?;
                Ok(Self { pool: AnyPool::Pg(pool), writers: Arc::new(Semaphore::new(12)) })
            }
        }
    }

    /// A connection as the owner, who sees every barn: for migrations and proofs over the whole, never for a
    /// request (a test reads the sources). Blocks, so call it off the async threads.
    pub fn conn(&self) -> Result<AnyConn, Busy> {
        match &self.pool {
            AnyPool::Sqlite(pool) => pool.get().map(AnyConn::Sqlite),
            AnyPool::Pg(pool) => pool.get().map(AnyConn::Pg),
        }
        .map_err(|_| Busy)
    }

    /// Connections in use, and connections there may be.
    pub fn in_use(&self) -> (u32, u32) {
        let (state, most) = match &self.pool {
            AnyPool::Sqlite(pool) => (pool.state(), pool.max_size()),
            AnyPool::Pg(pool) => (pool.state(), pool.max_size()),
        };
        (state.connections.saturating_sub(state.idle_connections), most)
    }

    /// Waits for a turn to write: on SQLite there is one writer, whose queue is kept here rather than
    /// in the database, which would make the waiters poll.
    pub async fn turn(&self) -> Result<OwnedSemaphorePermit, Busy> {
        match tokio::time::timeout(PATIENCE, Arc::clone(&self.writers).acquire_owned()).await {
            Ok(Ok(permit)) => Ok(permit),
            _ => Err(Busy),
        }
    }

    /// The one way to read: what the scope may see, and nothing is changed.
    pub fn read<T, E: From<diesel::result::Error> + From<Busy>>(
        &self,
        scope: &Scope,
        work: impl FnOnce(&mut AnyConn) -> Result<T, E>,
    ) -> Result<T, E> {
        let mut conn = self.conn()?;
        if conn.is_sqlite() {
            return work(&mut conn);
        }
        begin(&mut conn, &scope.begin("BEGIN READ ONLY", false))?;
        finish(&mut conn, work)
    }

    /// The one way to write: begins, takes the lock of the scope's barn, or else of its account, runs the work,
    /// and commits or rolls back.
    pub fn write<T, E: From<diesel::result::Error> + From<Busy>>(
        &self,
        scope: &Scope,
        work: impl FnOnce(&mut AnyConn) -> Result<T, E>,
    ) -> Result<T, E> {
        let mut conn = self.conn()?;
        if conn.is_sqlite() {
            begin(&mut conn, "BEGIN IMMEDIATE")?; // holds the whole file
        } else {
            begin(&mut conn, &scope.begin("BEGIN", true))?;
        }
        let value = finish(&mut conn, |conn| {
            let value = work(conn)?;
            points::reach("before commit");
            Ok::<T, E>(value)
        })?;
        points::reach("after commit");
        Ok(value)
    }
}

fn begin(conn: &mut AnyConn, statement: &str) -> QueryResult<()> {
    let begun = on_each!(&mut *conn, |c| AnsiTransactionManager::begin_transaction_sql(c, statement));
    if begun.is_err() && !conn.is_sqlite() {
        // it may have begun before the lock was not had
        let _ = conn.batch("ROLLBACK");
    }
    begun
}

fn finish<T, E: From<diesel::result::Error>>(
    conn: &mut AnyConn,
    work: impl FnOnce(&mut AnyConn) -> Result<T, E>,
) -> Result<T, E> {
    match work(&mut *conn) {
        Ok(value) => {
            on_each!(conn, |c| AnsiTransactionManager::commit_transaction(c))?;
            Ok(value)
        }
        Err(error) => {
            // the first error is the one to tell; a connection that cannot roll back leaves the pool
            let _ = on_each!(conn, |c| AnsiTransactionManager::rollback_transaction(c));
            Err(error)
        }
    }
}
