//! A flood of sign-ins at the program as a process: it is turned away in time, and others go on.
use super::{SIGN_INS, signed_in};
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use std::time::{Duration, Instant};
use stridewright_tests::barn::{found, fresh_email};
use stridewright_tests::postgres::{Cluster, skipped};
use stridewright_tests::program::Program;
use stridewright_tests::temporary::Folder;
use stridewright_tests::{Client, json, size};

/// As many as 200 a second take, when each waits for its answer.
const GUESSERS: usize = 64;
const A_SECOND: u64 = 200;
/// What a flood may leave behind, in KiB.
const MEMORY: u64 = 50 * 1024;

#[derive(Default)]
struct Answered {
    heard: AtomicUsize,
    /// The account had its guesses.
    barred: AtomicUsize,
    /// The queue before the hash was full.
    turned_away: AtomicUsize,
}

#[allow(clippy::disallowed_methods, reason = "a flood has a rate")]
fn pause(time: Duration) {
    std::thread::sleep(time);
}

#[allow(clippy::disallowed_methods, reason = "how long an answer takes is the point")]
fn now() -> Instant {
    Instant::now()
}

/// Signs in with passwords that are wrong, at its share of the rate, until told to stop.
fn guess(client: &Client, email: &str, answered: &Answered, stop: &AtomicBool) {
    let share = Duration::from_millis(1000 * GUESSERS as u64 / A_SECOND);
    let mut known = false;
    while !stop.load(Ordering::Relaxed) {
        let (began, fresh) = (now(), fresh_email("flood"));
        known = !known;
        let email = if known { email } else { &fresh };
        let body = json!({"email": email, "password": "five-strides-to-the-oxer"});
        let answer = client.ask("POST", SIGN_INS).json(&body).send();
        match answer.status {
            401 => answered.heard.fetch_add(1, Ordering::Relaxed),
            status @ (429 | 503) => {
                assert!(!answer.header("retry-after").is_empty(), "no Retry-After: {}", answer.text());
                let of = if status == 429 { &answered.barred } else { &answered.turned_away };
                of.fetch_add(1, Ordering::Relaxed)
            }
            status => panic!("{status} in a flood: {}", answer.text()),
        };
        pause(share.saturating_sub(began.elapsed()));
    }
}

/// Reads for a while; how long each answer took.
fn read(trainer: &Client, path: &str, time: Duration, times: &mut Vec<f64>) {
    let began = now();
    while began.elapsed() < time {
        let asked = now();
        trainer.get(path).expect(200);
        times.push(asked.elapsed().as_secs_f64() * 1000.0);
        pause(Duration::from_millis(2));
    }
}

fn middle(times: &mut [f64]) -> f64 {
    times.sort_by(f64::total_cmp);
    times[times.len() / 2]
}

fn flood(database: &str, url: &str) {
    // without the bound of one address, which would hide what the queue does
    let mut program = Program::start(env!("CARGO_BIN_EXE_barn-server"), url);
    let (barn_id, trainer) = found(&program.client());
    let path = format!("/api/v1/barns/{barn_id}/horses");
    for _ in 0..20 {
        trainer.post(&path, json!({"name": "Bramble", "profile": "horse"})).expect(201);
    }
    let window = Duration::from_millis(size::of(1_000, 3_000, 30_000) as u64);
    let (mut quiet, mut flooded, mut memory) = (Vec::new(), Vec::new(), Vec::new());
    let answered = Answered::default();
    for _ in 0..size::of(2, 4, 6) {
        read(&trainer, &path, window, &mut quiet);
        let stop = AtomicBool::new(false);
        std::thread::scope(|scope| {
            for _ in 0..GUESSERS {
                scope.spawn(|| guess(&program.client(), &trainer.email, &answered, &stop));
            }
            pause(Duration::from_millis(300));
            read(&trainer, &path, window, &mut flooded);
            stop.store(true, Ordering::Relaxed);
        });
        memory.push(program.memory_kib());
    }
    let Answered { heard, barred, turned_away } = answered;
    let (heard, barred, away) = (heard.into_inner(), barred.into_inner(), turned_away.into_inner());
    let (without, with) = (middle(&mut quiet), middle(&mut flooded));
    let grown = memory[memory.len() - 1].saturating_sub(memory[0]);
    println!(
        "a flood of sign-ins on {database}: {heard} heard, {barred} barred and {away} turned away with Retry-After; GET median {without:.2} ms \
         without, {with:.2} ms with, ratio {:.2}; {} reads, 0 failed; memory +{grown} KiB",
        with / without,
        quiet.len() + flooded.len()
    );
    assert!(heard > 0 && away > heard, "no flood: {heard} heard, {away} turned away");
    assert!(with < without * 20.0, "others wait {with:.2} ms instead of {without:.2}");
    assert!(grown < MEMORY, "memory: {memory:?} KiB");
    assert!(program.runs());
    signed_in(&program.client(), &fresh_account(&program.client()));
}

/// Somebody at whom nobody guessed: after the flood they come in.
fn fresh_account(client: &Client) -> String {
    found(client).1.email
}

#[test]
fn sqlite() {
    let folder = Folder::new();
    flood("SQLite", &format!("sqlite://{}/barns.sqlite3", folder.path().display()));
}

#[test]
fn postgres() {
    match Cluster::shared() {
        Some(cluster) => flood("PostgreSQL", &cluster.database()),
        None => skipped(),
    }
}
