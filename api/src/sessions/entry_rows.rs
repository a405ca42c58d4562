//! The rows of entries.
use super::entry_wire::{AskIn, ClosingAnswer};
use crate::db::conn::AnyConn;
use crate::db::schema::{entry, horse, person, ride};
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::RuleReason;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Entry, Horse, Id, Person, Session};
use stridewright_core::workload::Status;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = entry, treat_none_as_default_value = false, treat_none_as_null = true)]
#[diesel(primary_key(barn_id, id))]
pub struct EntryRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Entry>,
    pub session_id: Id<Session>,
    pub horse_id: Option<Id<Horse>>,
    pub rider_id: Option<Id<Person>>,
    pub status: Coded<Status>,
    pub planned_efforts: i32,
    pub planned_height_cm: Option<i32>,
    pub planned_pole_passes: i32,
    pub asks: AsJson<Vec<AskIn>>,
    pub reason: Option<String>,
    pub override_reason: Option<String>,
    pub overridden: Option<AsJson<Vec<RuleReason>>>,
    pub flags: Option<AsJson<Vec<RuleReason>>>,
    pub closing: Option<Coded<ClosingAnswer>>,
    pub requested_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

impl EntryRow {
    /// Whether it holds its horse and rider.
    pub const fn occupies(&self) -> bool {
        self.status.0.plan_counts()
    }
}

pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Entry>) -> QueryResult<Option<EntryRow>> {
    on_each!(c, |c| entry::table.find((barn, id)).select(EntryRow::as_select()).first(c).optional())
}

/// All entries of a session, in the order of their ids.
pub fn of_session(c: &mut AnyConn, barn: Id<Barn>, session: Id<Session>) -> QueryResult<Vec<EntryRow>> {
    on_each!(c, |c| entry::table
        .filter(entry::barn_id.eq(barn).and(entry::session_id.eq(session)))
        .order(entry::id)
        .select(EntryRow::as_select())
        .load(c))
}

/// The names of the entry's horse and rider, who may have left the barn since.
pub fn names(
    c: &mut AnyConn,
    barn: Id<Barn>,
    horse: Option<Id<Horse>>,
    rider: Option<Id<Person>>,
) -> QueryResult<(Option<String>, Option<String>)> {
    let horse = match horse {
        Some(id) => on_each!(&mut *c, |c| horse::table.find((barn, id)).select(horse::name).first(c).optional())?,
        None => None,
    };
    let rider = match rider {
        Some(id) => on_each!(c, |c| person::table.find((barn, id)).select(person::name).first(c).optional())?,
        None => None,
    };
    Ok((horse, rider))
}

pub fn insert(c: &mut AnyConn, row: &EntryRow) -> QueryResult<()> {
    on_each!(c, |c| diesel::insert_into(entry::table).values(row).execute(c)).map(drop)
}

pub fn update(c: &mut AnyConn, row: &EntryRow) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(entry::table.find((row.barn_id, row.id))).set(row).execute(c)).map(drop)
}

/// Efforts logged under the entry, and whether anything was.
pub fn logged(c: &mut AnyConn, barn: Id<Barn>, id: Id<Entry>) -> QueryResult<(i32, bool)> {
    let efforts: Vec<i32> = on_each!(c, |c| ride::table
        .filter(ride::barn_id.eq(barn).and(ride::entry_id.eq(id)).and(ride::standing.eq("counted")))
        .select(ride::efforts)
        .load(c))?;
    Ok((efforts.iter().sum(), !efforts.is_empty()))
}
