//! A horse's entries, outings, limits and stand-downs, put together for core to judge by.
use super::limits::rows::{self, LimitRow, height};
use crate::db::conn::AnyConn;
use crate::db::schema::{entry, outing, ride, session, stand_down};
use crate::db::types::Coded;
use crate::on_each;
use crate::outings::wire::OutingKind;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::dsl::sql;
use diesel::prelude::*;
use diesel::sql_types::Bool;
use std::collections::BTreeMap;
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::ids::{Barn, Entry, Horse, Id, Outing, Person, StandDown as StandDownId};
use stridewright_core::rest::{Book, Limit, Scope, StandDown, StandDownSource, Subject};
use stridewright_core::workload::{Attempt, Planned, Session, Status};
use uuid::Uuid;

/// Everything the horse is judged by, as of today. [`Book::without`] leaves one entry out.
pub fn load_horse(
    conn: &mut AnyConn,
    barn: Id<Barn>,
    horse: Id<Horse>,
    zone: &Zone,
    today: Day,
) -> Result<Book<Uuid>, Problem> {
    let sessions = sessions(conn, barn, horse)?;
    book(conn, barn, horse, &sessions, zone, today)
}

/// The same, where the sessions are at hand.
pub fn book(
    conn: &mut AnyConn,
    barn: Id<Barn>,
    horse: Id<Horse>,
    sessions: &[Session<Uuid>],
    zone: &Zone,
    today: Day,
) -> Result<Book<Uuid>, Problem> {
    let limits = rows::of_horse(conn, barn, horse)?;
    let limits = limits.iter().map(LimitRow::limit).collect::<Result<Vec<Limit<Uuid>>, Problem>>()?;
    Ok(Book::new(sessions, limits, stand_downs(conn, barn, horse)?, zone, today))
}

/// The horse's entries and outings with what was logged under them; an entry is named by its id.
pub fn sessions(conn: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> Result<Vec<Session<Uuid>>, Problem> {
    let mut sessions = entries(conn, barn, horse)?;
    sessions.extend(outings(conn, barn, horse)?);
    Ok(sessions)
}

fn count(number: i32) -> u32 {
    u32::try_from(number).unwrap_or(0)
}

type EntryColumns = (Id<Entry>, Coded<Status>, Instant, i32, Option<i32>, i32, Option<Id<Person>>);
type RideColumns = (Option<Instant>, i32, Option<i32>, i32);

/// What is to be ridden, or was and is counted among the sessions of a day; any other entry counts only by what was
/// logged under it. Written out as in the index that holds just these: neither planner knows it behind a parameter.
pub const STANDS: &str = "entry.status IN ('booked', 'open', 'unresolved', 'closed')";

/// An appointment takes the horse, but nobody rides it. What was called off with nothing logged counts nothing and is
/// left where it is: over the years there is much of it.
fn entries(conn: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> Result<Vec<Session<Uuid>>, Problem> {
    let standing: Vec<EntryColumns> = on_each!(&mut *conn, |c| entry::table
        .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
        .filter(entry::barn_id.eq(barn).and(entry::horse_id.eq(horse)).and(session::kind.ne("appointment")))
        .filter(sql::<Bool>(STANDS))
        .select(columns())
        .load(c))?;
    let mut found: BTreeMap<Id<Entry>, (EntryColumns, Vec<Attempt>)> =
        standing.into_iter().map(|row| (row.0, (row, Vec::new()))).collect();
    for (entry, (at, efforts, height_cm, poles)) in rides(conn, barn, horse)? {
        found.entry(entry.0).or_insert((entry, Vec::new())).1.push(Attempt {
            at,
            efforts: count(efforts),
            height: height_cm.map(height).transpose()?,
            pole_passes: count(poles),
            superseded: false,
        });
    }
    found
        .into_values()
        .map(|((id, status, start, efforts, height_cm, poles, rider), attempts)| {
            Ok(Session {
                id: id.uuid(),
                status: status.0,
                planned: Planned::At(start),
                planned_efforts: count(efforts),
                planned_height: height_cm.map(height).transpose()?,
                planned_pole_passes: count(poles),
                competition: false,
                show_id: None,
                rider_id: rider.map(Id::uuid),
                outing: false,
                attempts,
            })
        })
        .collect()
}

#[diesel::dsl::auto_type]
fn columns() -> _ {
    (
        entry::id,
        entry::status,
        session::starts_at,
        entry::planned_efforts,
        entry::planned_height_cm,
        entry::planned_pole_passes,
        entry::rider_id,
    )
}

/// The rides that count, each with its entry.
fn rides(conn: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> Result<Vec<(EntryColumns, RideColumns)>, Problem> {
    Ok(on_each!(conn, |c| ride::table
        .inner_join(entry::table.on(entry::barn_id.eq(ride::barn_id).and(entry::id.eq(ride::entry_id))))
        .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
        .filter(entry::barn_id.eq(barn).and(entry::horse_id.eq(horse)).and(session::kind.ne("appointment")))
        .filter(ride::standing.eq("counted"))
        .order(ride::id)
        .select((columns(), (ride::at, ride::efforts, ride::height_cm, ride::pole_passes)))
        .load(c))?)
}

/// What an outing says to the count.
#[derive(Queryable, Selectable)]
#[diesel(table_name = outing)]
struct Elsewhere {
    id: Id<Outing>,
    rider_id: Option<Id<Person>>,
    kind: Coded<OutingKind>,
    show_id: Option<String>,
    at: Option<Instant>,
    on_date: Option<Day>,
    status: Coded<Status>,
    planned_efforts: i32,
    planned_height_cm: Option<i32>,
    efforts: Option<i32>,
    height_cm: Option<i32>,
}

fn outings(conn: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> Result<Vec<Session<Uuid>>, Problem> {
    let rows: Vec<Elsewhere> = on_each!(conn, |c| outing::table
        .filter(outing::barn_id.eq(barn).and(outing::horse_id.eq(horse)).and(outing::status.ne("superseded")))
        .order(outing::id)
        .select(Elsewhere::as_select())
        .load(c))?;
    rows.into_iter()
        .map(|row| {
            let planned = row.at.map(Planned::At).or(row.on_date.map(Planned::On));
            let height_done = row.height_cm.map(height).transpose()?;
            let done = row.efforts.map(|efforts| Attempt {
                at: row.at,
                efforts: count(efforts),
                height: height_done,
                pole_passes: 0,
                superseded: false,
            });
            Ok(Session {
                id: row.id.uuid(),
                status: row.status.0,
                planned: planned.ok_or_else(|| Problem::new(Kind::Internal))?,
                planned_efforts: count(row.planned_efforts),
                planned_height: row.planned_height_cm.map(height).transpose()?,
                planned_pole_passes: 0,
                competition: row.kind.0.competition(),
                show_id: row.show_id,
                rider_id: row.rider_id.map(Id::uuid),
                outing: true,
                attempts: done.into_iter().collect(),
            })
        })
        .collect()
}

/// What a stand-down says to the count.
#[derive(Queryable, Selectable)]
#[diesel(table_name = stand_down)]
struct Down {
    id: Id<StandDownId>,
    rider_id: Option<Id<Person>>,
    source: Coded<StandDownSource>,
    scope: Coded<Scope>,
    from_date: Day,
    free_from_date: Option<Day>,
    cleared_on: Option<Day>,
}

/// Those of the horse, and of every rider of the barn: any of them may be put on it.
pub fn stand_downs(conn: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> QueryResult<Vec<StandDown<Uuid>>> {
    let rows: Vec<Down> = on_each!(conn, |c| stand_down::table
        .filter(stand_down::barn_id.eq(barn))
        .filter(stand_down::horse_id.eq(horse).or(stand_down::rider_id.is_not_null()))
        .order(stand_down::id)
        .select(Down::as_select())
        .load(c))?;
    let of = |row: Down| StandDown {
        id: row.id.uuid(),
        subject: row.rider_id.map_or(Subject::Horse, |rider| Subject::Rider(rider.uuid())),
        source: row.source.0,
        scope: row.scope.0,
        from_date: row.from_date,
        free_from_date: row.free_from_date,
        cleared_on: row.cleared_on,
    };
    Ok(rows.into_iter().map(of).collect())
}
