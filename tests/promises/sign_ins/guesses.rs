//! Guesses at a password: how many reach the hash, counted by the program, and that nobody is locked out by them.
use super::events::operator;
use super::{SIGN_INS, sign_in, signed_in};
use stridewright_tests::barn::{PASSWORD, World, found};
use stridewright_tests::server::{Database, Server, settings};
use stridewright_tests::{Answer, Client, json};

/// How many hashes the service has reckoned.
fn hashes(client: &Client) -> u64 {
    let metrics = client.get("/metrics").expect(200).text();
    let line = metrics.lines().find_map(|line| line.strip_prefix("password_hashes_total ")).expect("the count");
    line.parse().expect("a number")
}

fn with_device(client: &Client, email: &str, password: &str, token: &str) -> Answer {
    let body = json!({"email": email, "password": password, "known_by": token});
    client.ask("POST", SIGN_INS).json(&body).send()
}

/// Guesses at the address for 29 days, each as soon as it is heard; how many reached the hash.
fn guess_on(server: &Server, nobody: &Client, email: &str) -> (u64, Vec<u64>) {
    let (before, mut waits, mut waited) = (hashes(nobody), Vec::new(), 0);
    while waited < 29 * 24 * 3600 {
        let answer = sign_in(nobody, email, "five-strides-to-the-oxer");
        if answer.status == 401 {
            continue;
        }
        let wait: u64 = answer.refused(429, "too_many_requests").header("retry-after").parse().unwrap();
        waits.push(wait);
        let step = wait.min(29 * 24 * 3600 - waited);
        waited += step;
        server.clock.advance_seconds(i64::try_from(step).unwrap());
    }
    (hashes(nobody) - before, waits)
}

fn at_most_fifty(database: Database) {
    let Some(server) = Server::alone(database, settings()) else { return };
    let server: &'static Server = Box::leak(Box::new(server));
    let nobody = Client::new(&server.base);
    let (_, trainer) = found(&nobody);
    let device = signed_in(&nobody, &trainer.email).text_of("refresh_token");

    let (heard, waits) = guess_on(server, &nobody, &trainer.email);
    assert_eq!(heard, 50, "guesses reached the hash");
    assert!(waits.windows(2).take(44).all(|w| w[0] <= w[1]), "the wait never shrinks: {waits:?}");
    assert_eq!((waits[0], waits[1], waits[11], waits[12], waits[43]), (1, 2, 2048, 3600, 3600), "{waits:?}");
    let stopped = sign_in(&nobody, &trainer.email, PASSWORD).refused(429, "too_many_requests");
    let same = sign_in(&nobody, "nobody.at.all@example.org", PASSWORD);
    same.refused(401, "wrong_credentials");

    // the owner's own device is not shut out, whatever strangers did
    with_device(&nobody, &trainer.email, PASSWORD, &device).expect(201);
    with_device(&nobody, &trainer.email, PASSWORD, &format!("{}x", &device[..device.len() - 1])).expect(429);
    // a token of another account makes nobody known
    let (_, other) = found(&nobody);
    let theirs = signed_in(&nobody, &other.email).text_of("refresh_token");
    with_device(&nobody, &trainer.email, PASSWORD, &theirs).expect(429);
    // nor is a known device free to guess
    let guesses: Vec<u16> =
        (0..7).map(|_| with_device(&nobody, &trainer.email, "five-strides-to-the-oxer", &device).status).collect();
    assert_eq!(guesses, [401, 401, 401, 401, 401, 429, 429]);

    // the days are over
    let rest: i64 = stopped.header("retry-after").parse().unwrap();
    server.clock.advance_seconds(rest - 1);
    sign_in(&nobody, &trainer.email, PASSWORD).expect(429);
    server.clock.advance_seconds(1);
    signed_in(&nobody, &trainer.email);
    println!("guesses on {database:?}: {heard} of {} in 30 days reached the hash", heard as usize + waits.len());
}

/// The operator's reset hears guesses again, under the new password.
fn reset(database: Database) {
    let Some(server) = Server::alone(database, settings()) else { return };
    let server: &'static Server = Box::leak(Box::new(server));
    let world = World::new(server);
    let nobody = world.anonymous();
    guess_on(server, &nobody, &world.trainer.email);
    sign_in(&nobody, &world.trainer.email, PASSWORD).expect(429);
    let password = operator(&server.url, "reset-password", &world.trainer.email.to_uppercase());
    sign_in(&nobody, &world.trainer.email, PASSWORD).refused(401, "wrong_credentials");
    sign_in(&nobody, &world.trainer.email, &password).expect(201);
}

#[test]
fn sqlite() {
    at_most_fifty(Database::Sqlite);
    reset(Database::Sqlite);
}

#[test]
fn postgres() {
    at_most_fifty(Database::Postgres);
    reset(Database::Postgres);
}
