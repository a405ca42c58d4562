//! What SQLite's planner is told of the tables. Without it, it takes all rows of a barn for ten and reads them rather
//! than use an index; what it measures by itself it measures once the barn has grown, if at all.
use super::conn::AnyConn;
use diesel::prelude::*;
use diesel::sql_types::{Bool, Text};
use diesel::{QueryResult, SqliteConnection};
use std::collections::BTreeMap;

/// A barn of some years, alone in its file: one that is small is quick whatever is told of it.
const ROWS: u64 = 1_000_000;
/// How many of them agree in one more column; in each further one, one fewer. From 18 on, SQLite would
/// look up every value of a column rather than use a key without it.
const ALIKE: u64 = 10;

/// A column of a key, in the order of the keys and of their columns. A table without row ids is its primary key.
const COLUMNS: &str = "SELECT t.name AS \"table\", CASE WHEN l.origin = 'pk' AND t.wr THEN t.name ELSE l.name END AS key, \
    l.\"unique\" AS one, l.partial AS partial FROM pragma_table_list t, pragma_index_list(t.name) l, \
    pragma_index_info(l.name) i WHERE t.schema = 'main' AND t.type = 'table' AND t.name NOT LIKE 'sqlite_%' \
    ORDER BY t.name, l.name, i.seqno";

#[derive(QueryableByName)]
struct Column {
    #[diesel(sql_type = Text)]
    table: String,
    #[diesel(sql_type = Text)]
    key: String,
    #[diesel(sql_type = Bool)]
    one: bool,
    /// Holds some of the rows only.
    #[diesel(sql_type = Bool)]
    partial: bool,
}

/// Tells it of every key anew; PostgreSQL keeps count by itself.
pub fn tell(conn: &mut AnyConn) -> QueryResult<()> {
    let AnyConn::Sqlite(c) = conn else { return Ok(()) };
    // makes the table where it is missing
    run(c, "ANALYZE sqlite_schema")?;
    run(c, "DELETE FROM sqlite_stat1")?;
    let mut keys: BTreeMap<(String, String), Vec<Column>> = BTreeMap::new();
    for column in diesel::sql_query(COLUMNS).load::<Column>(&mut **c)? {
        keys.entry((column.table.clone(), column.key.clone())).or_default().push(column);
    }
    for ((table, key), columns) in keys {
        diesel::sql_query("INSERT INTO sqlite_stat1 (tbl, idx, stat) VALUES (?, ?, ?)")
            .bind::<Text, _>(table)
            .bind::<Text, _>(key)
            .bind::<Text, _>(counts(&columns))
            .execute(&mut **c)?;
    }
    // reads it
    run(c, "ANALYZE sqlite_schema")
}

/// Forgets it.
pub fn forget(conn: &mut AnyConn) -> QueryResult<()> {
    let AnyConn::Sqlite(c) = conn else { return Ok(()) };
    run(c, "DROP TABLE IF EXISTS sqlite_stat1")
}

fn run(c: &mut SqliteConnection, statement: &str) -> QueryResult<()> {
    diesel::sql_query(statement).execute(c).map(drop)
}

/// All rows, and how many of them agree in the first column, in the first two, and so on. The first of several says
/// whose the rows are: all may be one barn's.
fn counts(columns: &[Column]) -> String {
    let part = if columns.iter().any(|column| column.partial) { 2 } else { 1 };
    let mut rows = ROWS / part;
    let mut counts = vec![rows.to_string()];
    for (n, column) in columns.iter().enumerate() {
        rows = match (n, columns.len() - 1) {
            (0, last) if last > 0 => rows,
            (n, last) if column.one && n == last => 1,
            _ => (ALIKE / part).min(rows - 1).max(2),
        };
        counts.push(rows.to_string());
    }
    counts.join(" ")
}
