//! The program dies at a named point of every operation of the document that writes: before the commit, and after
//! it before the answer is sent. Held against what the same operation adds when nothing happens to it.
use super::{PROGRAM, check};
use std::cell::RefCell;
use std::collections::BTreeMap;

use stridewright_api::db::conn::AnyConn;
use stridewright_tests::Answer;
use stridewright_tests::operations::{Operation, Request, Stage};
use stridewright_tests::postgres::{Cluster, skipped};
use stridewright_tests::program::Program;
use stridewright_tests::rows::{Counts, added, beside, counts};
use stridewright_tests::size;
use stridewright_tests::temporary::Folder;
use stridewright_tests::watch::Watch;

const POINTS: [&str; 2] = ["before commit", "after commit"];

struct Scene {
    url: String,
    stage: Stage,
    program: Program,
    database: RefCell<AnyConn>,
    /// How often each operation died.
    deaths: BTreeMap<String, usize>,
}

impl Scene {
    fn new(url: String) -> Self {
        let program = Program::start(PROGRAM, &url);
        let stage = Stage::new(&program.client());
        let database = RefCell::new(beside(&url));
        Self { url, stage, program, database, deaths: BTreeMap::new() }
    }

    fn counts(&self) -> Counts {
        counts(&mut self.database.borrow_mut())
    }

    /// Sends it to a process that dies at the point; answers what came back where it was not passed so often.
    fn die(&mut self, request: &Request, point: &str) -> Option<Answer> {
        let mut dying = Program::dying(PROGRAM, &self.url, point);
        match request.at(&dying.base).try_send() {
            Ok(answer) => Some(answer),
            Err(_) => {
                assert!(dying.died(), "it ended otherwise");
                None
            }
        }
    }

    /// What it adds undisturbed.
    fn undisturbed(&self, operation: &Operation) -> Counts {
        let request = self.stage.request(operation);
        let before = self.counts();
        let answer = request.send();
        assert!(answer.status < 300, "{}: {} {}", operation.name(), answer.status, answer.text());
        added(&before, &self.counts())
    }

    fn dies_in(&mut self, operation: &Operation) {
        let (name, once) = (operation.name(), self.undisturbed(operation));
        for point in POINTS {
            // an operation of several transactions is to die in each of them
            for passing in 1.. {
                assert!(passing < 10, "{name} never ends");
                let request = self.stage.request(operation);
                let before = self.counts();
                let at = format!("{name} {point}:{passing}");
                if let Some(answer) = self.die(&request, &format!("{point}:{passing}")) {
                    assert!(passing > 1 && answer.status < 300, "{at}: {} {}", answer.status, answer.text());
                    break;
                }
                *self.deaths.entry(name.clone()).or_default() += 1;
                let left = added(&before, &self.counts());
                if passing == 1 && point == "before commit" {
                    assert_eq!(left, Counts::new(), "{at}: there is something without a commit");
                }
                if operation.keyed && point == "after commit" {
                    assert_eq!(left, once, "{at}: not whole");
                }
                let again = request.send();
                // what has gone is not there for the second: nor may it come back
                let gone = point == "after commit" && [401, 404, 409].contains(&again.status) && !operation.keyed;
                assert!(again.status < 300 || gone, "{at}, sent again: {} {}", again.status, again.text());
                let mut now = added(&before, &self.counts());
                if gone {
                    now.remove("guess"); // the old password, sent again, is a wrong guess
                }
                assert_eq!(now, once, "{at}, sent again: not once");
                if operation.keyed {
                    let third = request.send();
                    assert_eq!((third.status, third.bytes), (again.status, again.bytes), "{at}: another answer");
                    assert_eq!(added(&before, &self.counts()), once, "{at}, sent a third time: not once");
                }
            }
        }
    }
}

fn every_operation(name: &str, url: String) {
    let began = Watch::start();
    let mut scene = Scene::new(url);
    let writing: Vec<Operation> = scene.stage.operations().iter().filter(|o| o.writes()).cloned().collect();
    assert!(writing.len() > 40);
    // a little: each sixth, another one each day it grows
    let writing: Vec<Operation> = writing.into_iter().step_by(size::of(6, 1, 1)).collect();
    writing.iter().for_each(|operation| scene.dies_in(operation));
    let deaths: usize = scene.deaths.values().sum();
    assert!(deaths >= 2 * writing.len());
    println!(
        "named points on {name}: {} operations, {deaths} deaths at {POINTS:?}, each whole or absent, and once in the end, {} s",
        writing.len(),
        began.seconds()
    );
    scene.program.kill();
    check(&scene.url);
}

#[test]
fn sqlite() {
    let folder = Folder::new();
    every_operation("SQLite", format!("sqlite://{}/barns.sqlite3", folder.path().display()));
}

#[test]
fn postgres() {
    match Cluster::shared() {
        Some(cluster) => every_operation("PostgreSQL", cluster.database()),
        None => skipped(),
    }
}
