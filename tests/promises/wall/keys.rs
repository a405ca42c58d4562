//! A barn's rows can only refer to the same barn's: every key begins with the barn.
use diesel::prelude::*;
use diesel::sql_types::Text;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::migrate;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::on_each;
use stridewright_tests::postgres::skipped;
use stridewright_tests::server::{Database, empty};

/// Tables that belong to an account, to the service, or to the migrations.
const WITHOUT_BARN: [&str; 7] =
    ["account", "account_answer", "sign_in", "guess", "refresh_token", "signing_key", "__diesel_schema_migrations"];

/// A primary key, unique index, exclusion or foreign key, and the first of its columns.
#[derive(QueryableByName, Debug)]
struct Rule {
    #[diesel(sql_type = Text)]
    of: String,
    #[diesel(sql_type = Text)]
    kind: String,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    first_column: String,
    /// The table that a foreign key names.
    #[diesel(sql_type = Text)]
    target: String,
}

const POSTGRES: &str = "
    SELECT c.relname::text AS of, k.contype::text AS kind, k.conname::text AS name, a.attname::text AS first_column,
        coalesce(t.relname, '')::text AS target
    FROM pg_constraint k JOIN pg_class c ON c.oid = k.conrelid
        JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = k.conkey[1]
        LEFT JOIN pg_class t ON t.oid = k.confrelid
    WHERE k.connamespace = 'public'::regnamespace AND k.contype IN ('p', 'u', 'f', 'x')
    UNION ALL
    SELECT c.relname::text, 'i', i.relname::text, coalesce(a.attname, 'an expression')::text, ''
    FROM pg_index x JOIN pg_class i ON i.oid = x.indexrelid JOIN pg_class c ON c.oid = x.indrelid
        LEFT JOIN pg_attribute a ON a.attrelid = c.oid AND a.attnum = x.indkey[0]
    WHERE x.indisunique AND c.relnamespace = 'public'::regnamespace";

const SQLITE: &str = "
    SELECT m.name AS \"of\", 'p' AS kind, 'primary key' AS name, i.name AS first_column, '' AS target
    FROM sqlite_master m, pragma_table_info(m.name) i WHERE m.type = 'table' AND i.pk = 1
    UNION ALL
    SELECT m.name, 'i', l.name, coalesce(i.name, 'an expression'), ''
    FROM sqlite_master m, pragma_index_list(m.name) l, pragma_index_info(l.name) i
    WHERE m.type = 'table' AND l.\"unique\" = 1 AND i.seqno = 0
    UNION ALL
    SELECT m.name, 'f', 'foreign key ' || f.id, f.\"from\", f.\"table\"
    FROM sqlite_master m, pragma_foreign_key_list(m.name) f WHERE m.type = 'table' AND f.seq = 0";

fn rules(c: &mut AnyConn) -> Vec<Rule> {
    let query = if c.is_sqlite() { SQLITE } else { POSTGRES };
    on_each!(c, |c| diesel::sql_query(query).load(c)).unwrap()
}

fn faults(rules: &[Rule]) -> Vec<String> {
    let within = |table: &str| !WITHOUT_BARN.contains(&table);
    let broken = rules.iter().filter(|rule| {
        // who signs in is known to several barns, so an account may be named without one
        let to_account = rule.kind == "f" && rule.target == "account";
        within(&rule.of) && rule.first_column != "barn_id" && !to_account
    });
    broken.map(|rule| format!("{}: {} begins with {}", rule.of, rule.name, rule.first_column)).collect()
}

fn every_key_begins_with_the_barn(database: Database) {
    let Some((url, _folder)) = empty(database) else { return skipped() };
    let db = Db::open(&Location::parse(&url).unwrap()).unwrap();
    let c = &mut db.conn().unwrap();
    migrate::up(c).unwrap();
    let found = rules(c);
    for kind in ["p", "i", "f"] {
        assert!(found.iter().filter(|rule| rule.kind == kind).count() > 10, "the catalogue was not read");
    }
    // SQLite's exclusion is a trigger
    let exclusions = found.iter().filter(|rule| rule.kind == "x").count();
    assert_eq!(exclusions, usize::from(database == Database::Postgres));
    assert_eq!(faults(&found), Vec::<String>::new());
    let of = |kind: &str| found.iter().filter(|rule| rule.kind == kind && rule.first_column == "barn_id").count();
    println!(
        "keys on {database:?}: {} primary keys, {} unique indexes, {} foreign keys and {exclusions} exclusions begin with the barn",
        of("p"),
        of("i"),
        of("f")
    );
    c.batch(
        "CREATE TABLE stray (id INTEGER NOT NULL PRIMARY KEY, barn_id INTEGER NOT NULL, other INTEGER UNIQUE, \
         FOREIGN KEY (other) REFERENCES stray (other))",
    )
    .unwrap();
    let strays = faults(&rules(c));
    assert!(strays.len() >= 3 && strays.iter().all(|fault| fault.starts_with("stray: ")), "{strays:?}");
}

mod keys_begin_with_the_barn {
    use super::*;
    #[test]
    fn sqlite() {
        every_key_begins_with_the_barn(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        every_key_begins_with_the_barn(Database::Postgres);
    }
}
