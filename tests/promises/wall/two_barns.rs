//! Two barns on one service, each with rows in every table.
use diesel::prelude::*;
use diesel::sql_types::BigInt;
use std::collections::BTreeMap;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::on_each;
use stridewright_tests::barn::{PASSWORD, fresh_email};
use stridewright_tests::server::{Server, settings};
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Database, Value, World, json};

pub struct TwoBarns {
    pub here: World,
    pub there: World,
}

impl TwoBarns {
    /// On a service of their own; `None` where PostgreSQL is not installed.
    pub fn new(database: Database) -> Option<Self> {
        let server: &'static Server = Box::leak(Box::new(Server::alone(database, settings())?));
        let (here, there) = (World::new(server), World::new(server));
        fill(&here);
        fill(&there);
        Some(Self { here, there })
    }

    pub fn db(&self) -> Db {
        Db::open(&Location::parse(&self.here.server.url).unwrap()).unwrap()
    }
}

/// Ids by the name that addresses have for them.
pub type Ids = BTreeMap<&'static str, String>;

/// A row in every table, by what people do.
pub fn fill(world: &World) -> (Ids, Yard) {
    let yard = Yard::new(world);
    let trainer = &world.trainer;
    let mut ids = Ids::new();
    let horse = format!("horses/{}", yard.horse);
    let stride = json!({"stride_m": 3.6, "source": "counted", "measured_on": "2026-05-01"});
    trainer.change(&world.at(&horse), json!({"normal_stride": stride})).expect(200);
    let listed = |things: &str| {
        let all = trainer.get(&world.at(things)).expect(200);
        all.items().last().unwrap()["id"].as_str().unwrap().to_owned()
    };
    for (name, id) in [
        ("horse_id", yard.horse.clone()),
        ("person_id", yard.rider.person_id.clone()),
        ("guardian_id", yard.guardian.person_id.clone()),
        ("arena_id", yard.arena.clone()),
        ("ownership_id", listed(&format!("{horse}/ownerships"))),
        ("pairing_id", listed(&format!("{horse}/pairings"))),
        ("accepted_invitation_id", listed("invitations")),
    ] {
        ids.insert(name, id);
    }
    let mut make = |name: &'static str, things: &str, body: Value| {
        let id = world.make(things, body);
        ids.insert(name, id.clone());
        id
    };
    let limit = json!({"kind": "max_efforts_per_day", "value": 30, "source": "trainer"});
    make("workload_limit_id", &format!("{horse}/workload-limits"), limit);
    let down = json!({"source": "trainer", "scope": "jumping", "from_date": "2026-10-01", "reason": "Shod late."});
    make("stand_down_id", &format!("{horse}/stand-downs"), down.clone());
    make("rider_stand_down_id", &format!("people/{}/stand-downs", yard.rider.person_id), down);
    let outing = json!({"kind": "lesson", "on_date": "2026-05-10", "planned_efforts": 12});
    make("outing_id", &format!("{horse}/outings"), outing);
    let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
    make("fence_set_id", "fence-sets", json!({"name": "Top school set", "items": items}));
    make("invitation_id", "invitations", json!({"name": "Guest", "roles": ["rider"]}));
    let fence = |label: &str| json!({"label": label, "kind": "vertical", "height_cm": 90});
    let line =
        json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 20.1168, "measured": "inside_to_inside"});
    let revision = json!({"level": "usual", "fences": [fence("1"), fence("2")], "lines": [line]});
    let exercise = make("exercise_id", "exercises", json!({"name": "Two fences, 66 ft", "revision": revision}));
    let mut body = session(&yard, "2026-06-01", 9, 12);
    body["exercise_id"] = json!(exercise);
    let made = trainer.post(&world.at("sessions"), body).expect(201);
    let entry = made["entries"][0]["id"].as_str().unwrap().to_owned();
    let rides = format!("sessions/{}/entries/{entry}/rides", made.id());
    let attempts = json!([{"line": "1-2", "asked": 5, "ridden": 5}]);
    let fences = json!([{"fence": "1", "outcome": "jumped"}, {"fence": "2", "outcome": "rail"}]);
    make("ride_id", &rides, json!({"fences": fences, "attempts": attempts, "height_cm": 90}));
    let links = world.at(&format!("sessions/{}/rail-links", made.id()));
    let link = trainer.post(&links, json!({"label": "Phone at the gate"})).expect(201);
    for (name, id) in [
        ("session_id", made.id()),
        ("entry_id", entry),
        ("rail_link_id", link.id()),
        ("rail_secret", link.text_of("secret")),
    ] {
        ids.insert(name, id);
    }
    // an answer stored for an account, and a wrong guess
    let barn = json!({"name": "Second yard", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"});
    trainer.post("/api/v1/barns", barn).expect(201);
    let wrong = json!({"email": fresh_email("nobody"), "password": format!("{PASSWORD}!")});
    world.anonymous().post("/api/v1/sign-ins", wrong).expect(401);
    (ids, yard)
}

#[derive(QueryableByName)]
struct Count {
    #[diesel(sql_type = BigInt)]
    n: i64,
}

/// The number that a query counts as `n`.
pub fn count(c: &mut AnyConn, query: &str) -> QueryResult<i64> {
    on_each!(c, |c| diesel::sql_query(query).get_result::<Count>(c)).map(|row| row.n)
}

/// An id as the database writes it.
pub fn literal(database: Database, id: &str) -> String {
    match database {
        Database::Sqlite => format!("x'{}'", id.replace('-', "")),
        Database::Postgres => format!("'{id}'::uuid"),
    }
}

/// The account of somebody.
pub fn account_of(world: &World) -> String {
    let me: Value = world.trainer.get("/api/v1/me").expect(200).json;
    me["id"].as_str().unwrap().to_owned()
}
