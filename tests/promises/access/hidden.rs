//! Ids of this barn that the caller may not know, wherever an id can stand: behind the `?` of a list, and in a body.
//! Each is answered as an id that nobody has, to the byte; and a filter finds what shows the id, and nothing else.
use super::elsewhere::{references, set};
use super::expected::Line;
use super::matrix::{Caller, Matrix};
use super::requests::{Request, lasting, said};
use super::yard::{Place, nobody};
use std::collections::{BTreeMap, BTreeSet};
use stridewright_tests::{Client, Value, json};

/// What was asked about.
#[derive(Debug, Default)]
pub struct Asked {
    pub hidden: usize,
    pub filters: usize,
    pub shown: usize,
    pub bodies: usize,
}

/// Where somebody may ask for the thing itself.
const THINGS: [&str; 3] = ["people", "horses", "sessions"];

/// So many of a kind are asked about.
const MOST: usize = 3;

pub fn everywhere(matrix: &mut Matrix<'_>) -> Asked {
    open_to_all(matrix);
    let mut asked = Asked::default();
    let mut hidden: BTreeMap<&str, Vec<String>> = BTreeMap::new();
    for caller in matrix.columns().iter().filter(|caller| is_member(caller) && caller.column != "trainer") {
        hidden.insert(caller.column, unknown(matrix, caller));
    }
    asked.hidden = hidden.values().map(Vec::len).sum();
    for line in matrix.lines.iter().filter(|line| line.operation.in_barn()) {
        for n in 0..matrix.columns().len() {
            let caller = &matrix.columns()[n];
            if !is_member(caller) || !["ok", "409"].contains(&line.cell(caller.column)) {
                continue;
            }
            let request = matrix.request(line.operation, &line.line, caller.place, caller.column == "trainer");
            let of = hidden.get(caller.column).map_or(&[][..], Vec::as_slice);
            in_query(matrix, line, caller, &request, of, &mut asked);
            let (column, client) = (caller.column, caller.client.clone());
            in_body(matrix, line, (column, &client), &request, of, &mut asked);
        }
    }
    matrix.settle("ids that the caller may not know");
    assert!(asked.hidden > 20 && asked.filters > 40 && asked.shown > 40 && asked.bodies > 30, "{asked:?}");
    asked
}

/// Those who belong to the barn; a rail link is nobody.
fn is_member(caller: &Caller<'_>) -> bool {
    ["trainer", "rider", "guardian", "owner"].iter().any(|part| caller.column.starts_with(part))
}

/// A session that every rider sees, with others' horses and riders in it.
fn open_to_all(matrix: &mut Matrix<'_>) {
    let world = &matrix.here.world;
    let pair = |place: &Place| json!({"horse_id": id(place, "horse_id"), "rider_id": id(place, "rider_id")});
    let entries = json!([pair(&matrix.here.far), pair(&matrix.here.ward)]);
    let session = json!({"kind": "flat", "title": "Open to all", "arena_id": id(&matrix.here.near, "arena_id"), "places": 5,
        "entries": entries, "starts_at": "2026-06-08T05:00:00Z", "ends_at": "2026-06-08T06:00:00Z"});
    world.trainer.post(&world.at("sessions"), session).expect(201);
    matrix.store.keep();
}

fn id<'a>(place: &'a Place, name: &str) -> &'a String {
    place.id("", name).unwrap_or_else(|| panic!("the yard has no {name}"))
}

/// People, horses and sessions that are there for a trainer, and of which nothing tells the caller.
fn unknown(matrix: &Matrix<'_>, caller: &Caller<'_>) -> Vec<String> {
    let (here, world) = (&matrix.here, &matrix.here.world);
    let all: BTreeSet<&String> = [&here.near, &here.far, &here.ward].into_iter().flat_map(Place::all).collect();
    let asks = |line: &&Line<'_>| line.operation.asks() && line.operation.in_barn() && line.cell(caller.column) == "ok";
    let told: String = matrix
        .lines
        .iter()
        .filter(asks)
        .map(|line| {
            matrix.send(&matrix.request(line.operation, &line.line, caller.place, false), &caller.client).text()
        })
        .collect();
    let is_there =
        |client: &Client, things: &str, id: &str| client.get(&world.at(&format!("{things}/{id}"))).status == 200;
    let of = |things: &'static str| {
        all.iter()
            .filter(|id| is_there(&world.trainer.client, things, id) && !is_there(&caller.client, things, id))
            .filter(|id| !told.contains(id.as_str()))
            .map(|id| (*id).clone())
            .take(MOST)
            .collect::<Vec<_>>()
    };
    THINGS.into_iter().flat_map(of).collect()
}

/// Every filter by an id; of what the list is without it, the rows that show that id.
fn in_query(
    matrix: &Matrix<'_>,
    line: &Line<'_>,
    caller: &Caller<'_>,
    request: &Request,
    hidden: &[String],
    asked: &mut Asked,
) {
    for parameter in line.operation.in_query.iter().filter(|p| p.name.ends_with("_id") && p.name != "show_id") {
        let at = |what: &str| format!("{} as {}, {what} {}", line.line, caller.column, parameter.name);
        let nowhere = matrix.send(&request.query(&parameter.name, &nobody()), &caller.client);
        for id in hidden {
            let there = matrix.send(&request.query(&parameter.name, id), &caller.client);
            let (seen, expected) = (said(&there), said(&nowhere));
            matrix.require(seen == expected, || format!("{}: hidden\n{seen}\nand absent\n{expected}", at("by")));
            asked.filters += 1;
        }
        if !line.operation.takes("cursor") {
            continue;
        }
        let all = matrix.send(&request.query("limit", "200"), &caller.client);
        for (id, name) in ids(&all.json) {
            let by = request.query("limit", "200").query(&parameter.name, &id);
            let found = rows(matrix.send(&by, &caller.client).json);
            let showing: Vec<Value> =
                rows(all.json.clone()).into_iter().filter(|row| row.to_string().contains(&id)).collect();
            let only = found.iter().all(|row| showing.contains(row));
            matrix.require(only, || format!("{}: {id} finds more than shows it: {found:?}", at("by")));
            // a person is a rider, a trainer or an adult on the ground
            let same = name == parameter.name || (parameter.name == "person_id" && name == "rider_id");
            let whole = !same || found == showing;
            matrix.require(whole, || format!("{}: {id} finds not all that shows it: {found:?}", at("by")));
            asked.shown += 1;
        }
    }
}

fn rows(page: Value) -> Vec<Value> {
    page["items"].as_array().cloned().unwrap_or_default()
}

/// The ids of other things in an answer, each with the name of its field.
fn ids(answer: &Value) -> BTreeSet<(String, String)> {
    let mut pointers = Vec::new();
    references(answer, "", &mut pointers);
    let named = |pointer: &String| {
        let id = answer.pointer(pointer).and_then(Value::as_str)?;
        Some((id.to_owned(), pointer.rsplit('/').next()?.to_owned()))
    };
    pointers.iter().filter_map(named).collect()
}

/// Every field of a body that holds an id of something else.
fn in_body(
    matrix: &mut Matrix<'_>,
    line: &Line<'_>,
    (column, client): (&str, &Client),
    request: &Request,
    hidden: &[String],
    asked: &mut Asked,
) {
    let Some(body) = &request.body else { return };
    let mut pointers = Vec::new();
    references(line.operation.body.as_ref().unwrap(), "", &mut pointers);
    references(body, "", &mut pointers);
    pointers.sort();
    pointers.dedup();
    for pointer in pointers.iter().filter(|pointer| !pointer.ends_with("/show_id")) {
        let ask = |matrix: &mut Matrix<'_>, with: &str| {
            let mut body = body.clone();
            let asked = set(&mut body, pointer, json!(with))
                .then(|| matrix.send(&Request { body: Some(body), ..request.clone() }, client));
            let told = asked.map(|answer| lasting(&answer, &matrix.known).replace(with, "<the id>"));
            matrix.store.put_back();
            told
        };
        let Some(expected) = ask(matrix, &nobody()) else { continue };
        for id in hidden {
            let seen = ask(matrix, id).unwrap_or_default();
            matrix.require(seen == expected, || {
                let at = format!("{} as {column}, {pointer}", line.line);
                format!("{at}: hidden\n{seen}\nand absent\n{expected}")
            });
            asked.bodies += 1;
        }
    }
}
