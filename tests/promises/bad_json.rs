//! Bodies and queries that are not what they should be, at every operation of the document that takes one, to the
//! program as a process: always a problem of the 4xx kind, never a fault of ours, and nothing grows.
use std::collections::BTreeMap;
use std::time::{Duration, Instant};
use stridewright_tests::barn::sign_in;
use stridewright_tests::client::fresh;
use stridewright_tests::program::Program;
use stridewright_tests::server::Database;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Answer, Client, Value, World, json, size};

/// What the same bodies once more may leave behind, in KiB, when the allocator has what it keeps for each thread.
const GROWTH: u64 = 50 * 1024;
/// What the process may hold after any pass, in KiB.
const MEMORY: u64 = 512 * 1024;

/// A body, its content type, and the status where the body is looked at; 0 where any of the 4xx kind will do.
struct Bad {
    name: &'static str,
    content_type: &'static str,
    body: Vec<u8>,
    status: u16,
}

fn bad(name: &'static str, body: impl Into<Vec<u8>>, status: u16) -> Bad {
    Bad { name, content_type: "application/json", body: body.into(), status }
}

fn bodies() -> Vec<Bad> {
    let keys = |n: usize| format!("{{{}}}", (0..n).map(|n| format!("\"k{n}\":1")).collect::<Vec<_>>().join(","));
    let typed = |content_type| Bad { content_type, ..bad(content_type, "{}", 415) };
    vec![
        bad("100,000 deep arrays", format!("{}{}", "[".repeat(100_000), "]".repeat(100_000)), 400),
        bad("100,000 deep objects", format!("{}1{}", "{\"a\":".repeat(100_000), "}".repeat(100_000)), 400),
        bad("100,000 arrays that do not end", "[".repeat(100_000), 400),
        bad("a million keys", keys(1_000_000), 413),
        bad("130,000 keys", keys(130_000), 0),
        bad("one key a hundred times", format!("{{{}\"a\":1}}", "\"a\":1,".repeat(99)), 400),
        bad("a key twice, once escaped", r#"{"name":"A","n\u0061me":"B"}"#, 400),
        bad("1e400", r#"{"name":1e400}"#, 400),
        bad("-1e400", r#"{"name":-1e400}"#, 400),
        bad("100,000 digits", format!("{{\"name\":{}}}", "9".repeat(100_000)), 400),
        bad("a lone high surrogate", r#"{"name":"\ud800"}"#, 400),
        bad("a lone low surrogate", r#"{"name":"\udc00x"}"#, 400),
        bad("a lone surrogate as a key", r#"{"\ud800":1}"#, 400),
        bad("NUL, escaped", r#"{"name":"\u0000","email":"\u0000","title":"\u0000"}"#, 0),
        bad("NUL as a key", r#"{"\u0000":1}"#, 0),
        bad("NUL as it is", b"{\"name\":\"\0\"}".to_vec(), 400),
        bad("NUL alone", b"\0".to_vec(), 400),
        bad("a byte order mark", b"\xef\xbb\xbf{}".to_vec(), 400),
        bad("UTF-16", b"{\0}\0".to_vec(), 400),
        bad("no UTF-8", b"{\"name\":\"\xff\xfe\"}".to_vec(), 400),
        bad("NaN", r#"{"name":NaN}"#, 400),
        bad("Infinity", r#"{"name":Infinity}"#, 400),
        bad("an array", "[]", 0),
        bad("a text", "\"text\"", 0),
        bad("a number", "7", 0),
        bad("null", "null", 0),
        bad("nothing", "", 400),
        bad("white space", " \r\n\t ", 400),
        bad("a comment", "{/* */}", 400),
        bad("a comma too many", r#"{"a":1,}"#, 400),
        bad("single quotes", "{'a':1}", 400),
        bad("two values", "{}{}", 400),
        bad("a text of 2 MB", format!("{{\"name\":\"{}\"}}", "a".repeat(2_000_000)), 0),
        bad("a key of 2 MB", format!("{{\"{}\":1}}", "~".repeat(2_000_000)), 0),
        typed("text/plain"),
        typed("application/x-www-form-urlencoded"),
        typed("multipart/form-data; boundary=a"),
        typed("application/json5"),
        typed("application/xml"),
    ]
}

/// One operation at an address where there is something.
struct Operation {
    method: String,
    path: String,
    parameters: Vec<String>,
    example: Value,
}

/// Puts ids into the address: the barn's, and for each thing the first that its list shows.
fn address(client: &Client, template: &str, barn_id: &str) -> String {
    let mut path = String::new();
    for part in template.split('/').skip(1) {
        let id = match part.strip_prefix('{') {
            None => part.to_owned(),
            Some("barn_id}") => barn_id.to_owned(),
            Some("revision}") => "1".to_owned(),
            Some(_) => {
                let list = client.get(&path);
                let first = list.json["items"].get(0).and_then(|item| item["id"].as_str());
                first.map_or_else(fresh, str::to_owned)
            }
        };
        path = format!("{path}/{id}");
    }
    path
}

fn operations(client: &Client, barn_id: &str) -> Vec<Operation> {
    let document = stridewright_api::routes::list::all().document();
    let mut operations = Vec::new();
    for (template, methods) in document["paths"].as_object().unwrap() {
        for (method, operation) in methods.as_object().unwrap() {
            let names = operation["parameters"].as_array().into_iter().flatten().filter(|p| p["in"] == "query");
            let parameters = names.filter_map(|p| p["name"].as_str().map(str::to_owned)).collect::<Vec<_>>();
            let example = operation["requestBody"]["content"]["application/json"]["example"].clone();
            if parameters.is_empty() && example.is_null() {
                continue;
            }
            let path = address(client, template, barn_id);
            operations.push(Operation { method: method.to_uppercase(), path, parameters, example });
        }
    }
    operations
}

/// What was asked and what came, in figures.
#[derive(Default)]
struct Figures {
    sent: usize,
    looked_at: usize,
    statuses: BTreeMap<u16, usize>,
    slowest: Duration,
    what: String,
}

impl Figures {
    #[allow(clippy::disallowed_methods, reason = "how long an answer takes is printed")]
    fn time(&mut self, what: &str, ask: impl FnOnce() -> Answer) -> Answer {
        let began = Instant::now();
        let answer = ask();
        if began.elapsed() > self.slowest {
            (self.slowest, self.what) = (began.elapsed(), what.to_owned());
        }
        self.sent += 1;
        *self.statuses.entry(answer.status).or_default() += 1;
        answer
    }
}

/// Sends the body with whatever else a good request has.
fn send(client: &Client, operation: &Operation, etag: &str, content_type: &str, body: &[u8]) -> Answer {
    let ask = client.ask(&operation.method, &operation.path).key(&fresh()).if_match(etag);
    ask.bytes(content_type, body).send()
}

fn every_body(client: &Client, operations: &[Operation], figures: &mut Figures) {
    let bodies = bodies();
    for operation in operations.iter().filter(|o| !o.example.is_null()) {
        let etag = client.get(&operation.path).header("etag");
        let etag = if etag.is_empty() { "\"v1\"".to_owned() } else { etag };
        let looked_at = send(client, operation, &etag, "application/json", b"{").status == 400;
        figures.looked_at += usize::from(looked_at);
        for bad in &bodies {
            let what = format!("{} {} with {}", operation.method, operation.path, bad.name);
            let answer = figures.time(&what, || send(client, operation, &etag, bad.content_type, &bad.body));
            refused(&what, &answer);
            if looked_at && bad.status != 0 {
                assert_eq!(answer.status, bad.status, "{what}: {}", answer.text());
            }
        }
        for (field, _) in operation.example.as_object().into_iter().flatten().filter(|(_, value)| value.is_array()) {
            let mut body = operation.example.clone();
            body[field] = Value::Array(vec![body[field].get(0).cloned().unwrap_or(json!("a")); 10_000]);
            let what = format!("{} {} with 10,000 {field}", operation.method, operation.path);
            let body = body.to_string();
            let answer = figures.time(&what, || send(client, operation, &etag, "application/json", body.as_bytes()));
            refused(&what, &answer);
        }
    }
}

fn every_query(client: &Client, operations: &[Operation], figures: &mut Figures) {
    for operation in operations.iter().filter(|o| o.method == "GET") {
        let path = &operation.path;
        let mut ask = |query: String, wrong: bool| {
            let what = format!("GET {path}?{}", query.chars().take(60).collect::<String>());
            let answer = figures.time(&what, || client.get(&format!("{path}?{query}")));
            if wrong || answer.status >= 400 {
                refused(&what, &answer);
            }
        };
        for name in &operation.parameters {
            ask(format!("{name}=%00"), true);
            ask(format!("{name}={}", "9".repeat(20_000)), true);
            ask(format!("{name}=1&{name}=1"), true);
        }
        ask((0..2_000).map(|n| format!("k{n}=1")).collect::<Vec<_>>().join("&"), true);
        if operation.parameters.iter().any(|name| name == "limit") {
            for limit in ["1000000000", "-1", "1.5", "1e9", "0x10", "", "%20", "%D9%A1"] {
                ask(format!("limit={limit}"), true);
            }
        }
        let has = |name: &str| operation.parameters.iter().any(|parameter| parameter == name);
        if has("from") && has("to") {
            for (from, to) in [
                ("1926-01-01", "2026-01-01"),
                ("2026-01-01", "2126-01-01"),
                ("2026-06-02", "2026-06-01"),
                ("-9999-01-01", "9999-12-31"),
                ("1926-01-01T00:00:00Z", "2026-01-01T00:00:00Z"),
                ("2026-01-01T00:00:00Z", "9999-12-31T23:59:59Z"),
            ] {
                ask(format!("from={from}&to={to}"), false);
            }
        }
    }
}

#[track_caller]
fn refused(what: &str, answer: &Answer) {
    let fits = (400..500).contains(&answer.status) && answer.header("content-type") == "application/problem+json";
    assert!(fits, "{what}: {} {}", answer.status, answer.text());
}

/// The yard's people have things in every list that a trainer can fill.
fn furnish(world: &World) {
    let yard = Yard::new(world);
    world.fence_set();
    world.make("sessions", session(&yard, "2026-06-03", 9, 10));
    world.make("invitations", json!({"name": "Robin", "roles": ["rider"]}));
}

fn bad_input(world: &World) {
    furnish(world);
    // another process on the same data, so that its memory is its own
    let mut program = Program::start(env!("CARGO_BIN_EXE_barn-server"), &world.server.url);
    let client = sign_in(&program.client(), &world.trainer.email).member.client;
    let operations = operations(&client, &world.barn_id);
    let (mut figures, mut memory) = (Figures::default(), Vec::new());
    for _ in 0..size::of(1, 4, 20) {
        figures.looked_at = 0;
        every_body(&client, &operations, &mut figures);
        every_query(&client, &operations, &mut figures);
        memory.push(program.memory_kib());
        client.get(&world.at("horses")).expect(200);
    }
    let with_body = operations.iter().filter(|o| !o.example.is_null()).count();
    let last = memory.len() - 1;
    let grown = memory[last].saturating_sub(memory[last.min(1)]);
    println!(
        "bad input on {:?}: {} operations, {} of {with_body} bodies looked at, {} requests, answers {:?}, the slowest \
         {:.0} ms ({}); memory {} KiB, +{grown}",
        world.server.database,
        operations.len(),
        figures.looked_at,
        figures.sent,
        figures.statuses,
        figures.slowest.as_secs_f64() * 1000.0,
        figures.what,
        memory[last]
    );
    assert!(figures.looked_at * 3 > with_body * 2, "too few bodies are looked at to show anything");
    assert!(grown < GROWTH && memory.iter().all(|held| *held < MEMORY), "memory: {memory:?} KiB");
    assert!(program.runs());
}

#[test]
fn sqlite() {
    World::on(Database::Sqlite, bad_input);
}

#[test]
fn postgres() {
    World::on(Database::Postgres, bad_input);
}
