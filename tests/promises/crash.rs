//! An acknowledged write outlives a kill -9, and a request that is sent again counts once.
use serde_json::{Value, json};
use std::collections::{BTreeMap, BTreeSet};
use std::process::Command;
use std::sync::Mutex;
use std::time::Duration;
use stridewright_tests::barn::{Member, found};
use stridewright_tests::client::fresh;
use stridewright_tests::postgres::{Cluster, skipped};
use stridewright_tests::program::Program;
use stridewright_tests::size;
use stridewright_tests::temporary::Folder;

const PROGRAM: &str = env!("CARGO_BIN_EXE_barn-server");
const WRITERS: usize = 4;

/// One request to make a horse; its name is its key.
#[derive(Clone)]
struct Request {
    key: String,
    /// Every other request leaves the id to the service: then only the key tells a repetition.
    id: Option<String>,
}

impl Request {
    fn new(with_id: bool) -> Self {
        Self { key: fresh(), id: with_id.then(fresh) }
    }

    fn body(&self) -> Value {
        let mut body = json!({"name": self.key, "profile": "horse"});
        if let Some(id) = &self.id {
            body["id"] = json!(id);
        }
        body
    }

    /// The id of the horse that was acknowledged; nothing where the service is gone.
    fn send(&self, trainer: &Member, path: &str) -> Option<String> {
        let answer = trainer.ask("POST", path).key(&self.key).json(&self.body()).try_send().ok()?;
        Some(answer.expect(201).id())
    }
}

/// What was acknowledged, by key, and what was sent but not answered.
#[derive(Default)]
struct Ledger {
    acknowledged: BTreeMap<String, (Request, String)>,
    unanswered: Vec<Request>,
}

fn rounds() -> usize {
    size::of(10, 50, 1_000)
}

/// Writes from several threads until the program, killed at a random moment, answers no more.
fn write_until_killed(program: &mut Program, trainer: &Member, path: &str) -> Ledger {
    let ledger = Mutex::new(Ledger::default());
    std::thread::scope(|scope| {
        for _ in 0..WRITERS {
            scope.spawn(|| {
                for turn in 0.. {
                    let request = Request::new(turn % 2 == 0);
                    let answer = request.send(trainer, path);
                    let mut ledger = ledger.lock().unwrap();
                    match answer {
                        Some(id) => drop(ledger.acknowledged.insert(request.key.clone(), (request, id))),
                        None => return ledger.unanswered.push(request),
                    }
                }
            });
        }
        let random = u64::from(uuid::Uuid::new_v4().as_bytes()[0]);
        #[allow(clippy::disallowed_methods, reason = "the moment of the kill is the point")]
        std::thread::sleep(Duration::from_millis(20 + random));
        program.kill();
    });
    ledger.into_inner().unwrap()
}

/// Every horse of the barn: name to id.
fn horses(trainer: &Member, path: &str) -> Vec<(String, String)> {
    let (mut all, mut cursor) = (Vec::new(), String::new());
    loop {
        let page = trainer.get(&format!("{path}?limit=200{cursor}")).expect(200);
        let text = |item: &Value, field: &str| item[field].as_str().unwrap().to_owned();
        all.extend(page.items().iter().map(|item| (text(item, "name"), text(item, "id"))));
        match page["next_cursor"].as_str() {
            Some(next) => cursor = format!("&cursor={next}"),
            None => return all,
        }
    }
}

fn crash(url: &str) {
    let mut program = Program::start(PROGRAM, url);
    let (barn_id, mut trainer) = found(&program.client());
    let path = format!("/api/v1/barns/{barn_id}/horses");
    let mut expected = BTreeMap::new();
    let mut killed_with_one_under_way = 0;
    for _ in 0..rounds() {
        let ledger = write_until_killed(&mut program, &trainer, &path);
        program = Program::start(PROGRAM, url);
        trainer.client = trainer.client.at(&program.base);
        killed_with_one_under_way += usize::from(!ledger.unanswered.is_empty());
        for request in ledger.unanswered {
            let id = request.send(&trainer, &path).expect("the program runs again");
            expected.insert(request.key, id);
        }
        for (turn, (key, (request, id))) in ledger.acknowledged.into_iter().enumerate() {
            if turn % 10 == 0 {
                assert_eq!(request.send(&trainer, &path).as_ref(), Some(&id), "a repetition has another answer");
            }
            expected.insert(key, id);
        }
    }
    assert!(expected.len() > rounds() && killed_with_one_under_way > 0, "too little was written to show anything");
    let found = horses(&trainer, &path);
    let names: BTreeSet<&String> = found.iter().map(|(name, _)| name).collect();
    assert_eq!(names.len(), found.len(), "a request counted twice");
    let found: BTreeMap<String, String> = found.into_iter().collect();
    let lost: Vec<_> = expected.iter().filter(|(key, id)| found.get(*key) != Some(id)).collect();
    assert!(lost.is_empty(), "{} of {} acknowledged writes are lost: {lost:?}", lost.len(), expected.len());
    assert_eq!(found.len(), expected.len(), "there is what nobody asked for");
    println!("{} writes over {} kills, all there once", expected.len(), rounds());
    program.kill();
    let check = Command::new(PROGRAM).args(["--database-url", url, "check"]).output().unwrap();
    assert!(check.status.success(), "{}", String::from_utf8_lossy(&check.stdout));
}

#[test]
fn sqlite() {
    let folder = Folder::new();
    crash(&format!("sqlite://{}/barns.sqlite3", folder.path().display()));
}

#[test]
fn postgres() {
    match Cluster::start(true) {
        Some(cluster) => crash(&cluster.database()),
        None => skipped(),
    }
}
