//! A connection to either database, and the macro that writes a query once for both.
use diesel::connection::SimpleConnection;
use diesel::r2d2::{ConnectionManager, PooledConnection};
use diesel::{PgConnection, QueryResult, SqliteConnection};

/// A pooled connection to one of the two databases.
pub enum AnyConn {
    Sqlite(PooledConnection<ConnectionManager<SqliteConnection>>),
    Pg(PooledConnection<ConnectionManager<PgConnection>>),
}

/// Writes a query once and expands it for each database.
#[macro_export]
macro_rules! on_each {
    ($conn:expr, |$c:ident| $body:expr) => {
        match $conn {
            $crate::db::conn::AnyConn::Sqlite(c) => {
                let $c: &mut diesel::SqliteConnection = &mut *c;
                $body
            }
            $crate::db::conn::AnyConn::Pg(c) => {
                let $c: &mut diesel::PgConnection = &mut *c;
                $body
            }
        }
    };
}

impl AnyConn {
    /// Runs statements that answer nothing.
    pub fn batch(&mut self, statements: &str) -> QueryResult<()> {
        on_each!(self, |c| c.batch_execute(statements))
    }

    pub const fn is_sqlite(&self) -> bool {
        matches!(self, Self::Sqlite(_))
    }
}
