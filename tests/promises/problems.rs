//! Every error is a problem of a registered type whose page says cause and cure, and the table of types holds
//! no other. RFC 9457 section 3 names the members and the media type.
use diesel::connection::SimpleConnection;
use diesel::{Connection, PgConnection, SqliteConnection};
use std::collections::BTreeMap;
use std::sync::mpsc::channel;
use std::time::Duration;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::scope::Scope;
use stridewright_api::problem::Problem;
use stridewright_api::problem::table::Kind;
use stridewright_api::state::Settings;
use stridewright_core::ids::{Barn, Id};
use stridewright_tests::client::fresh;
use stridewright_tests::raw::Raw;
use stridewright_tests::server::{Server, settings};
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Answer, Database, World, json};

/// What no answer may hold: words of our own making, of the libraries and of the databases.
const LEAKS: [&str; 11] =
    ["panicked", "SELECT", "INSERT", "UPDATE ", ".rs:", "/src/", "diesel", "actix", "serde", "sqlite", "postgres"];

/// Each refusal that was provoked, by its code.
#[derive(Default)]
struct Seen(BTreeMap<String, Answer>);

impl Seen {
    #[track_caller]
    fn add(&mut self, status: u16, code: &str, answer: Answer) {
        self.0.insert(code.to_owned(), answer.refused(status, code));
    }
}

fn alone(database: Database, settings: Settings) -> Option<World> {
    Server::alone(database, settings).map(|server| World::new(Box::leak(Box::new(server))))
}

/// What a request can do wrong by itself.
fn wrong_requests(world: &World, seen: &mut Seen) {
    let (trainer, horses) = (&world.trainer, world.at("horses"));
    let good = json!({"name": "Bramble", "profile": "horse"});
    let horse = world.at(&format!("horses/{}", world.horse("Juniper")));
    let post = || trainer.ask("POST", &horses);
    seen.add(400, "bad_request", post().key(&fresh()).bytes("application/json", b"{").send());
    seen.add(400, "idempotency_key_required", post().json(&good).send());
    seen.add(401, "unauthenticated", world.anonymous().get(&horses));
    let guess = json!({"email": trainer.email, "password": "five-strides-to-the-oxer"});
    seen.add(401, "wrong_credentials", world.anonymous().post("/api/v1/sign-ins", guess));
    seen.add(403, "forbidden", world.rider().post(&horses, good.clone()));
    seen.add(404, "not_found", trainer.get(&world.at(&format!("horses/{}", fresh()))));
    seen.add(405, "method_not_allowed", trainer.ask("PUT", &horses).send());
    seen.add(412, "changed_meanwhile", trainer.patch(&horse, "\"v9\"", json!({"name": "Thistle"})));
    let large = vec![b' '; 2 * 1024 * 1024 + 1];
    seen.add(413, "too_large", post().key(&fresh()).bytes("application/json", &large).send());
    seen.add(415, "unsupported_media_type", post().key(&fresh()).bytes("text/plain", b"{}").send());
    seen.add(422, "invalid_body", post().key(&fresh()).json(&json!({"name": ""})).send());
    seen.add(422, "invalid_query", trainer.get(&format!("{horses}?limit=0")));
    seen.add(409, "at_odds", trainer.get(&world.at("rides?from=2026-06-02&to=2026-06-01")));
    seen.add(428, "if_match_required", trainer.ask("PATCH", &horse).json(&json!({"name": "Thistle"})).send());
    let key = fresh();
    post().key(&key).json(&good).send().expect(201);
    seen.add(422, "idempotency_key_reused", post().key(&key).json(&json!({"name": "T", "profile": "horse"})).send());
}

/// What stands in the barn and is in the way.
fn refused_by_the_barn(world: &World, seen: &mut Seen) {
    let (trainer, sessions) = (&world.trainer, world.at("sessions"));
    let yard = Yard::new(world);
    let twice = json!({"id": world.horse("Sorrel"), "name": "Sorrel", "profile": "horse"});
    seen.add(409, "conflict", trainer.post(&world.at("horses"), twice));
    let booked = trainer.post(&sessions, session(&yard, "2026-06-03", 9, 10)).expect(201);
    seen.add(409, "occupied", trainer.post(&sessions, session(&yard, "2026-06-03", 9, 10)));
    seen.add(409, "rule_refused", trainer.post(&sessions, session(&yard, "2026-06-04", 9, 400)));
    let path = world.at(&format!("sessions/{}", booked.id()));
    let cancelled = trainer.patch(&path, &booked.etag(), json!({"status": "cancelled"})).expect(200);
    seen.add(409, "wrong_state", trainer.patch(&path, &cancelled.etag(), json!({"status": "open"})));
    let fence = json!({"label": "1", "kind": "vertical", "height_cm": 60});
    let exercise = world.make("exercises", json!({"name": "One", "revision": {"level": "usual", "fences": [fence]}}));
    let plan = world.at(&format!("exercises/{exercise}/revisions/1/plan.svg"));
    seen.add(409, "not_placed", trainer.get(&plan));
    seen.add(409, "nothing_to_set", trainer.get(&format!("{path}/setting-sheet.html")));
    let paddock = world.make("arenas", json!({"name": "Paddock", "length_m": 12, "width_m": 10}));
    seen.add(409, "no_room", trainer.get(&world.at(&format!("arenas/{paddock}/library/related_seven"))));
    let me = world.at(&format!("people/{}", trainer.person_id));
    let etag = trainer.get(&me).etag();
    seen.add(409, "last_trainer", trainer.patch(&me, &etag, json!({"roles": ["rider"]})));
}

/// The lock is held by somebody else for longer than anybody waits.
fn busy(world: &World, seen: &mut Seen) {
    let (held, told) = channel();
    let (done, release) = channel::<()>();
    let (url, barn) = (world.server.url.clone(), world.barn_id.parse::<Id<Barn>>().unwrap());
    let holder = std::thread::spawn(move || {
        let db = Db::open(&Location::parse(&url).unwrap()).unwrap();
        let work = |_: &mut _| {
            held.send(()).unwrap();
            release.recv_timeout(Duration::from_secs(60)).ok();
            Ok::<(), Problem>(())
        };
        db.write(&Scope::barn(barn), work).unwrap_or_else(|p| panic!("{p}"));
    });
    told.recv().unwrap();
    seen.add(503, "busy", world.trainer.post(&world.at("horses"), json!({"name": "Bramble", "profile": "horse"})));
    done.send(()).unwrap();
    holder.join().unwrap();
}

/// A table that the program counts on is gone.
fn internal(world: &World, seen: &mut Seen) {
    let broken = "ALTER TABLE fence_set RENAME TO fence_set_lost";
    match world.server.database {
        Database::Sqlite => {
            let mut raw = SqliteConnection::establish(world.server.url.strip_prefix("sqlite://").unwrap()).unwrap();
            raw.batch_execute(broken).unwrap();
        }
        Database::Postgres => PgConnection::establish(&world.server.url).unwrap().batch_execute(broken).unwrap(),
    }
    seen.add(500, "internal", world.trainer.get(&world.at("fence-sets")));
}

/// A body that never comes.
fn too_slow(database: Database, seen: &mut Seen) {
    let server = Server::alone(database, Settings { body_seconds: 0, ..settings() }).unwrap();
    let mut raw = Raw::open(&server.base);
    raw.send(
        b"POST /api/v1/sign-ins HTTP/1.1\r\nHost: a\r\nContent-Type: application/json\r\nContent-Length: 9\r\n\r\n",
    );
    seen.add(408, "too_slow", raw.answer("a body that never comes").expect("an answer"));
}

/// More requests than the bound, from one address.
fn too_many(database: Database, seen: &mut Seen) {
    let server = Server::alone(database, Settings { requests_per_second: 1, ..settings() }).unwrap();
    let client = stridewright_tests::Client::new(&server.base);
    let refused = (0..50).map(|_| client.get("/api/v1/me")).find(|answer| answer.status == 429);
    seen.add(429, "too_many_requests", refused.expect("a bound"));
}

fn every_type_is_met_and_says_what_to_do(database: Database) {
    let Some(world) = alone(database, settings()) else { return };
    let mut seen = Seen::default();
    wrong_requests(&world, &mut seen);
    refused_by_the_barn(&world, &mut seen);
    busy(&world, &mut seen);
    too_many(database, &mut seen);
    too_slow(database, &mut seen);
    internal(&world, &mut seen);

    let codes: Vec<&str> = seen.0.keys().map(String::as_str).collect();
    let mut table: Vec<&str> = Kind::ALL.iter().map(|kind| kind.row().code).collect();
    table.sort_unstable();
    assert_eq!(codes, table, "met, and in the table");
    for (code, answer) in &seen.0 {
        let row = Kind::ALL.iter().map(|kind| kind.row()).find(|row| row.code == code).unwrap();
        assert_eq!((answer.status, &answer["status"]), (row.status, &json!(row.status)), "{code}");
        assert_eq!((&answer["title"], &answer["type"]), (&json!(row.title), &json!(row.path())), "{code}");
        assert!(answer["detail"].as_str().is_some_and(|detail| !detail.is_empty()), "{code}");
        let waits = [429, 503].contains(&answer.status);
        assert_eq!(!answer.header("retry-after").is_empty(), waits, "{code}");
        let page = world.anonymous().get(&answer.text_of("type")).expect(200).text();
        let written = |text: &str| page.contains(&text.replace('&', "&amp;").replace('<', "&lt;"));
        assert!(written(row.cause) && written(row.cure), "{code}: the page says neither cause nor cure:\n{page}");
        let leaks: Vec<&&str> = LEAKS.iter().filter(|leak| answer.text().contains(**leak)).collect();
        assert!(leaks.is_empty(), "{code} tells of {leaks:?}: {}", answer.text());
    }
    println!("problems on {database:?}: {} types met, {} in the table", codes.len(), table.len());
}

#[test]
fn sqlite() {
    every_type_is_met_and_says_what_to_do(Database::Sqlite);
}

#[test]
fn postgres() {
    every_type_is_met_and_says_what_to_do(Database::Postgres);
}

/// Seven fields, each with a fault of another kind: a wrong type, a text out of bounds, an unknown word.
#[test]
fn seven_bad_fields_get_seven_pointers() {
    World::on(Database::Sqlite, |world| {
        let body = json!({
            "id": "one", "name": "", "profile": "zebra", "mover": 3, "green": "yes", "limit_preset": "none", "colour": "bay"
        });
        let refused = world.trainer.post(&world.at("horses"), body).refused(422, "invalid_body");
        let expected = ["/colour", "/green", "/id", "/limit_preset", "/mover", "/name", "/profile"];
        assert_eq!(refused.pointers(), expected);
    });
}
