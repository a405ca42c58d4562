//! The rows of stand-downs.
use super::wire::{ClearanceIn, StandDownIn, StandDownOut, StandDownPatch, StandDownQuery};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::booking::flags;
use crate::db::conn::AnyConn;
use crate::db::schema::stand_down;
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::text::{Note, Reason};
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Barn, Horse, Id, Person, StandDown as Down};
use stridewright_core::rest::{Scope, StandDown, StandDownSource, Subject};
use uuid::Uuid;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = stand_down, treat_none_as_default_value = false)]
pub struct StandDownRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Down>,
    pub horse_id: Option<Id<Horse>>,
    pub rider_id: Option<Id<Person>>,
    pub source: Coded<StandDownSource>,
    pub scope: Coded<Scope>,
    pub from_date: Day,
    pub free_from_date: Option<Day>,
    pub cleared_on: Option<Day>,
    pub clearance_note: Option<String>,
    pub cleared_by: Option<Id<Person>>,
    pub reason: String,
    pub recorded_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

impl StandDownRow {
    /// The stand-down as core judges by it.
    pub fn stand_down(&self) -> StandDown<Uuid> {
        StandDown {
            id: self.id.uuid(),
            subject: self.rider_id.map_or(Subject::Horse, |rider| Subject::Rider(rider.uuid())),
            source: self.source.0,
            scope: self.scope.0,
            from_date: self.from_date,
            free_from_date: self.free_from_date,
            cleared_on: self.cleared_on,
        }
    }

    /// The stand-down as its readers see it.
    pub fn show(&self) -> Result<StandDownOut, Problem> {
        let internal = |_| Problem::new(Kind::Internal);
        let judged = self.stand_down();
        Ok(StandDownOut {
            id: self.id,
            horse_id: self.horse_id,
            rider_id: self.rider_id,
            source: self.source.0,
            scope: self.scope.0,
            from_date: self.from_date,
            free_from_date: self.free_from_date,
            needs_clearance: judged.needs_clearance(),
            cleared_on: self.cleared_on,
            clearance_note: self.clearance_note.clone().map(Note::try_from).transpose().map_err(internal)?,
            free_from: judged.free_from(),
            reason: Reason::try_from(self.reason.clone()).map_err(internal)?,
            recorded_by: self.recorded_by,
            created_at: self.created_at,
        })
    }

    fn test_again(&self, tx: &mut Tx<'_>) -> Result<(), Problem> {
        let (horses, riders): (Vec<_>, Vec<_>) =
            (self.horse_id.into_iter().collect(), self.rider_id.into_iter().collect());
        flags::test_again(tx, &horses, &riders)
    }
}

/// Who stands down.
#[derive(Debug, Clone, Copy)]
pub enum Who {
    Horse(Id<Horse>),
    Rider(Id<Person>),
}

/// The row, where it is the horse's or the rider's.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, of: Who, id: Id<Down>) -> QueryResult<Option<StandDownRow>> {
    on_each!(c, |c| {
        let mut rows = stand_down::table
            .filter(stand_down::barn_id.eq(barn).and(stand_down::id.eq(id)))
            .select(StandDownRow::as_select())
            .into_boxed();
        rows = match of {
            Who::Horse(horse) => rows.filter(stand_down::horse_id.eq(horse)),
            Who::Rider(rider) => rows.filter(stand_down::rider_id.eq(rider)),
        };
        rows.first(c).optional()
    })
}

/// All of them, those that are over too.
pub fn all(c: &mut AnyConn, barn: Id<Barn>, of: Who) -> QueryResult<Vec<StandDownRow>> {
    on_each!(c, |c| {
        let rows = stand_down::table
            .filter(stand_down::barn_id.eq(barn))
            .order(stand_down::id)
            .select(StandDownRow::as_select())
            .into_boxed();
        match of {
            Who::Horse(horse) => rows.filter(stand_down::horse_id.eq(horse)).load(c),
            Who::Rider(rider) => rows.filter(stand_down::rider_id.eq(rider)).load(c),
        }
    })
}

/// A page of them, in the order of their ids.
pub fn page(look: &mut Look<'_>, of: Who, query: &StandDownQuery) -> Result<Page<StandDownOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<Down>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<StandDownRow> = on_each!(look.conn(), |c| {
        let mut rows = stand_down::table
            .filter(stand_down::barn_id.eq(barn))
            .select(StandDownRow::as_select())
            .order(stand_down::id)
            .limit(size.one_more())
            .into_boxed();
        rows = match of {
            Who::Horse(horse) => rows.filter(stand_down::horse_id.eq(horse)),
            Who::Rider(rider) => rows.filter(stand_down::rider_id.eq(rider)),
        };
        if let Some(after) = after {
            rows = rows.filter(stand_down::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| row.show())
}

fn ordered(from: Day, free_from: Option<Day>) -> Result<(), Problem> {
    if free_from.is_some_and(|free| free < from) {
        return Err(Problem::at_odds("/free_from_date", "must not lie before from_date"));
    }
    Ok(())
}

/// Stores a new one.
pub fn create(tx: &mut Tx<'_>, of: Who, new: StandDownIn) -> Result<StandDownRow, Problem> {
    ordered(new.from_date, new.free_from_date)?;
    let (horse_id, rider_id) = match of {
        Who::Horse(horse) => (Some(horse), None),
        Who::Rider(rider) => (None, Some(rider)),
    };
    let row = StandDownRow {
        barn_id: tx.who.barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        horse_id,
        rider_id,
        source: Coded(new.source),
        scope: Coded(new.scope),
        from_date: new.from_date,
        free_from_date: new.free_from_date,
        cleared_on: None,
        clearance_note: None,
        cleared_by: None,
        reason: new.reason.into_string(),
        recorded_by: tx.who.person_id,
        version: 1,
        created_at: tx.now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(stand_down::table).values(&row).execute(c))?;
    row.test_again(tx)?;
    Ok(row)
}

fn not_cleared(row: &StandDownRow) -> Result<(), Problem> {
    if let Some(day) = row.cleared_on {
        return Err(Problem::new(Kind::WrongState).with_detail(format!("It was cleared on {day}.")));
    }
    Ok(())
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: StandDownRow, patch: StandDownPatch) -> Result<StandDownRow, Problem> {
    not_cleared(&row)?;
    let new = StandDownRow {
        scope: Coded(patch.scope.or(row.scope.0)),
        from_date: patch.from_date.or(row.from_date),
        free_from_date: patch.free_from_date.or(row.free_from_date),
        version: row.version + 1,
        ..row.clone()
    };
    ordered(new.from_date, new.free_from_date)?;
    if row.stand_down().needs_clearance() {
        Problem::unless_fit(weaker(&row, &new))?;
    }
    store(tx, &new)?;
    Ok(new)
}

/// What ends only with a clearance would end without one if it could be moved away.
fn weaker(old: &StandDownRow, new: &StandDownRow) -> Vec<FieldError> {
    let rule = "may only become stricter: a vet's and a rider's stand-down ends with a recorded clearance";
    let sooner = match (old.free_from_date, new.free_from_date) {
        (Some(before), Some(now)) => now < before,
        _ => false, // without a date it lasts until it is cleared, and with one no shorter
    };
    [("scope", new.scope.0 < old.scope.0), ("from_date", new.from_date > old.from_date), ("free_from_date", sooner)]
        .into_iter()
        .filter(|(_, weaker)| *weaker)
        .map(|(field, _)| FieldError::new(format!("/{field}"), "conflict", rule))
        .collect()
}

/// Records the clearance. One that needs none ends with it all the same.
pub fn clear(tx: &mut Tx<'_>, row: StandDownRow, clearance: ClearanceIn) -> Result<StandDownRow, Problem> {
    not_cleared(&row)?;
    let ClearanceIn { cleared_on, note } = clearance;
    if cleared_on > tx.who.today(tx.now) {
        return Err(Problem::at_odds("/cleared_on", "must not lie in the future"));
    }
    if cleared_on < row.from_date {
        return Err(Problem::at_odds("/cleared_on", "must not lie before from_date"));
    }
    let free_from_date = if row.stand_down().needs_clearance() {
        row.free_from_date
    } else {
        Some(row.free_from_date.map_or(cleared_on, |free| free.min(cleared_on)))
    };
    let row = StandDownRow {
        free_from_date,
        cleared_on: Some(cleared_on),
        clearance_note: note.map(Note::into_string),
        cleared_by: Some(tx.who.person_id),
        version: row.version + 1,
        ..row
    };
    store(tx, &row)?;
    Ok(row)
}

fn store(tx: &mut Tx<'_>, row: &StandDownRow) -> Result<(), Problem> {
    on_each!(tx.conn(), |c| diesel::update(stand_down::table.find((row.barn_id, row.id)))
        .set((
            stand_down::scope.eq(row.scope),
            stand_down::from_date.eq(row.from_date),
            stand_down::free_from_date.eq(row.free_from_date),
            stand_down::cleared_on.eq(row.cleared_on),
            stand_down::clearance_note.eq(&row.clearance_note),
            stand_down::cleared_by.eq(row.cleared_by),
            stand_down::version.eq(row.version),
        ))
        .execute(c))?;
    row.test_again(tx)
}
