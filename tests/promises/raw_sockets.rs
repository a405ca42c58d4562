//! What no client that keeps to the rules sends, byte by byte, to the program as a process: it is refused at
//! once, nothing grows, and the next request is served.
mod cases;

use cases::{BELOW_US, Case, Expected, all};
use std::time::{Duration, Instant};
use stridewright_tests::barn::{Member, found};
use stridewright_tests::program::Program;
use stridewright_tests::raw::Raw;
use stridewright_tests::size;
use stridewright_tests::temporary::Folder;
use stridewright_tests::{Answer, json};

/// What all of it may leave behind, in KiB.
const MEMORY: u64 = 50 * 1024;

/// The program, somebody signed in, and the head of a good request.
struct Bench {
    program: Program,
    host: String,
    token: String,
    horses: String,
}

impl Bench {
    fn new(url: &str) -> Self {
        let quick = [("STRIDEWRIGHT_BODY_SECONDS", "1")];
        let program = Program::start_with(env!("CARGO_BIN_EXE_barn-server"), url, &quick);
        let (barn_id, trainer) = found(&program.client());
        trainer
            .post(&format!("/api/v1/barns/{barn_id}/horses"), json!({"name": "Bramble", "profile": "horse"}))
            .expect(201);
        let Member { client, .. } = trainer;
        Self {
            host: program.base.strip_prefix("http://").unwrap().to_owned(),
            token: client.token.unwrap(),
            horses: format!("/api/v1/barns/{barn_id}/horses"),
            program,
        }
    }

    fn good(&self) -> String {
        format!("GET {} HTTP/1.1\r\nHost: {}\r\nAuthorization: Bearer {}\r\n\r\n", self.horses, self.host, self.token)
    }

    /// The next request on this connection is served, or the connection is over: it is never stuck.
    fn not_wedged(&self, raw: &mut Raw, name: &str) {
        if raw.send(self.good().as_bytes())
            && let Some(answer) = raw.answer(name)
        {
            assert!(answer.status < 500, "after {name}: {} {}", answer.status, answer.text());
        }
    }
}

fn is_problem(answer: &Answer) -> bool {
    answer.header("content-type") == "application/problem+json"
        && answer["status"] == answer.status
        && answer["code"].is_string()
}

/// What came, in the words of what was expected.
fn met(answer: Option<&Answer>) -> Expected {
    match answer {
        None => Expected::HungUp,
        Some(answer) if answer.status < 400 => Expected::Good(answer.status),
        Some(answer) if is_problem(answer) => Expected::Problem(answer.status),
        Some(answer) => Expected::Bare(answer.status),
    }
}

#[allow(clippy::disallowed_methods, reason = "how long an answer takes is printed")]
fn now() -> Instant {
    Instant::now()
}

fn run(bench: &Bench, case: &Case) -> (Expected, Duration) {
    let (began, mut raw) = (now(), Raw::open(&bench.program.base));
    for part in &case.parts {
        if !raw.send(part) {
            break;
        }
    }
    if case.ends {
        raw.end();
    }
    let answer = raw.answer(case.name);
    let took = began.elapsed();
    if answer.is_some() && !case.ends {
        bench.not_wedged(&mut raw, case.name);
    }
    (met(answer.as_ref()), took)
}

#[test]
fn refused_and_nothing_grows() {
    let folder = Folder::new();
    let mut bench = Bench::new(&format!("sqlite://{}/barns.sqlite3", folder.path().display()));
    let cases = all(&bench.host, &bench.horses, &bench.token);
    let (mut wrong, mut below, mut slowest, mut memory) = (Vec::new(), Vec::new(), (Duration::ZERO, ""), Vec::new());
    let rounds = size::of(2, 5, 50);
    for round in 0..rounds {
        for case in cases.iter().filter(|case| round == 0 || !case.slow) {
            let (met, took) = run(&bench, case);
            if !case.expected.is(met) {
                wrong.push(format!("{}: {met:?} instead of {:?}", case.name, case.expected));
            }
            if round == 0 && case.expected.below_us() {
                below.push(case.name);
            }
            if !case.slow && took > slowest.0 {
                slowest = (took, case.name);
            }
            assert!(bench.program.runs(), "{} ended the program", case.name);
            let mut raw = Raw::open(&bench.program.base);
            raw.send(bench.good().as_bytes());
            raw.answer("a good request").expect("an answer").expect(200);
        }
        memory.push(bench.program.memory_kib());
    }
    assert!(wrong.is_empty(), "{} of {}:\n{}", wrong.len(), cases.len(), wrong.join("\n"));
    below.sort_unstable();
    let mut named: Vec<&str> = BELOW_US.to_vec();
    named.sort_unstable();
    assert_eq!(below, named, "answered below us, and named as such");
    let grown = memory[memory.len() - 1].saturating_sub(memory[0]);
    println!(
        "raw sockets: {} cases x {rounds}, 0 answers of 500, the slowest {:.1} ms ({}), {} answered below us; memory +{grown} KiB",
        cases.len(),
        slowest.0.as_secs_f64() * 1000.0,
        slowest.1,
        below.len()
    );
    assert!(grown < MEMORY, "memory: {memory:?} KiB");
}
