//! A request that is sent again counts once: every operation of the document that takes an Idempotency-Key.
use std::sync::Barrier;
use stridewright_tests::operations::{Operation, Request, Stage};
use stridewright_tests::postgres::skipped;
use stridewright_tests::rows::{added, beside, counts};
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Answer, Client, Database, json, size};

/// Sends it from many clients at once.
fn at_once(request: &Request, clients: usize) -> Vec<Answer> {
    let start = Barrier::new(clients);
    std::thread::scope(|scope| {
        let sending: Vec<_> = (0..clients)
            .map(|_| {
                scope.spawn(|| {
                    start.wait();
                    request.send()
                })
            })
            .collect();
        sending.into_iter().map(|one| one.join().unwrap()).collect()
    })
}

fn same(one: &Answer, other: &Answer) -> bool {
    let told = |answer: &Answer| (answer.status, answer.header("location"), answer.header("etag"));
    told(one) == told(other) && one.bytes == other.bytes
}

/// Answers how many requests were sent.
fn counts_once(server: &Server, stage: &Stage, operation: &Operation, clients: usize) -> usize {
    let (name, database) = (operation.name(), &mut beside(&server.url));
    let mut sent_and_added = |request: &Request, clients: usize| {
        let before = counts(database);
        let answers = at_once(request, clients);
        (answers, added(&before, &counts(database)))
    };
    // what one of its kind adds
    let (alone, once) = sent_and_added(&stage.request(operation), 1);
    assert!(alone[0].status < 300, "{name}: {}", alone[0].text());
    assert!(!once.is_empty(), "{name} adds nothing");

    let request = stage.request(operation);
    let (answers, together) = sent_and_added(&request, clients);
    let first = &answers[0];
    assert!(first.status < 300, "{name}: {}", first.text());
    for answer in &answers {
        assert!(same(answer, first), "{name}: {} {}, and {}", answer.status, answer.text(), first.text());
    }
    assert_eq!(together, once, "{name}: {clients} at once");
    let (later, nothing) = sent_and_added(&request, 1);
    assert!(same(&later[0], first) && nothing.is_empty(), "{name}: {nothing:?}, {}", later[0].text());

    // another body under the same key, and none at all
    let other = Request { body: Some(json!({"other": true})), ..request.clone() };
    let (refused, nothing) = sent_and_added(&other, 1);
    refused[0].clone().refused(422, "idempotency_key_reused");
    assert!(nothing.is_empty(), "{name}: {nothing:?}");
    let without = request.client.ask(&request.method, &request.path).json(request.body.as_ref().unwrap()).send();
    without.refused(400, "idempotency_key_required");

    // somebody else's key is theirs
    let mut theirs = stage.request(operation);
    theirs.key.clone_from(&request.key);
    if theirs.client.token == request.client.token {
        theirs.client = stage.second_trainer();
    }
    let (others, again) = sent_and_added(&theirs, 1);
    assert!(others[0].status < 300 && others[0].bytes != first.bytes, "{name}: {}", others[0].text());
    assert_eq!(again, once, "{name}: the key of another");
    clients + 4
}

fn every_creation(database: Database) {
    let Some(server) = Server::alone(database, settings()) else { return skipped() };
    let stage = Stage::new(&Client::new(&server.base));
    let keyed: Vec<Operation> = stage.operations().iter().filter(|o| o.keyed).cloned().collect();
    assert!(keyed.len() > 20);
    let clients = size::of(16, 64, 64);
    let sent: usize = keyed.iter().map(|operation| counts_once(&server, &stage, operation, clients)).sum();
    let operations = keyed.len();
    println!("repeats on {database:?}: {operations} creations, {clients} at once, {sent} requests, each counted once");
}

#[test]
fn sqlite() {
    every_creation(Database::Sqlite);
}

#[test]
fn postgres() {
    every_creation(Database::Postgres);
}
