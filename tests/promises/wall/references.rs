//! Every foreign key refuses a row that refers to another barn's, or another account's. Asked as the owner of the
//! tables, whom no policy binds: it is the key that refuses.
use super::catalogue::{ForeignKey, Table, foreign_keys, tables};
use super::two_barns::{TwoBarns, account_of, count, literal};
use diesel::result::{DatabaseErrorKind, Error};
use stridewright_api::db::conn::AnyConn;
use stridewright_tests::client::fresh;
use stridewright_tests::postgres::skipped;
use stridewright_tests::{Database, World};

/// Two barns, or two accounts, as the database writes them.
struct Sides {
    database: Database,
    here: [String; 2],
    there: [String; 2],
}

impl Sides {
    fn of(&self, scope: &str) -> (&str, &str) {
        let n = usize::from(scope != "barn_id");
        (&self.here[n], &self.there[n])
    }

    fn nobody(&self) -> String {
        literal(self.database, &fresh())
    }
}

/// What the columns of the key are to hold: a row of there, under the barn of here; and where the key is the barn
/// or the account alone, one that does not exist.
fn crossing(key: &ForeignKey, sides: &Sides) -> Vec<(String, String)> {
    if key.columns.len() == 1 {
        return vec![(key.columns[0].clone(), sides.nobody())];
    }
    let scope = &key.target_columns[0];
    let order = key.target_columns.join(", ");
    let (_, there) = sides.of(scope);
    let pairs = key.columns.iter().zip(&key.target_columns).skip(1);
    pairs
        .map(|(column, target)| {
            let value =
                format!("(SELECT {target} FROM {} WHERE {scope} = {there} ORDER BY {order} LIMIT 1)", key.target);
            (column.clone(), value)
        })
        .collect()
}

/// A copy of a row of here with these values; the rest of its key is fresh, so that nothing else is in the way.
fn insertion(key: &ForeignKey, values: &[(String, String)], on: &Ground, from: &str) -> String {
    let table = on.table;
    let held = |column: &String| on.keys.iter().any(|k| k.of == table.name && k.columns.contains(column));
    let value = |column: &String| {
        if let Some((_, value)) = values.iter().find(|(crossed, _)| crossed == column) {
            return value.clone();
        }
        let free = table.key.contains(column) && !held(column);
        match column.as_str() {
            "n" | "seq" | "revision" | "measured_on" if free => format!("{column} + 37"),
            "go" => "go + 37".to_owned(),
            "key" if free => format!("'{}'", fresh()),
            _ if free && column.ends_with("id") => on.sides.nobody(),
            _ => column.clone(),
        }
    };
    let values: Vec<String> = table.columns.iter().map(value).collect();
    format!("INSERT INTO {0} ({1}) SELECT {2} FROM {0} {from}", key.of, table.columns.join(", "), values.join(", "))
}

fn update(table: &Table, values: &[(String, String)], from: &str) -> String {
    let set: Vec<String> = values.iter().map(|(column, value)| format!("{column} = {value}")).collect();
    let one = table.key.join(", ");
    format!("UPDATE {0} SET {1} WHERE ({one}) = (SELECT {one} FROM {0} {from})", table.name, set.join(", "))
}

struct Ground<'a> {
    sides: &'a Sides,
    keys: &'a [ForeignKey],
    table: &'a Table,
}

/// What the statement comes to, with nothing left of it.
fn attempt(c: &mut AnyConn, statement: &str) -> Result<(), Error> {
    c.batch("BEGIN").unwrap();
    let result = c.batch(statement);
    c.batch("ROLLBACK").unwrap();
    result
}

fn refused(c: &mut AnyConn, statement: &str) -> Result<(), String> {
    match attempt(c, statement) {
        Err(Error::DatabaseError(DatabaseErrorKind::ForeignKeyViolation, _)) => Ok(()),
        other => Err(format!("{other:?} to {statement}")),
    }
}

/// The same statement with what is there already: at most the copy is one too many.
fn taken(c: &mut AnyConn, statement: &str) -> Result<(), String> {
    match attempt(c, statement) {
        Ok(()) | Err(Error::DatabaseError(DatabaseErrorKind::UniqueViolation, _)) => Ok(()),
        other => Err(format!("even without the crossing {other:?} to {statement}")),
    }
}

/// Tries one key; answers how many statements were refused, and what went wrong.
fn try_key(c: &mut AnyConn, key: &ForeignKey, on: &Ground) -> Vec<Result<(), String>> {
    let table = on.table;
    let scope = if table.has("barn_id") { "barn_id" } else { key.columns[0].as_str() };
    let (here, there) = on.sides.of(scope);
    let (of_scope, last) = (&key.target_columns[0], key.columns.last().unwrap());
    let rows = |c: &mut AnyConn, from: &str| count(c, &format!("SELECT count(*) AS n FROM {from}")).unwrap();
    let theirs = format!("{} WHERE {of_scope} = {there}", key.target);
    assert!(key.columns.len() == 1 || rows(c, &theirs) > 0, "{key:?}: the other side has nothing to refer to");
    if rows(c, &format!("{} WHERE {scope} = {here} AND {last} IS NOT NULL", key.of)) == 0 {
        // a column that nothing has filled yet refers to its own barn first
        let own = |target: &String| format!("(SELECT {target} FROM {} WHERE {of_scope} = {here} LIMIT 1)", key.target);
        let pairs = key.columns.iter().zip(&key.target_columns).skip(1);
        let values: Vec<(String, String)> = pairs.map(|(column, target)| (column.clone(), own(target))).collect();
        let fill = update(table, &values, &format!("WHERE {scope} = {here} LIMIT 1"));
        c.batch(&fill).unwrap_or_else(|e| panic!("{e}: {fill}"));
    }
    let from = format!("WHERE {scope} = {here} AND {last} IS NOT NULL LIMIT 1");
    let crossing = crossing(key, on.sides);
    let same: Vec<(String, String)> = crossing.iter().map(|(column, _)| (column.clone(), column.clone())).collect();
    let mut found = vec![
        taken(c, &insertion(key, &same, on, &from)).and_then(|()| refused(c, &insertion(key, &crossing, on, &from))),
    ];
    if key.of != "audit" {
        // which never changes
        found.push(taken(c, &update(table, &same, &from)).and_then(|()| refused(c, &update(table, &crossing, &from))));
    }
    found
}

/// Columns that name something without a key, and why.
const NAMES_WITHOUT_A_KEY: [(&str, &str); 6] = [
    ("account_answer.account_id", "a day's answers; an account is never deleted"),
    ("audit.caller_id", "an account or a rail link"),
    ("audit.resource_id", "anything"),
    ("barn_answer.caller_id", "an account or a rail link"),
    ("occupancy.resource_id", "an arena, a horse, a person or a fence set, all written by the session's own rows"),
    ("outing.show_id", "what people call a show"),
];

/// A column that names another row has a foreign key, so that one forgotten is seen.
fn forgotten(tables: &[Table], keys: &[ForeignKey]) -> Vec<String> {
    let names = |column: &str| {
        ["_id", "_by", "_of", "supersedes"].iter().any(|ending| column.ends_with(ending)) && column != "barn_id"
    };
    let columns = tables.iter().flat_map(|t| t.columns.iter().map(move |c| (&t.name, c)));
    let free = columns
        .filter(|(table, column)| names(column) && !keys.iter().any(|k| &k.of == *table && k.columns.contains(column)));
    free.map(|(table, column)| format!("{table}.{column}")).collect()
}

fn every_foreign_key(database: Database) {
    let Some(barns) = TwoBarns::new(database) else { return skipped() };
    let ids = |world: &World| [literal(database, &world.barn_id), literal(database, &account_of(world))];
    let sides = Sides { database, here: ids(&barns.here), there: ids(&barns.there) };
    let c = &mut barns.db().conn().unwrap();
    let (tables, keys) = (tables(c), foreign_keys(c));
    let mut named: Vec<String> = NAMES_WITHOUT_A_KEY.iter().map(|(name, _)| (*name).to_owned()).collect();
    named.sort();
    let mut free = forgotten(&tables, &keys);
    free.sort();
    assert_eq!(free, named);
    let mut found = Vec::new();
    for key in &keys {
        let table = tables.iter().find(|t| t.name == key.of).unwrap();
        found.extend(try_key(c, key, &Ground { sides: &sides, keys: &keys, table }));
    }
    let crossed = keys.iter().filter(|key| key.columns.len() > 1).count();
    let wrong: Vec<String> = found.iter().filter_map(|found| found.clone().err()).collect();
    println!(
        "foreign keys on {database:?}: {} in the catalogue, {crossed} of them refused a row of another barn or account, \
         {} a barn or account that is not there; {} statements, {} not refused",
        keys.len(),
        keys.len() - crossed,
        found.len(),
        wrong.len()
    );
    assert_eq!(wrong, Vec::<String>::new());
    assert!(crossed > 35 && found.len() > 2 * crossed, "the catalogue was not read");
}

mod every_foreign_key_refuses_another_barns_rows {
    use super::*;
    #[test]
    fn sqlite() {
        every_foreign_key(Database::Sqlite);
    }
    #[test]
    fn postgres() {
        every_foreign_key(Database::Postgres);
    }
}
