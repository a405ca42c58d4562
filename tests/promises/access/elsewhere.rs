//! Ids of the other barn wherever an id can stand: in the path, the query, the body, the cursor and the key of a
//! request. Each is answered as an id that nobody has, to the byte.
use super::bodies::is_reference;
use super::expected::Line;
use super::matrix::{Caller, Matrix};
use super::requests::{Request, lasting, whole};
use super::yard::{Place, nobody};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use stridewright_tests::client::fresh;
use stridewright_tests::{Value, json};

/// Where ids of the other barn were put.
#[derive(Debug, Default)]
pub struct Put {
    pub paths: usize,
    pub bodies: usize,
    pub queries: usize,
    pub cursors: usize,
    pub keys: usize,
}

pub fn everywhere(matrix: &mut Matrix<'_>) -> Put {
    let mut put = Put::default();
    for line in matrix.lines.iter().filter(|line| line.operation.in_barn()) {
        for caller in matrix.columns() {
            if !["ok", "409"].contains(&line.cell(caller.column)) {
                continue;
            }
            let request = matrix.request(line.operation, &line.line, caller.place, caller.column == "trainer");
            in_path(matrix, line, &caller, &request, &mut put);
            in_body(matrix, line, &caller, &request, &mut put);
            in_query(matrix, line, &caller, &request, &mut put);
        }
        matrix.unchanged(&line.line);
        in_key(matrix, line, &mut put);
        cursors(matrix, line, &mut put);
    }
    matrix.settle("ids of another barn");
    assert!(put.paths > 100 && put.bodies > 30 && put.queries > 10 && put.cursors > 5 && put.keys > 10, "{put:?}");
    put
}

/// Their place of the same sort.
fn theirs<'a>(matrix: &'a Matrix<'_>, caller: &Caller<'_>) -> &'a Place {
    if caller.column.starts_with("guardian") { &matrix.there.ward } else { &matrix.there.near }
}

/// Asks about what is there in another barn, and about what is nowhere; answers the status.
fn both(matrix: &Matrix<'_>, line: &Line<'_>, caller: &Caller<'_>, at: &str, [theirs, nowhere]: [Request; 2]) -> u16 {
    let there = matrix.send(&theirs, &caller.client);
    let absent = matrix.send(&nowhere, &caller.client);
    let (seen, expected) = (whole(&there), whole(&absent));
    let fault =
        || format!("{} as {}, {at}: of another barn\n{seen}\nand of none\n{expected}", line.line, caller.column);
    matrix.require(seen == expected, fault);
    there.status
}

fn in_path(matrix: &Matrix<'_>, line: &Line<'_>, caller: &Caller<'_>, request: &Request, put: &mut Put) {
    for name in line.operation.in_path.iter().filter(|name| name.ends_with("_id") && *name != "barn_id") {
        let ours = caller.place.id(&line.line, name).unwrap();
        let of = theirs(matrix, caller).id(&line.line, name).unwrap();
        let swapped = |with: &str| Request { path: request.path.replace(ours, with), ..request.clone() };
        let status = both(matrix, line, caller, name, [swapped(of), swapped(&nobody())]);
        matrix
            .require(status == 404, || format!("{} as {}, {name} of another barn: {status}", line.line, caller.column));
        put.paths += 1;
    }
}

fn in_body(matrix: &Matrix<'_>, line: &Line<'_>, caller: &Caller<'_>, request: &Request, put: &mut Put) {
    let Some(body) = &request.body else { return };
    let mut pointers = Vec::new();
    references(line.operation.body.as_ref().unwrap(), "", &mut pointers);
    references(body, "", &mut pointers);
    pointers.sort();
    pointers.dedup();
    for pointer in pointers {
        let name = pointer.rsplit('/').next().unwrap();
        let Some(of) = theirs(matrix, caller).id(&line.line, name) else { continue };
        let swapped = |with: &str| {
            let mut body = body.clone();
            set(&mut body, &pointer, json!(with)).then(|| Request { body: Some(body), ..request.clone() })
        };
        let (Some(other), Some(nowhere)) = (swapped(of), swapped(&nobody())) else { continue };
        let status = both(matrix, line, caller, &pointer, [other, nowhere]);
        matrix.require(status >= 400, || {
            format!("{} as {}, {pointer} of another barn: {status}", line.line, caller.column)
        });
        put.bodies += 1;
    }
}

fn in_query(matrix: &Matrix<'_>, line: &Line<'_>, caller: &Caller<'_>, request: &Request, put: &mut Put) {
    for parameter in line.operation.in_query.iter().filter(|p| p.name.ends_with("_id") && p.name != "show_id") {
        let of = theirs(matrix, caller).id(&line.line, &parameter.name).expect("one of theirs");
        let with = |id: &str| request.query(&parameter.name, id);
        both(matrix, line, caller, &parameter.name, [with(of), with(&nobody())]);
        put.queries += 1;
    }
}

/// The cursor of another barn's list, and the same cursor at a row that is nowhere.
fn cursors(matrix: &Matrix<'_>, line: &Line<'_>, put: &mut Put) {
    if !line.operation.takes("cursor") {
        return;
    }
    let (here, there) = (&matrix.here, &matrix.there);
    let trainer = matrix.columns().into_iter().find(|caller| caller.column == "trainer").unwrap();
    let ours = matrix.request(line.operation, &line.line, trainer.place, true);
    let mut of_theirs = ours.query("limit", "1");
    for name in &line.operation.in_path {
        let (from, to) = (here.near.id(&line.line, name).unwrap(), there.near.id(&line.line, name).unwrap());
        of_theirs.path = of_theirs.path.replace(from, to);
    }
    let page = of_theirs.send(&there.world.trainer).expect(200);
    let Some(cursor) = page["next_cursor"].as_str() else { return };
    let key = String::from_utf8(URL_SAFE_NO_PAD.decode(cursor).unwrap()).unwrap();
    // nobody's, and in the same place of the list: the last digit is another
    let row = page.items()[0]["id"].as_str().unwrap_or_default().to_owned();
    let beside = row.get(..35).map(|most| format!("{most}{}", if row.ends_with('7') { '8' } else { '7' }));
    let Some(beside) = beside.filter(|_| key.contains(&row)) else { return };
    let nowhere = URL_SAFE_NO_PAD.encode(key.replace(&row, &beside));
    both(matrix, line, &trainer, "cursor", [ours.query("cursor", cursor), ours.query("cursor", &nowhere)]);
    put.cursors += 1;
}

/// A key that the trainer of the other barn has used, and one of ours that the twin has an answer to as well.
fn in_key(matrix: &mut Matrix<'_>, line: &Line<'_>, put: &mut Put) {
    let operation = line.operation;
    if !operation.wants_key || line.cell("trainer") != "ok" {
        return;
    }
    let key = fresh();
    let ours = matrix.request(operation, &line.line, &matrix.here.near, true);
    let send = |request: &Request, client: &stridewright_tests::Client, key: &str| {
        client.ask(&request.method, &request.path).key(key).json(request.body.as_ref().unwrap()).send()
    };
    let theirs = Request { path: ours.path.clone(), ..ours.clone() };
    let mut theirs = theirs;
    for name in &operation.in_path {
        let (from, to) =
            (matrix.here.near.id(&line.line, name).unwrap(), matrix.there.near.id(&line.line, name).unwrap());
        theirs.path = theirs.path.replace(from, to);
    }
    let plain = send(&ours, &matrix.here.world.trainer, &fresh());
    matrix.store.put_back();
    send(&theirs, &matrix.there.world.trainer, &key);
    let after = send(&ours, &matrix.here.world.trainer, &key);
    let (expected, seen) = (lasting(&plain, &matrix.known), lasting(&after, &matrix.known));
    matrix.require(expected == seen, || format!("{}: another barn's key: {seen}", line.line));
    let again = send(&ours, &matrix.here.world.trainer, &key);
    matrix.require(whole(&after) == whole(&again), || format!("{}: repeated: {}", line.line, whole(&again)));
    matrix.store.put_back();
    put.keys += 1;
}

/// Pointers to the fields that hold ids of other things.
pub fn references(body: &Value, at: &str, found: &mut Vec<String>) {
    match body {
        Value::Object(fields) => {
            for (name, value) in fields {
                let at = format!("{at}/{name}");
                if is_reference(name) && value.is_string() { found.push(at) } else { references(value, &at, found) }
            }
        }
        Value::Array(values) => {
            values.iter().enumerate().for_each(|(n, value)| references(value, &format!("{at}/{n}"), found))
        }
        _ => {}
    }
}

/// Sets a field, where what holds it is there.
pub fn set(body: &mut Value, pointer: &str, to: Value) -> bool {
    let (holder, name) = pointer.rsplit_once('/').unwrap();
    match body.pointer_mut(holder).and_then(Value::as_object_mut) {
        Some(fields) => {
            fields.insert(name.to_owned(), to);
            true
        }
        None => false,
    }
}
