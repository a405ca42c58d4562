//! Tables, their columns and their foreign keys, as the database itself lists them.
use diesel::prelude::*;
use diesel::sql_types::Text;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::on_each;

#[derive(QueryableByName)]
struct Row {
    #[diesel(sql_type = Text)]
    of: String,
    #[diesel(sql_type = Text)]
    columns: String,
    #[diesel(sql_type = Text)]
    key: String,
}

#[derive(Debug, Clone)]
pub struct Table {
    pub name: String,
    pub columns: Vec<String>,
    /// The primary key's.
    pub key: Vec<String>,
}

impl Table {
    pub fn has(&self, column: &str) -> bool {
        self.columns.iter().any(|c| c == column)
    }
}

#[derive(QueryableByName)]
struct Reference {
    #[diesel(sql_type = Text)]
    of: String,
    #[diesel(sql_type = Text)]
    target: String,
    #[diesel(sql_type = Text)]
    columns: String,
    #[diesel(sql_type = Text)]
    target_columns: String,
}

#[derive(Debug, Clone)]
pub struct ForeignKey {
    pub of: String,
    pub target: String,
    pub columns: Vec<String>,
    pub target_columns: Vec<String>,
}

const TABLES: [&str; 2] = [
    "SELECT m.name AS \"of\", (SELECT group_concat(i.name, ',' ORDER BY i.cid) FROM pragma_table_info(m.name) i) AS columns,
        (SELECT group_concat(i.name, ',' ORDER BY i.pk) FROM pragma_table_info(m.name) i WHERE i.pk > 0) AS key
    FROM sqlite_master m WHERE m.type = 'table' AND m.name NOT LIKE '\\_\\_diesel%' ESCAPE '\\' AND m.name NOT LIKE 'sqlite_%'
        ORDER BY 1",
    "SELECT c.relname::text AS of,
        (SELECT string_agg(attname, ',' ORDER BY attnum) FROM pg_attribute WHERE attrelid = c.oid AND attnum > 0) AS columns,
        (SELECT string_agg(a.attname, ',' ORDER BY u.n) FROM pg_constraint k, unnest(k.conkey) WITH ORDINALITY u(attnum, n)
            JOIN pg_attribute a ON a.attnum = u.attnum
            WHERE k.conrelid = c.oid AND k.contype = 'p' AND a.attrelid = c.oid) AS key
    FROM pg_class c WHERE c.relnamespace = 'public'::regnamespace AND c.relkind IN ('r', 'p')
        AND c.relname <> '__diesel_schema_migrations' ORDER BY 1",
];

const KEYS: [&str; 2] = [
    "SELECT m.name AS \"of\", f.\"table\" AS target, group_concat(f.\"from\", ',' ORDER BY f.seq) AS columns,
        group_concat(f.\"to\", ',' ORDER BY f.seq) AS target_columns
    FROM sqlite_master m, pragma_foreign_key_list(m.name) f WHERE m.type = 'table' GROUP BY m.name, f.id, f.\"table\"
    ORDER BY 1, 3",
    "SELECT k.conrelid::regclass::text AS of, k.confrelid::regclass::text AS target,
        (SELECT string_agg(a.attname, ',' ORDER BY u.n) FROM unnest(k.conkey) WITH ORDINALITY u(attnum, n)
            JOIN pg_attribute a ON a.attnum = u.attnum AND a.attrelid = k.conrelid) AS columns,
        (SELECT string_agg(a.attname, ',' ORDER BY u.n) FROM unnest(k.confkey) WITH ORDINALITY u(attnum, n)
            JOIN pg_attribute a ON a.attnum = u.attnum AND a.attrelid = k.confrelid) AS target_columns
    FROM pg_constraint k WHERE k.contype = 'f' AND k.connamespace = 'public'::regnamespace ORDER BY 1, 3",
];

fn list(text: &str) -> Vec<String> {
    text.split(',').map(str::to_owned).collect()
}

/// Every table but that of the migrations.
pub fn tables(c: &mut AnyConn) -> Vec<Table> {
    let query = TABLES[usize::from(!c.is_sqlite())];
    let rows: Vec<Row> = on_each!(c, |c| diesel::sql_query(query).load(c)).unwrap();
    assert!(rows.len() > 20, "the catalogue was not read");
    rows.into_iter().map(|r| Table { name: r.of, columns: list(&r.columns), key: list(&r.key) }).collect()
}

/// Every foreign key.
pub fn foreign_keys(c: &mut AnyConn) -> Vec<ForeignKey> {
    let query = KEYS[usize::from(!c.is_sqlite())];
    let rows: Vec<Reference> = on_each!(c, |c| diesel::sql_query(query).load(c)).unwrap();
    let keys = rows.into_iter().map(|r| ForeignKey {
        of: r.of,
        target: r.target,
        columns: list(&r.columns),
        target_columns: list(&r.target_columns),
    });
    keys.collect()
}
