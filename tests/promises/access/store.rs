//! The rows themselves, table by table as the catalogue lists them: what a refusal must leave as it was.
use diesel::prelude::*;
use diesel::sql_types::Text;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::on_each;
use stridewright_tests::Database;

/// Left out by rule: what is only ever appended to, and refuses to be put back. Who asked what and was refused
/// belongs in it.
const APPEND_ONLY: &str = "audit";

pub struct Store {
    conn: AnyConn,
    database: Database,
    tables: Vec<Table>,
    kept: BTreeSet<Line>,
}

struct Table {
    name: String,
    columns: Vec<Column>,
}

impl Table {
    fn has_barn(&self) -> bool {
        self.columns.iter().any(|c| c.name == "barn_id")
    }
}

#[derive(Debug, Clone, PartialEq, Eq, PartialOrd, Ord, QueryableByName)]
pub struct Line {
    #[diesel(sql_type = Text)]
    pub table: String,
    #[diesel(sql_type = Text)]
    pub barn: String,
    #[diesel(sql_type = Text)]
    row: String,
}

#[derive(QueryableByName)]
pub struct Column {
    #[diesel(sql_type = Text)]
    table: String,
    #[diesel(sql_type = Text)]
    pub name: String,
    #[diesel(sql_type = Text)]
    kind: String,
}

impl Column {
    pub fn is_text(&self) -> bool {
        self.kind.eq_ignore_ascii_case("text")
    }
}

/// What a copied row has in a column instead, as SQL.
pub type Instead<'a> = &'a dyn Fn(&Column) -> Option<String>;

impl Store {
    /// Every table of the database, but what the migrations note.
    pub fn open(database: Database, url: &str) -> Self {
        let mut conn = Db::open(&Location::parse(url).unwrap()).unwrap().conn().unwrap();
        let catalogue = match database {
            Database::Sqlite => {
                "SELECT s.name AS \"table\", c.name AS name, c.type AS kind FROM sqlite_schema s, pragma_table_info(s.name) c \
                 WHERE s.type = 'table' AND s.name NOT LIKE '\\_\\_%' ESCAPE '\\' ORDER BY s.name, c.cid"
            }
            Database::Postgres => {
                "SELECT c.table_name::text AS \"table\", c.column_name::text AS name, \
                 c.data_type::text AS kind FROM information_schema.columns c \
                 JOIN information_schema.tables t ON t.table_schema = c.table_schema AND t.table_name = c.table_name \
                 WHERE c.table_schema = 'public' AND t.table_type = 'BASE TABLE' AND c.table_name NOT LIKE '\\_\\_%' \
                 ORDER BY c.table_name, c.ordinal_position"
            }
        };
        let columns: Vec<Column> = on_each!(&mut conn, |c| diesel::sql_query(catalogue).load(c)).unwrap();
        let mut by_table: BTreeMap<String, Vec<Column>> = BTreeMap::new();
        for column in columns {
            by_table.entry(column.table.clone()).or_default().push(column);
        }
        by_table.remove(APPEND_ONLY).expect("an audit log");
        let tables: Vec<Table> = by_table.into_iter().map(|(name, columns)| Table { name, columns }).collect();
        assert!(tables.len() > 20, "the catalogue lists {} tables", tables.len());
        Self { conn, database, tables, kept: BTreeSet::new() }
    }

    pub fn batch(&mut self, statements: &str) {
        self.conn.batch(statements).unwrap_or_else(|e| panic!("{e}: {statements}"));
    }

    /// All rows of all tables, each as text.
    pub fn rows(&mut self) -> BTreeSet<Line> {
        let each: Vec<String> = self.tables.iter().map(|table| table.lines(self.database)).collect();
        let all = each.join(" UNION ALL ");
        let lines: Vec<Line> = on_each!(&mut self.conn, |c| diesel::sql_query(all).load(c)).unwrap();
        lines.into_iter().collect()
    }

    /// Remembers everything as it is now.
    pub fn keep(&mut self) {
        let copies: Vec<String> = self
            .tables
            .iter()
            .map(|Table { name, .. }| {
                format!("DROP TABLE IF EXISTS kept_{name}; CREATE TEMPORARY TABLE kept_{name} AS SELECT * FROM {name};")
            })
            .collect();
        self.batch(&copies.concat());
        self.kept = self.rows();
    }

    /// What differs from what was kept: of which table, of which barn (its id, empty where no barn is concerned).
    pub fn changes(&mut self) -> BTreeSet<(String, String)> {
        let now = self.rows();
        now.symmetric_difference(&self.kept).map(|line| (line.table.clone(), line.barn.clone())).collect()
    }

    /// Puts everything back as it was kept; answers what differed.
    pub fn put_back(&mut self) -> BTreeSet<(String, String)> {
        let changes = self.changes();
        let tables: BTreeSet<&String> = changes.iter().map(|(table, _)| table).collect();
        let statements: Vec<String> = tables
            .iter()
            .map(|name| format!("DELETE FROM {name}; INSERT INTO {name} SELECT * FROM kept_{name};"))
            .collect();
        if !statements.is_empty() {
            self.unchecked(&statements.concat());
        }
        changes
    }

    /// Runs statements without foreign keys and triggers, as far as the database lets go of them.
    pub fn unchecked(&mut self, statements: &str) {
        let around = match self.database {
            Database::Sqlite => ("PRAGMA foreign_keys = OFF; BEGIN IMMEDIATE;", "COMMIT; PRAGMA foreign_keys = ON;"),
            Database::Postgres => ("BEGIN; SET LOCAL session_replication_role = replica;", "COMMIT;"),
        };
        self.batch(&format!("{} {statements} {}", around.0, around.1));
    }

    /// Statements that copy rows of tables that have a barn, with other things in some columns.
    pub fn copying(&self, only: &[&str], condition: &str, instead: Instead<'_>) -> String {
        let wanted = |table: &&Table| only.is_empty() || only.contains(&table.name.as_str());
        let statements: Vec<String> = self
            .tables
            .iter()
            .filter(|table| table.has_barn())
            .filter(wanted)
            .map(|table| {
                let values: Vec<String> =
                    table.columns.iter().map(|c| instead(c).unwrap_or_else(|| format!("\"{}\"", c.name))).collect();
                let columns: Vec<String> = table.columns.iter().map(|c| format!("\"{}\"", c.name)).collect();
                let name = &table.name;
                format!(
                    "INSERT INTO {name} ({}) SELECT {} FROM {name} WHERE {condition};",
                    columns.join(","),
                    values.join(",")
                )
            })
            .collect();
        statements.concat()
    }

    /// An id as it is written in SQL.
    pub fn id(&self, uuid: &str) -> String {
        match self.database {
            Database::Sqlite => format!("x'{}'", uuid.replace('-', "")),
            Database::Postgres => format!("'{uuid}'::uuid"),
        }
    }

    /// An instant as it is written in SQL, so many seconds after the column's.
    pub fn later(&self, column: &str, seconds: i64) -> String {
        match self.database {
            Database::Sqlite => format!("\"{column}\" + {seconds}000000"),
            Database::Postgres => format!("\"{column}\" + interval '{seconds} seconds'"),
        }
    }

    /// Tables of barns in which this one has no row.
    pub fn tables_without_rows(&mut self, barn: &str) -> Vec<String> {
        let (barn, rows) = (barn.replace('-', ""), self.rows());
        let has = |name: &str| rows.iter().any(|line| line.table == name && line.barn == barn);
        self.tables
            .iter()
            .filter(|table| table.has_barn())
            .filter(|table| !has(&table.name))
            .map(|table| table.name.clone())
            .collect()
    }
}

impl Table {
    /// A query for its rows, each as text.
    fn lines(&self, database: Database) -> String {
        let barn = match (self.has_barn(), database) {
            (false, _) => "''",
            (true, Database::Sqlite) => "lower(hex(barn_id))",
            (true, Database::Postgres) => "replace(barn_id::text, '-', '')",
        };
        let row = match database {
            Database::Sqlite => {
                let quoted: Vec<String> = self.columns.iter().map(|c| format!("quote(\"{}\")", c.name)).collect();
                quoted.join(" || '|' || ")
            }
            Database::Postgres => "t::text".to_owned(),
        };
        let name = &self.name;
        format!("SELECT '{name}' AS \"table\", {barn} AS barn, {row} AS \"row\" FROM \"{name}\" t")
    }
}
