//! Whether the time of a refusal tells an address with an account from one without, or from a disabled one.
//!
//! The area under the curve of the best classifier by time is the Mann-Whitney U of the two samples over the
//! product of their sizes: one half where they cannot be told apart, one where they always can.
use super::sign_in;
use stridewright_api::state::Settings;
use stridewright_tests::barn::{found, fresh_email};
use stridewright_tests::server::{Database, Server};
use stridewright_tests::{Client, size};

const KINDS: [&str; 3] = ["known", "unknown", "disabled"];

/// Farther from one half than noise goes (of n samples each, its standard deviation is the root of 1/6n), and far
/// nearer than a missing hash.
fn tolerance() -> f64 {
    size::of(25, 10, 5) as f64 / 100.0
}

/// How often a time of `a` is longer than one of `b`, ties counted half.
fn area(a: &[f64], b: &[f64]) -> f64 {
    let wins = |x: f64| {
        b.iter()
            .map(|y| {
                if x > *y {
                    1.0
                } else if x < *y {
                    0.0
                } else {
                    0.5
                }
            })
            .sum::<f64>()
    };
    a.iter().map(|x| wins(*x)).sum::<f64>() / (a.len() * b.len()) as f64
}

#[test]
fn area_is_that_of_mann_and_whitney() {
    assert!((area(&[3.0, 4.0], &[1.0, 2.0]) - 1.0).abs() < 1e-12);
    assert!((area(&[1.0, 4.0], &[2.0, 4.0]) - 0.375).abs() < 1e-12);
}

#[allow(clippy::disallowed_methods, reason = "how long an answer takes is the point")]
fn seconds(nobody: &Client, email: &str) -> (f64, u16, Vec<u8>) {
    let began = std::time::Instant::now();
    let answer = sign_in(nobody, email, "five-strides-to-the-oxer");
    (began.elapsed().as_secs_f64(), answer.status, answer.bytes)
}

fn tells_nothing(database: Database) {
    // a debug build hashes slowly: less memory there
    let memory = if cfg!(debug_assertions) { 4 * 1024 } else { Settings::default().password_memory_kib };
    let settings = Settings { password_memory_kib: memory, requests_per_second: 0, ..Settings::default() };
    let Some(server) = Server::alone(database, settings) else { return };
    let nobody = Client::new(&server.base);
    let emails: Vec<String> = (0..6).map(|_| found(&nobody).1.email).collect();
    let (known, disabled) = emails.split_at(3);
    for email in disabled {
        super::events::operator(&server.url, "disable-account", email);
    }
    // asked as often as the others: rows that were often written are slower to find
    let unknown = ["one", "two", "three"].map(fresh_email);
    sign_in(&nobody, &fresh_email("first"), "five-strides-to-the-oxer");

    let samples = size::of(45, 400, 5_000);
    let mut times: [Vec<f64>; 3] = Default::default();
    let (mut first, mut turn) = (None, 0_usize);
    while times[2].len() < samples {
        // each order of the three as often as any other
        let order = [[0, 1, 2], [0, 2, 1], [1, 0, 2], [1, 2, 0], [2, 0, 1], [2, 1, 0]][turn % 6];
        for kind in order {
            let email = match kind {
                0 => known[turn % 3].clone(),
                1 => unknown[turn % 3].clone(),
                _ => disabled[turn % 3].clone(),
            };
            let (took, status, bytes) = seconds(&nobody, &email);
            times[kind].push(took);
            let answer = (status, bytes);
            assert_eq!(first.get_or_insert_with(|| answer.clone()), &answer, "the answer tells {}", KINDS[kind]);
            // the count of guesses is forgotten
            server.clock.advance_seconds(31 * 24 * 3600);
        }
        turn += 1;
    }
    assert_eq!(first.map(|(status, _)| status), Some(401));
    let pairs = [(0, 1), (0, 2), (1, 2)];
    let areas = pairs.map(|(a, b)| area(&times[a], &times[b]));
    let shown: Vec<String> =
        pairs.iter().zip(areas).map(|((a, b), area)| format!("{}/{} {area:.3}", KINDS[*a], KINDS[*b])).collect();
    let mut all = times.concat();
    all.sort_by(f64::total_cmp);
    println!(
        "sign-in timing on {database:?}: {samples} samples each at {memory} KiB, median {:.1} ms, AUC {}",
        all[all.len() / 2] * 1000.0,
        shown.join(", ")
    );
    for (area, (a, b)) in areas.iter().zip(pairs) {
        assert!((area - 0.5).abs() < tolerance(), "time tells {} from {}: {area:.3}", KINDS[a], KINDS[b]);
    }
}

#[test]
fn sqlite() {
    tells_nothing(Database::Sqlite);
}

#[test]
fn postgres() {
    tells_nothing(Database::Postgres);
}
