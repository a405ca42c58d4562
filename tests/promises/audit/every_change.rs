//! Every operation of the document that changes a barn leaves one row when it succeeds, and none when it is sent again.
use super::rows::{Columns, Row};
use diesel::prelude::*;
use stridewright_api::db::check::faults;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::schema::audit;
use stridewright_api::on_each;
use stridewright_api::routes::list;
use stridewright_tests::barn::found;
use stridewright_tests::operations::{Operation, Stage};
use stridewright_tests::postgres::skipped;
use stridewright_tests::rows::{added, beside, counts};
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Client, Database};

/// The newest row of any barn.
fn newest(c: &mut AnyConn) -> Vec<Row> {
    let rows: Vec<Columns> = on_each!(c, |c| audit::table
        .order((audit::at.desc(), audit::seq.desc()))
        .limit(1)
        .select((audit::caller_id, audit::action, audit::resource, audit::resource_id, audit::status))
        .load(c))
    .unwrap();
    rows.into_iter().map(Row::from).collect()
}

/// The entity's name in `x-access`.
fn resource(operation: &Operation) -> String {
    let document = list::all().document();
    let access = &document["paths"][&operation.template][operation.method.to_lowercase()]["x-access"];
    access.as_str().unwrap().rsplit_once(':').unwrap().0.to_owned()
}

/// Sends it once, and again where it has a key; what is wrong with the rows it left.
fn wrong(server: &Server, stage: &Stage, operation: &Operation, c: &mut AnyConn) -> Option<String> {
    let (name, in_barn) = (operation.name(), operation.template.contains("{barn_id}"));
    let request = stage.request(operation);
    let caller = request.client.get("/api/v1/me").expect(200).id();
    server.clock.advance_seconds(1); // so that the newest row is the newest
    let before = counts(c);
    let answer = request.send();
    assert!(answer.status < 300, "{name}: {} {}", answer.status, answer.text());
    let left = added(&before, &counts(c));
    // outside of a barn's addresses: where one is founded or joined
    let expected = i64::from(in_barn || left.contains_key("person"));
    let rows = left.get("audit").copied().unwrap_or_default();
    if rows != expected {
        return Some(format!("{name} left {rows} rows instead of {expected}"));
    }
    if rows == 1 {
        let row = newest(c).remove(0);
        let told = row.caller == caller
            && row.action == format!("{} {}", request.method, request.path)
            && (!in_barn || row.resource == resource(operation))
            && row.status == i32::from(answer.status);
        if !told {
            return Some(format!("{name}, by {caller}, answered {}, left {row:?}", answer.status));
        }
    }
    if operation.keyed {
        let before = counts(c);
        request.send();
        let again = added(&before, &counts(c));
        return (!again.is_empty()).then(|| format!("{name} sent again left {again:?}"));
    }
    None
}

fn every_change(database: Database) {
    let Some(server) = Server::alone(database, settings()) else { return skipped() };
    let anonymous = Client::new(&server.base);
    let stage = Stage::new(&anonymous);
    let c = &mut beside(&server.url);
    let changes: Vec<Operation> = stage.operations().iter().filter(|o| o.writes()).cloned().collect();
    let in_barn = changes.iter().filter(|o| o.template.contains("{barn_id}")).count();
    assert!(in_barn > 40, "{in_barn} changes");
    let wrong: Vec<String> = changes.iter().filter_map(|operation| wrong(&server, &stage, operation, c)).collect();
    assert_eq!(wrong, Vec::<String>::new());
    // signing up, which nobody is asked about
    let before = counts(c);
    found(&anonymous);
    assert_eq!(added(&before, &counts(c)).get("audit"), Some(&1));
    let faults = faults(c).unwrap_or_else(|p| panic!("{p}"));
    assert_eq!(faults, Vec::<String>::new());
    println!(
        "audit log on {database:?}: {in_barn} operations that change a barn, and {} outside of one, each left its rows \
         and no more when sent again; check finds no fault in {} rows",
        changes.len() - in_barn + 1,
        counts(c)["audit"]
    );
}

#[test]
fn sqlite() {
    every_change(Database::Sqlite);
}

#[test]
fn postgres() {
    every_change(Database::Postgres);
}
