//! How many rows each table has, whatever tables there are.
use diesel::prelude::*;
use diesel::sql_types::{BigInt, Text};
use std::collections::BTreeMap;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::on_each;

#[derive(QueryableByName)]
struct Name {
    #[diesel(sql_type = Text)]
    name: String,
}

#[derive(QueryableByName)]
struct Number {
    #[diesel(sql_type = BigInt)]
    number: i64,
}

/// Rows by table.
pub type Counts = BTreeMap<String, i64>;

/// A connection beside the program's own.
pub fn beside(url: &str) -> AnyConn {
    Db::open(&Location::parse(url).expect("a database's URL")).expect("a database").conn().expect("a connection")
}

/// One number that a query answers as `number`.
#[track_caller]
pub fn number(c: &mut AnyConn, query: &str) -> i64 {
    let found: Number = on_each!(c, |c| diesel::sql_query(query).get_result(c)).expect(query);
    found.number
}

/// Every table of the catalogue.
pub fn tables(c: &mut AnyConn) -> Vec<String> {
    let query = if c.is_sqlite() {
        "SELECT name FROM sqlite_master WHERE type = 'table' AND name NOT LIKE 'sqlite_%' ORDER BY name"
    } else {
        "SELECT tablename::text AS name FROM pg_tables WHERE schemaname = 'public' ORDER BY 1"
    };
    let names: Vec<Name> = on_each!(c, |c| diesel::sql_query(query).load(c)).expect("the catalogue");
    names.into_iter().map(|row| row.name).collect()
}

/// The rows of every table.
pub fn counts(c: &mut AnyConn) -> Counts {
    let tables = tables(c);
    tables.into_iter().map(|t| (t.clone(), number(c, &format!("SELECT count(*) AS number FROM {t}")))).collect()
}

/// What was added where; nothing where nothing was.
pub fn added(before: &Counts, after: &Counts) -> Counts {
    let change = |(table, rows): (&String, &i64)| (table.clone(), rows - before.get(table).unwrap_or(&0));
    after.iter().map(change).filter(|(_, rows)| *rows != 0).collect()
}
