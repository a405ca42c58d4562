//! Two barns on one service, each with rows in every table.
use diesel::prelude::*;
use diesel::sql_types::BigInt;
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

/// A row in every table, by what people do.
pub fn fill(world: &World) {
    let yard = Yard::new(world);
    let trainer = &world.trainer;
    let stride = json!({"stride_m": 3.6, "source": "counted", "measured_on": "2026-05-01"});
    trainer.change(&world.at(&format!("horses/{}", yard.horse)), json!({"normal_stride": stride})).expect(200);
    let limit = json!({"kind": "max_efforts_per_day", "value": 30, "source": "trainer"});
    world.make(&format!("horses/{}/workload-limits", yard.horse), limit);
    let down = json!({"source": "trainer", "scope": "jumping", "from_date": "2026-05-20", "free_from_date": "2026-05-22",
        "reason": "A knock to the knee."});
    world.make(&format!("horses/{}/stand-downs", yard.second_horse), down.clone());
    world.make(&format!("people/{}/stand-downs", yard.child), down);
    let outing = json!({"kind": "lesson", "on_date": "2026-05-10", "planned_efforts": 12});
    world.make(&format!("horses/{}/outings", yard.horse), outing);
    world.fence_set();
    let fence = |label: &str| json!({"label": label, "kind": "vertical", "height_cm": 90});
    let line =
        json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 20.1168, "measured": "inside_to_inside"});
    let revision = json!({"level": "usual", "fences": [fence("1"), fence("2")], "lines": [line]});
    let exercise = world.make("exercises", json!({"name": "Two fences, 66 ft", "revision": revision}));
    let mut body = session(&yard, "2026-06-01", 9, 12);
    body["exercise_id"] = json!(exercise);
    let made = trainer.post(&world.at("sessions"), body).expect(201);
    let at = format!("sessions/{}", made.id());
    world.make(&format!("{at}/rail-links"), json!({"label": "Phone at the gate"}));
    let entry = made["entries"][0]["id"].as_str().unwrap().to_owned();
    let attempts = json!([{"line": "1-2", "asked": 5, "ridden": 5, "distance_m": 20.1168, "first_height_cm": 90, "second_height_cm": 90}]);
    let fences = json!([{"fence": "1", "outcome": "jumped"}, {"fence": "2", "outcome": "rail"}]);
    world
        .make(&format!("{at}/entries/{entry}/rides"), json!({"fences": fences, "attempts": attempts, "height_cm": 90}));
    // an answer stored for an account, and a wrong guess
    let barn = json!({"name": "Second yard", "time_zone": "Europe/Lisbon", "units": "metric", "labels": "british"});
    trainer.post("/api/v1/barns", barn).expect(201);
    let wrong = json!({"email": fresh_email("nobody"), "password": format!("{PASSWORD}!")});
    world.anonymous().post("/api/v1/sign-ins", wrong).expect(401);
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
