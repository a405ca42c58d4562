//! An acknowledged write outlives a kill -9, and a request that is sent again counts once. A ledger outside the
//! program says what was acknowledged.
mod findings;
mod ledger;
mod points;
mod sync;
mod writers;

use findings::{Findings, hold};
use ledger::Ledger;
use std::process::Command;
use std::time::Duration;
use stridewright_tests::Answer;
use stridewright_tests::barn::{found, sign_in};
use stridewright_tests::postgres::{Cluster, skipped};
use stridewright_tests::program::Program;
use stridewright_tests::size;
use stridewright_tests::temporary::Folder;
use stridewright_tests::watch::Watch;
use writers::Writer;

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_barn-server");
const WRITERS: usize = 6;

fn ledger_ids(answer: &Answer) -> Vec<String> {
    ledger::ids(&answer.json)
}

/// Sends again what was meant and not answered; it converges to what was meant.
fn settle(ledger: &Ledger, writers: &mut [Writer]) -> usize {
    let mut unanswered = 0;
    for intent in ledger.read(&writers[0].client).into_iter().filter(|intent| intent.ids.is_none()) {
        unanswered += 1;
        let answer = intent.request.send();
        // what was removed by the first is not there for the second
        let gone = intent.kind == "removal" && answer.status == 404;
        assert!(answer.status < 300 || gone, "{} again: {} {}", intent.kind, answer.status, answer.text());
        ledger.acknowledge(&intent.request.key, &answer);
        writers[intent.writer].learn(&intent, &ledger_ids(&answer));
        if !gone && intent.kind != "removal" {
            let again = intent.request.send();
            assert_eq!((again.status, &again.bytes), (answer.status, &answer.bytes), "a repetition has another answer");
        }
    }
    unanswered
}

fn check(url: &str) {
    let check = Command::new(PROGRAM).args(["--database-url", url, "check"]).output().unwrap();
    assert!(check.status.success(), "{}", String::from_utf8_lossy(&check.stdout));
}

fn killed_at_any_moment(name: &str, url: &str) {
    let began = Watch::start();
    let folder = Folder::new();
    let ledger = Ledger::new(folder.path());
    let mut program = Program::start(PROGRAM, url);
    let (barn_id, mut trainer) = found(&program.client());
    let barn = format!("/api/v1/barns/{barn_id}");
    let mut writers: Vec<Writer> = (0..WRITERS).map(|n| Writer::new(n, &barn, &trainer)).collect();
    let (kills, mut unanswered, mut slowest) = (size::of(10, 50, 1_000), 0, Duration::ZERO);
    for kill in 0..kills {
        std::thread::scope(|scope| {
            let ledger = &ledger;
            for writer in &mut writers {
                scope.spawn(move || writer.write(ledger));
            }
            let random =
                u64::from(u16::from_be_bytes([uuid::Uuid::new_v4().as_bytes()[0], uuid::Uuid::new_v4().as_bytes()[1]]));
            #[allow(clippy::disallowed_methods, reason = "the moment of the kill is the point")]
            std::thread::sleep(Duration::from_micros(20_000 + random * 8));
            program.kill();
        });
        let restarting = Watch::start();
        program = Program::start(PROGRAM, url);
        slowest = slowest.max(restarting.elapsed());
        trainer.client = trainer.client.at(&program.base);
        if kill % 50 == 49 {
            trainer.client = sign_in(&program.client(), &trainer.email).member.client; // before the token ends
        }
        writers.iter_mut().for_each(|writer| writer.client = trainer.client.clone());
        unanswered += settle(&ledger, &mut writers);
        if kill % 100 == 9 {
            assert_eq!(hold(&ledger.read(&trainer), &trainer, &barn), Findings::default(), "after {kill} kills");
        }
    }
    let intents = ledger.read(&trainer);
    let found = hold(&intents, &trainer, &barn);
    let of = |kind: &str| intents.iter().filter(|i| i.kind == kind).count();
    let kinds = ["horse", "session", "batch", "correction", "removal", "note"];
    let each: Vec<String> = kinds.iter().map(|kind| format!("{} {kind}", of(kind))).collect();
    println!(
        "crashes on {name}: {kills} kills of {WRITERS} writers, {} writes ({}), {unanswered} unanswered and sent again, \
         {} lost, {} phantom, {} doubled, {} torn, ready again in {} ms at most, {} s",
        intents.len(),
        each.join(", "),
        found.lost.len(),
        found.phantom.len(),
        found.doubled.len(),
        found.torn.len(),
        slowest.as_millis(),
        began.seconds(),
    );
    assert_eq!(found, Findings::default());
    assert!(kinds.iter().all(|kind| of(kind) > 0) && unanswered > 0, "too little was written to show anything");
    program.kill();
    check(url);
}

mod at_any_moment {
    use super::*;

    #[test]
    fn sqlite() {
        let folder = Folder::new();
        killed_at_any_moment("SQLite", &format!("sqlite://{}/barns.sqlite3", folder.path().display()));
    }

    #[test]
    fn postgres() {
        match Cluster::start(true) {
            Some(cluster) => killed_at_any_moment("PostgreSQL", &cluster.database()),
            None => skipped(),
        }
    }
}
