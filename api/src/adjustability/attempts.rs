//! What a horse was asked and what it rode, as core judges it.
use crate::db::conn::AnyConn;
use crate::db::schema::{attempt, entry, ride, session};
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::prelude::*;
use stridewright_core::adjustability::{Approach, Attempt, Fault, Kind as LineKind};
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::ids::{Barn, Horse, Id, Person, Ride, Session};
use stridewright_core::stride::Line;
use stridewright_core::units::{Centimetres, Metres};

/// One attempt with what places it in time.
#[derive(Debug, Queryable)]
struct Row {
    starts_at: Instant,
    session_id: Id<Session>,
    rider_id: Option<Id<Person>>,
    ride_id: Id<Ride>,
    go: i32,
    at: Option<Instant>,
    n: i32,
    asked: Option<i32>,
    ridden: Option<i32>,
    distance_m: f64,
    first_height_cm: i32,
    second_height_cm: i32,
    poles: bool,
    combination: bool,
    circle: bool,
    fault: Option<Coded<Fault>>,
    approach: Option<Coded<Approach>>,
}

/// Oldest attempts that any figure goes by, in days: the oldest of 26 weekly fits looks back 182 days.
const OLDEST: i32 = 182 + 26 * 7;

/// The attempts that count, in the order ridden; landing and take-off are reckoned by the profile's stride.
pub fn load(
    c: &mut AnyConn,
    barn: Id<Barn>,
    horse: Id<Horse>,
    zone: &Zone,
    profile_stride: Metres,
    as_of: Day,
) -> Result<Vec<Attempt<Id<Person>>>, Problem> {
    let (from, to) = (as_of.plus(-OLDEST).start(zone), as_of.plus(1).start(zone));
    let mut rows: Vec<Row> = on_each!(c, |c| attempt::table
        .inner_join(ride::table.on(ride::barn_id.eq(attempt::barn_id).and(ride::id.eq(attempt::ride_id))))
        .inner_join(entry::table.on(entry::barn_id.eq(ride::barn_id).and(entry::id.eq(ride::entry_id))))
        .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
        .filter(attempt::barn_id.eq(barn).and(entry::horse_id.eq(horse)).and(ride::standing.eq("counted")))
        .filter(
            (ride::at.ge(from).and(ride::at.lt(to)))
                .or(ride::at.is_null().and(session::starts_at.ge(from).and(session::starts_at.lt(to)))),
        )
        .select((
            session::starts_at,
            session::id,
            entry::rider_id,
            ride::id,
            ride::go,
            ride::at,
            attempt::n,
            attempt::asked,
            attempt::ridden,
            attempt::distance_m,
            attempt::first_height_cm,
            attempt::second_height_cm,
            attempt::poles,
            attempt::combination,
            attempt::circle,
            attempt::fault,
            attempt::approach,
        ))
        .load(c))?;
    let day = |row: &Row| row.at.unwrap_or(row.starts_at).day(zone);
    rows.sort_by_key(|row| (day(row), row.starts_at, row.session_id, row.go, row.ride_id, row.n));
    rows.iter().map(|row| judged(row, day(row), profile_stride)).collect()
}

fn judged(row: &Row, day: Day, profile_stride: Metres) -> Result<Attempt<Id<Person>>, Problem> {
    let internal = || Problem::new(Kind::Internal);
    let height = |cm: i32| {
        let cm = u16::try_from(cm).ok().and_then(|cm| Centimetres::new(cm).ok());
        cm.map(Centimetres::metres).ok_or_else(internal)
    };
    let count = |n: Option<i32>| n.map(u8::try_from).transpose().map_err(|_| internal());
    let line = Line {
        distance: Metres::new(row.distance_m).map_err(|_| internal())?,
        first: height(row.first_height_cm)?,
        second: height(row.second_height_cm)?,
    };
    Ok(Attempt {
        day,
        rider: row.rider_id,
        distance: line.distance,
        allowance: line.allowance(profile_stride).map_err(|_| internal())?,
        asked: count(row.asked)?,
        ridden: count(row.ridden)?,
        fault: row.fault.map(|fault| fault.0),
        approach: row.approach.map(|approach| approach.0),
        height: Metres::nearest(line.first.get().max(line.second.get())),
        kind: if row.poles { LineKind::Pole } else { LineKind::Fence },
        combination: row.combination,
        circle: row.circle,
    })
}
