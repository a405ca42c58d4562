//! SQLite looks rows up by their keys, not through everything a barn ever had: for every key of the catalogue.
use diesel::prelude::*;
use diesel::sql_types::Text;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::{migrate, statistics};
use stridewright_api::on_each;
use stridewright_api::workload::history::STANDS;
use stridewright_tests::server::{Database, empty};

#[derive(QueryableByName)]
struct Key {
    #[diesel(sql_type = Text)]
    table: String,
    #[diesel(sql_type = Text)]
    name: String,
    #[diesel(sql_type = Text)]
    columns: String,
}

#[derive(QueryableByName)]
struct Step {
    #[diesel(sql_type = Text)]
    detail: String,
}

/// Keys of several columns over all rows of a table.
const KEYS: &str = "SELECT t.name AS \"table\", l.name AS name, group_concat(i.name, ',' ORDER BY i.seqno) AS columns
    FROM pragma_table_list t, pragma_index_list(t.name) l, pragma_index_info(l.name) i
    WHERE t.schema = 'main' AND t.type = 'table' AND t.name NOT LIKE 'sqlite_%' AND NOT l.partial
    GROUP BY t.name, l.name HAVING count(*) > 1 ORDER BY 1, 2";

/// The keys whose columns are not all looked up together.
fn passed_over(c: &mut AnyConn) -> (usize, Vec<String>) {
    let keys: Vec<Key> = on_each!(&mut *c, |c| diesel::sql_query(KEYS).load(c)).unwrap();
    let mut faults = Vec::new();
    for Key { table, name, columns } in &keys {
        let columns: Vec<&str> = columns.split(',').collect();
        let looked_up = format!("({}=?)", columns.join("=? AND "));
        for order in ["", " ORDER BY 1, 2"] {
            let query = format!("EXPLAIN QUERY PLAN SELECT * FROM {table} WHERE {}=?{order}", columns.join("=? AND "));
            let plan: Vec<Step> = on_each!(&mut *c, |c| diesel::sql_query(&query).load(c)).unwrap();
            let by_id = columns.contains(&"id") && plan.iter().any(|step| step.detail.contains("(barn_id=? AND id=?)"));
            if !by_id && !plan.iter().any(|step| step.detail.contains(&looked_up)) {
                let told: Vec<&str> = plan.iter().map(|step| step.detail.as_str()).collect();
                faults.push(format!("{name}{order}: {}", told.join("; ")));
            }
        }
    }
    (keys.len(), faults)
}

#[test]
fn rows_are_looked_up_by_their_keys() {
    let (url, _folder) = empty(Database::Sqlite).unwrap();
    let db = Db::open(&Location::parse(&url).unwrap()).unwrap();
    let c = &mut db.conn().unwrap();
    migrate::up(c).unwrap();
    let (keys, faults) = passed_over(c);
    println!("plans on SQLite: {keys} keys, {} not looked up by all of their columns", faults.len());
    assert!(keys > 30, "the catalogue was not read");
    assert_eq!(faults, Vec::<String>::new());
    let query = format!("EXPLAIN QUERY PLAN SELECT * FROM entry WHERE barn_id=? AND horse_id=? AND {STANDS}");
    let plan: Vec<Step> = on_each!(&mut *c, |c| diesel::sql_query(&query).load(c)).unwrap();
    assert!(plan.iter().any(|step| step.detail.contains("entry_horse_stands")), "{:?}", plan[0].detail);
    // without being told, it reads the whole barn for the entries of one session
    statistics::forget(c).unwrap();
    let untold = passed_over(&mut Db::open(&Location::parse(&url).unwrap()).unwrap().conn().unwrap()).1;
    assert!(untold.iter().any(|fault| fault.starts_with("entry_session: ")), "{untold:?}");
}
