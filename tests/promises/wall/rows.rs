//! Row-level security, table by table as PostgreSQL lists them: the service sees one barn at a time, and writes
//! into no other.
use super::catalogue::{Table, tables};
use super::two_barns::{TwoBarns, account_of, count};
use diesel::prelude::*;
use diesel::result::Error;
use diesel::sql_types::Text;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::pool::Db;
use stridewright_api::db::role::SERVICE;
use stridewright_api::db::schema::horse;
use stridewright_api::db::scope::Scope;
use stridewright_api::on_each;
use stridewright_api::problem::Problem;
use stridewright_core::ids::{Barn, Horse, Id};
use stridewright_tests::postgres::skipped;
use stridewright_tests::{Database, World};

/// What is read before anybody is known, and why.
const READ_BEFORE_ANYBODY_IS_KNOWN: [(&str, &str); 2] = [
    ("guess", "counts by the digest of an address; whose time is over is let go whoever it was of"),
    ("signing_key", "a token is proved before its bearer is known"),
];

/// The account whose rows these are; a table of neither barn nor account is among those above.
fn scope_of(table: &Table) -> Option<&'static str> {
    match table.name.as_str() {
        "account" => Some("id"),
        _ if table.has("barn_id") => Some("barn_id"),
        _ if table.has("account_id") => Some("account_id"),
        _ => None,
    }
}

/// As the service, with these settings; nothing is left of what it does.
fn as_service<T>(c: &mut AnyConn, barn: &str, account: &str, work: impl FnOnce(&mut AnyConn) -> T) -> T {
    c.batch(&format!(
        "BEGIN; SET LOCAL ROLE {SERVICE}; SELECT set_config('stridewright.barn', '{barn}', true), \
         set_config('stridewright.account', '{account}', true)"
    ))
    .unwrap();
    let result = work(c);
    c.batch("ROLLBACK").unwrap();
    result
}

fn is_denied(result: &QueryResult<()>) -> bool {
    matches!(result, Err(Error::DatabaseError(_, info))
        if info.message().contains("row-level security") || info.message().contains("permission denied"))
}

#[derive(QueryableByName)]
struct Name {
    #[diesel(sql_type = Text)]
    name: String,
}

#[test]
fn is_forced_on_every_table() {
    let Some(barns) = TwoBarns::new(Database::Postgres) else { return skipped() };
    let c = &mut barns.db().conn().unwrap();
    let unguarded = |c: &mut AnyConn| -> Vec<String> {
        let query = "SELECT relname::text AS name FROM pg_class WHERE relnamespace = 'public'::regnamespace \
            AND relkind IN ('r', 'p', 'm', 'v', 'f') AND NOT (relrowsecurity AND relforcerowsecurity) ORDER BY 1";
        let rows: Vec<Name> = on_each!(c, |c| diesel::sql_query(query).load(c)).unwrap();
        rows.into_iter().map(|row| row.name).collect()
    };
    assert_eq!(unguarded(c), ["__diesel_schema_migrations"]);
    println!("row-level security on PostgreSQL: forced on {} of {0} tables", tables(c).len());
    c.batch("CREATE TABLE stray (barn_id uuid); ALTER TABLE stray ENABLE ROW LEVEL SECURITY").unwrap();
    assert_eq!(unguarded(c), ["__diesel_schema_migrations", "stray"]);
}

#[test]
fn the_service_owns_nothing_and_cannot_change_the_log() {
    let Some(barns) = TwoBarns::new(Database::Postgres) else { return skipped() };
    let c = &mut barns.db().conn().unwrap();
    let owned = format!("SELECT count(*) AS n FROM pg_class WHERE relowner = '{SERVICE}'::regrole");
    assert_eq!(count(c, &owned).unwrap(), 0);
    for right in ["UPDATE", "DELETE", "TRUNCATE", "REFERENCES", "TRIGGER"] {
        let has = format!("SELECT has_table_privilege('{SERVICE}', 'audit', '{right}')::int::bigint AS n");
        assert_eq!(count(c, &has).unwrap(), 0, "{right}");
    }
    for table in tables(c) {
        let has = format!(
            "SELECT has_table_privilege('{SERVICE}', '{}', 'TRUNCATE, TRIGGER, REFERENCES')::int::bigint AS n",
            table.name
        );
        assert_eq!(count(c, &has).unwrap(), 0, "{}", table.name);
    }
    let migrations = as_service(c, "", "", |c| c.batch("SELECT * FROM __diesel_schema_migrations"));
    assert!(is_denied(&migrations), "{migrations:?}");
}

/// `SELECT *` without a word of whose, and with another's.
#[test]
fn shows_nobody_elses_rows() {
    let Some(barns) = TwoBarns::new(Database::Postgres) else { return skipped() };
    let c = &mut barns.db().conn().unwrap();
    let (here, there) = (&barns.here, &barns.there);
    let (account, other) = (account_of(here), account_of(there));
    let (mut open, mut hidden) = (Vec::new(), 0);
    for table in tables(c) {
        let name = &table.name;
        assert!(count(c, &format!("SELECT count(*) AS n FROM {name}")).unwrap() > 0, "{name} is empty");
        if as_service(c, "", "", |c| count(c, &format!("SELECT count(*) AS n FROM {name}"))).unwrap() > 0 {
            open.push(name.clone());
        }
        let Some(column) = scope_of(&table) else { continue };
        let (ours, theirs) = if column == "barn_id" { (&here.barn_id, &there.barn_id) } else { (&account, &other) };
        let of = |id: &str| format!("SELECT count(*) AS n FROM {name} WHERE {column} = '{id}'");
        assert!(count(c, &of(theirs)).unwrap() > 0, "{name}: there is nothing to hide");
        let (shown, leaked) =
            as_service(c, &here.barn_id, &account, |c| (count(c, &of(ours)).unwrap(), count(c, &of(theirs)).unwrap()));
        assert!(shown > 0, "{name}: not even one's own rows are seen");
        assert_eq!(leaked, 0, "{name}: rows of another barn or account are seen");
        hidden += 1;
    }
    let named: Vec<&str> = READ_BEFORE_ANYBODY_IS_KNOWN.iter().map(|(name, _)| *name).collect();
    assert_eq!(open, named);
    println!(
        "row-level security on PostgreSQL: {hidden} tables show one barn's or account's rows and no other's, {} are read before anybody is known",
        open.len()
    );
}

/// What a column of a copy must hold that only its own account may see.
fn changed(table: &Table, column: &str, value: &str) -> String {
    let values = table.columns.iter().map(|c| if c == column { format!("'{value}'::uuid") } else { c.clone() });
    values.collect::<Vec<_>>().join(", ")
}

#[test]
fn takes_no_rows_for_another() {
    let Some(barns) = TwoBarns::new(Database::Postgres) else { return skipped() };
    let c = &mut barns.db().conn().unwrap();
    let (here, there) = (&barns.here, &barns.there);
    let (account, other) = (account_of(here), account_of(there));
    let mut refused = 0;
    for table in tables(c) {
        let Some(column) = scope_of(&table) else { continue };
        let (name, columns) = (&table.name, table.columns.join(", "));
        let (ours, theirs) = if column == "barn_id" { (&here.barn_id, &there.barn_id) } else { (&account, &other) };
        let mut as_us = |statement: &str| as_service(c, &here.barn_id, &account, |c| c.batch(statement));
        let values = changed(&table, column, theirs);
        let insertion =
            format!("INSERT INTO {name} ({columns}) SELECT {values} FROM {name} WHERE {column} = '{ours}' LIMIT 1");
        let moved = format!("UPDATE {name} SET {column} = '{theirs}' WHERE {column} = '{ours}'");
        for statement in [insertion, moved] {
            let result = as_us(&statement);
            assert!(is_denied(&result), "{result:?} to {statement}");
            refused += 1;
        }
        for statement in [
            format!("DELETE FROM {name} WHERE {column} = '{theirs}'"),
            format!("UPDATE {name} SET {column} = {column} WHERE {column} = '{theirs}'"),
        ] {
            let touched =
                as_service(c, &here.barn_id, &account, |c| on_each!(c, |c| diesel::sql_query(&statement).execute(c)));
            match touched {
                Ok(0) => {}
                other => assert!(is_denied(&other.map(|_| ())), "{statement}"),
            }
            refused += 1;
        }
    }
    println!(
        "row-level security on PostgreSQL: {refused} statements that write for another barn or account, all refused or without effect"
    );
    assert!(refused > 100);
}

fn barn(world: &World) -> Id<Barn> {
    world.barn_id.parse().unwrap()
}

/// A query that forgets its barn, sent as every request's queries are.
fn forgetful(db: &Db, scope: &Scope) -> Vec<Id<Barn>> {
    let mut seen: Vec<Id<Barn>> = db
        .read(scope, |c| Ok::<_, Problem>(on_each!(c, |c| horse::table.select(horse::barn_id).distinct().load(c))?))
        .unwrap_or_else(|p| panic!("{p}"));
    seen.sort();
    seen
}

#[test]
fn a_query_that_forgets_its_barn_finds_no_other() {
    let Some(barns) = TwoBarns::new(Database::Postgres) else { return skipped() };
    let (db, here, there) = (barns.db(), barn(&barns.here), barn(&barns.there));
    assert_eq!(forgetful(&db, &Scope::barn(here)), [here]);
    assert_eq!(forgetful(&db, &Scope::barn(there)), [there]);
    assert_eq!(forgetful(&db, &Scope::nobody()), []);
    let account = account_of(&barns.here).parse().unwrap();
    assert_eq!(forgetful(&db, &Scope::account(account)), []);
    // and a change that forgets it changes no other's
    let renamed = db
        .write(&Scope::barn(here), |c| {
            Ok::<_, Problem>(on_each!(c, |c| diesel::update(horse::table).set(horse::name.eq("Everyone")).execute(c))?)
        })
        .unwrap_or_else(|p| panic!("{p}"));
    let of_there: Vec<(Id<Horse>, String)> = on_each!(&mut db.conn().unwrap(), |c| horse::table
        .filter(horse::barn_id.eq(there))
        .select((horse::id, horse::name))
        .load(c))
    .unwrap();
    assert!(renamed == 3 && of_there.len() == 3, "{renamed} of {}", of_there.len());
    assert!(of_there.iter().all(|(_, name)| name != "Everyone"), "{of_there:?}");
    // reading changes nothing at all
    let change = db.read(&Scope::barn(here), |c| {
        Ok::<_, Problem>(on_each!(c, |c| diesel::update(horse::table).set(horse::name.eq("Nobody")).execute(c))?)
    });
    assert!(change.is_err());
    // and nothing is left of a scope for whoever has the connection next
    assert_eq!(count(&mut db.conn().unwrap(), "SELECT count(DISTINCT barn_id) AS n FROM horse").unwrap(), 2);
}
