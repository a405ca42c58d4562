//! A horse's efforts by day, counted again from what lies in the tables, the slow and obvious way.
use crate::db::conn::AnyConn;
use crate::db::schema::{barn, entry, horse, outing, ride, session};
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::Problem;
use crate::rides::wire::FencePassed;
use crate::workload::history;
use diesel::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::ids::{Barn, Entry, Horse, Id, Session};
use stridewright_core::workload::{DayEfforts, Status, efforts_by_day, window_sum};

type Days = BTreeMap<Day, DayEfforts>;
type Fences = AsJson<Vec<FencePassed>>;

#[derive(Queryable)]
struct EntryRow {
    id: Id<Entry>,
    session: Id<Session>,
    horse: Option<Id<Horse>>,
    status: Coded<Status>,
    planned: i32,
}

#[derive(Queryable)]
struct RideRow {
    entry: Id<Entry>,
    at: Option<Instant>,
    fences: Fences,
    efforts: i32,
    standing: String,
}

#[derive(Queryable)]
struct OutingRow {
    horse: Id<Horse>,
    at: Option<Instant>,
    on: Option<Day>,
    status: String,
    planned: i32,
    efforts: Option<i32>,
}

fn count(number: i32) -> u32 {
    u32::try_from(number).unwrap_or(0)
}

/// By its fences where there are any; an estimate or an extra fence has none.
fn efforts_of(ride: &RideRow) -> u32 {
    if ride.fences.0.is_empty() {
        return count(ride.efforts);
    }
    super::counted(&ride.fences.0)
}

/// Every horse's efforts by day.
fn recounted(c: &mut AnyConn, id: Id<Barn>, zone: &Zone) -> QueryResult<BTreeMap<Id<Horse>, Days>> {
    let starts: Vec<(Id<Session>, Instant, String)> = on_each!(&mut *c, |c| session::table
        .filter(session::barn_id.eq(id))
        .select((session::id, session::starts_at, session::kind))
        .load(c))?;
    let entries: Vec<EntryRow> = on_each!(&mut *c, |c| entry::table
        .filter(entry::barn_id.eq(id))
        .select((entry::id, entry::session_id, entry::horse_id, entry::status, entry::planned_efforts))
        .load(c))?;
    let rides: Vec<RideRow> = on_each!(&mut *c, |c| ride::table
        .filter(ride::barn_id.eq(id))
        .select((ride::entry_id, ride::at, ride::fences, ride::efforts, ride::standing))
        .load(c))?;
    let outings: Vec<OutingRow> = on_each!(c, |c| outing::table
        .filter(outing::barn_id.eq(id))
        .select((
            outing::horse_id,
            outing::at,
            outing::on_date,
            outing::status,
            outing::planned_efforts,
            outing::efforts,
        ))
        .load(c))?;
    let starts: BTreeMap<Id<Session>, (Instant, String)> =
        starts.into_iter().map(|(id, at, kind)| (id, (at, kind))).collect();
    let mut horses = BTreeMap::<Id<Horse>, Days>::new();
    let mut add = |horse: Id<Horse>, day: Day, logged: u32, planned: u32| {
        let sum = horses.entry(horse).or_default().entry(day).or_default();
        sum.logged += logged;
        sum.planned += planned;
    };
    for row in entries {
        let (Some(horse), Some((start, kind))) = (row.horse, starts.get(&row.session)) else { continue };
        if kind == "appointment" {
            continue;
        }
        let mut logged = 0;
        for ride in rides.iter().filter(|ride| ride.entry == row.id && ride.standing == "counted") {
            add(horse, ride.at.unwrap_or(*start).day(zone), efforts_of(ride), 0);
            logged += efforts_of(ride);
        }
        if matches!(row.status.0, Status::Booked | Status::Open | Status::Unresolved) {
            add(horse, start.day(zone), 0, count(row.planned).saturating_sub(logged));
        }
    }
    for row in outings.into_iter().filter(|row| row.status != "superseded") {
        let Some(day) = row.on.or(row.at.map(|at| at.day(zone))) else { continue };
        let logged = row.efforts.map_or(0, count);
        let planned = if row.status == "booked" { count(row.planned).saturating_sub(logged) } else { 0 };
        add(row.horse, day, logged, planned);
    }
    for days in horses.values_mut() {
        days.retain(|_, sum| sum.total() > 0);
    }
    Ok(horses)
}

/// Days and sums of days that the service shows otherwise than they are counted here.
pub fn faults(c: &mut AnyConn, id: Id<Barn>) -> Result<Vec<String>, Problem> {
    let zone: String = on_each!(&mut *c, |c| barn::table.find(id).select(barn::time_zone).first(c))?;
    let zone = Zone::new(&zone).unwrap_or_else(|_| Zone::utc());
    let horses: Vec<Id<Horse>> =
        on_each!(&mut *c, |c| horse::table.filter(horse::barn_id.eq(id)).order(horse::id).select(horse::id).load(c))?;
    let counted = recounted(c, id, &zone)?;
    let (none, mut faults) = (Days::new(), Vec::new());
    for horse in horses {
        let shown = efforts_by_day(&history::sessions(c, id, horse)?, &zone);
        let counted = counted.get(&horse).unwrap_or(&none);
        let days: BTreeSet<Day> = shown.keys().chain(counted.keys()).copied().collect();
        for day in days {
            for length in [1, 7, 28] {
                let (shows, counts) = (window_sum(&shown, day, length), summed(counted, day, length));
                if shows != counts {
                    faults.push(format!(
                        "barn {id}: horse {horse}: {length} days to {day} show {} logged and {} planned, the log counts {} and {}",
                        shows.logged, shows.planned, counts.logged, counts.planned
                    ));
                    break; // the longer sums follow
                }
            }
        }
    }
    Ok(faults)
}

fn summed(days: &Days, last: Day, length: u16) -> DayEfforts {
    let mut sum = DayEfforts::default();
    for (day, efforts) in days {
        if *day <= last && last.since(*day) < i32::from(length) {
            sum.logged += efforts.logged;
            sum.planned += efforts.planned;
        }
    }
    sum
}
