//! The rows of rides and their attempts.
use super::content::Content;
use super::shown::{AttemptOut, RideOut};
use super::wire::{FencePassed, LostFirst, RideKind, Standing};
use crate::db::conn::AnyConn;
use crate::db::schema::{attempt, ride};
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::text::{Label, Note};
use diesel::prelude::*;
use std::collections::BTreeMap;
use stridewright_core::adjustability::{Approach, Fault};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Entry, Horse, Id, Person, Ride, Session};
use stridewright_core::units::{Centimetres, Metres, Seconds};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = ride, treat_none_as_default_value = false)]
pub struct RideRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Ride>,
    pub entry_id: Id<Entry>,
    /// 0 for what is no go.
    pub go: i32,
    pub kind: Coded<RideKind>,
    pub at: Option<Instant>,
    pub fences: AsJson<Vec<FencePassed>>,
    pub efforts: i32,
    pub pole_passes: i32,
    pub height_cm: Option<i32>,
    pub standing: Coded<Standing>,
    pub supersedes: Option<Id<Ride>>,
    pub note: Option<String>,
    pub logged_by: Id<Person>,
    pub created_at: Instant,
}

#[derive(Debug, Queryable, Selectable, Insertable)]
#[diesel(table_name = attempt, treat_none_as_default_value = false)]
struct AttemptRow {
    barn_id: Id<Barn>,
    ride_id: Id<Ride>,
    n: i32,
    line: String,
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
    lost_first: Option<Coded<LostFirst>>,
    seconds: Option<f64>,
}

/// A ride with its attempts.
#[derive(Debug, Clone)]
pub struct Version {
    pub row: RideRow,
    pub attempts: Vec<AttemptOut>,
}

/// Whose ride it is.
#[derive(Debug, Clone, Copy)]
pub struct Whose {
    pub session_id: Id<Session>,
    pub horse_id: Option<Id<Horse>>,
    pub rider_id: Option<Id<Person>>,
}

fn bad<E>(_: E) -> Problem {
    Problem::new(Kind::Internal)
}

fn height(cm: i32) -> Result<Centimetres, Problem> {
    Centimetres::new(u16::try_from(cm).map_err(bad)?).map_err(bad)
}

impl Version {
    /// Whether it counts, or would if a trainer chose it.
    pub const fn is_live(&self) -> bool {
        matches!(self.row.standing.0, Standing::Counted | Standing::Disputed)
    }

    pub fn content(&self) -> Result<Content, Problem> {
        let row = &self.row;
        Ok(Content {
            kind: row.kind.0,
            at: row.at,
            fences: row.fences.0.clone(),
            attempts: self.attempts.clone(),
            efforts: row.efforts,
            pole_passes: row.pole_passes,
            height_cm: row.height_cm.map(height).transpose()?,
            note: row.note.clone(),
        })
    }

    /// As its readers see it.
    pub fn show(self, whose: Whose) -> Result<RideOut, Problem> {
        let row = self.row;
        Ok(RideOut {
            id: row.id,
            session_id: whose.session_id,
            entry_id: row.entry_id,
            horse_id: whose.horse_id,
            rider_id: whose.rider_id,
            go: numbered(row.go),
            kind: row.kind.0,
            at: row.at,
            fences: row.fences.0,
            attempts: self.attempts,
            efforts: row.efforts,
            pole_passes: row.pole_passes,
            height_cm: row.height_cm.map(height).transpose()?,
            standing: row.standing.0,
            supersedes: row.supersedes,
            note: row.note.map(Note::try_from).transpose().map_err(bad)?,
            logged_by: row.logged_by,
            created_at: row.created_at,
        })
    }
}

/// The number as it is shown.
pub fn numbered(go: i32) -> Option<i32> {
    (go > 0).then_some(go)
}

fn shown(row: AttemptRow) -> Result<AttemptOut, Problem> {
    let count = |n: i32| i64::from(n).try_into().map_err(bad);
    Ok(AttemptOut {
        line: Label::try_from(row.line).map_err(bad)?,
        asked: row.asked.map(count).transpose()?,
        ridden: row.ridden.map(count).transpose()?,
        distance_m: Metres::new(row.distance_m).map_err(bad)?,
        first_height_cm: height(row.first_height_cm)?,
        second_height_cm: height(row.second_height_cm)?,
        poles: row.poles,
        combination: row.combination,
        circle: row.circle,
        fault: row.fault.map(|f| f.0),
        approach: row.approach.map(|a| a.0),
        lost_first: row.lost_first.map(|l| l.0),
        seconds: row.seconds.map(Seconds::new).transpose().map_err(bad)?,
    })
}

/// Adds the attempts to rows of one barn.
pub fn with_attempts(c: &mut AnyConn, rows: Vec<RideRow>) -> Result<Vec<Version>, Problem> {
    let Some(barn) = rows.first().map(|row| row.barn_id) else { return Ok(Vec::new()) };
    let ids: Vec<Id<Ride>> = rows.iter().map(|row| row.id).collect();
    let found: Vec<AttemptRow> = on_each!(c, |c| attempt::table
        .filter(attempt::barn_id.eq(barn).and(attempt::ride_id.eq_any(&ids)))
        .order((attempt::ride_id, attempt::n))
        .select(AttemptRow::as_select())
        .load(c))?;
    let mut by_ride = BTreeMap::<Id<Ride>, Vec<AttemptOut>>::new();
    for row in found {
        by_ride.entry(row.ride_id).or_default().push(shown(row)?);
    }
    Ok(rows
        .into_iter()
        .map(|row| {
            let attempts = by_ride.remove(&row.id).unwrap_or_default();
            Version { row, attempts }
        })
        .collect())
}

/// The row of that id, in whatever entry.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Ride>) -> QueryResult<Option<RideRow>> {
    on_each!(c, |c| ride::table.find((barn, id)).select(RideRow::as_select()).first(c).optional())
}

/// The version of that id, in whatever entry.
pub fn version(c: &mut AnyConn, barn: Id<Barn>, id: Id<Ride>) -> Result<Option<Version>, Problem> {
    let rows = find(c, barn, id)?.into_iter().collect();
    Ok(with_attempts(c, rows)?.pop())
}

/// Every version of a go.
pub fn of_go(c: &mut AnyConn, barn: Id<Barn>, entry: Id<Entry>, go: i32) -> Result<Vec<Version>, Problem> {
    let rows: Vec<RideRow> = on_each!(&mut *c, |c| ride::table
        .filter(ride::barn_id.eq(barn).and(ride::entry_id.eq(entry)).and(ride::go.eq(go)))
        .filter(ride::kind.eq(Coded(RideKind::Go)))
        .order((ride::created_at, ride::id))
        .select(RideRow::as_select())
        .load(c))?;
    with_attempts(c, rows)
}

/// The number after the last go that counts or is disputed.
pub fn next_go(c: &mut AnyConn, barn: Id<Barn>, entry: Id<Entry>) -> QueryResult<i32> {
    let last: Option<i32> = on_each!(c, |c| ride::table
        .filter(ride::barn_id.eq(barn).and(ride::entry_id.eq(entry)).and(ride::kind.eq(Coded(RideKind::Go))))
        .filter(ride::standing.eq_any([Coded(Standing::Counted), Coded(Standing::Disputed)]))
        .select(diesel::dsl::max(ride::go))
        .first(c))?;
    Ok(last.unwrap_or(0) + 1)
}

/// Stores a version.
pub fn insert(c: &mut AnyConn, version: &Version) -> QueryResult<()> {
    let (barn_id, ride_id) = (version.row.barn_id, version.row.id);
    let attempts: Vec<AttemptRow> = (0..)
        .zip(&version.attempts)
        .map(|(n, a)| AttemptRow {
            barn_id,
            ride_id,
            n,
            line: a.line.as_str().to_owned(),
            asked: a.asked.map(|n| n.get()),
            ridden: a.ridden.map(|n| n.get()),
            distance_m: a.distance_m.get(),
            first_height_cm: a.first_height_cm.get().into(),
            second_height_cm: a.second_height_cm.get().into(),
            poles: a.poles,
            combination: a.combination,
            circle: a.circle,
            fault: a.fault.map(Coded),
            approach: a.approach.map(Coded),
            lost_first: a.lost_first.map(Coded),
            seconds: a.seconds.map(Seconds::get),
        })
        .collect();
    on_each!(c, |c| {
        diesel::insert_into(ride::table).values(&version.row).execute(c)?;
        if !attempts.is_empty() {
            diesel::insert_into(attempt::table).values(&attempts).execute(c)?;
        }
        Ok(())
    })
}

/// Says anew whether versions count: all of them at once.
pub fn stand(c: &mut AnyConn, barn: Id<Barn>, ids: &[Id<Ride>], standing: Standing) -> QueryResult<usize> {
    on_each!(c, |c| diesel::update(ride::table)
        .filter(ride::barn_id.eq(barn).and(ride::id.eq_any(ids)))
        .set(ride::standing.eq(Coded(standing)))
        .execute(c))
}
