//! The rows of outings.
use super::plan;
use super::wire::{DoneIn, DoneOut, OutingIn, OutingKind, OutingOut, OutingPatch, OutingQuery, OutingStatus};
use crate::access::read::Look;
use crate::access::standing::Standing;
use crate::access::write::Tx;
use crate::booking::flags;
use crate::db::conn::AnyConn;
use crate::db::schema::outing;
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::table::Kind;
use crate::problem::{Problem, RuleReason};
use crate::wire::either::{Either, either};
use crate::wire::leaf::Count;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::patch::Patch;
use crate::wire::text::{Note, ShowId};
use crate::workload::limits::rows::height;
use crate::workload::reasons::sees_rows;
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Barn, Horse, Id, Outing, Person};
use stridewright_core::workload::Planned;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = outing, treat_none_as_default_value = false)]
pub struct OutingRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Outing>,
    pub horse_id: Id<Horse>,
    pub rider_id: Option<Id<Person>>,
    pub kind: Coded<OutingKind>,
    pub show_id: Option<String>,
    pub at: Option<Instant>,
    pub on_date: Option<Day>,
    pub status: Coded<OutingStatus>,
    pub planned_efforts: i32,
    pub planned_height_cm: Option<i32>,
    pub efforts: Option<i32>,
    pub height_cm: Option<i32>,
    pub note: Option<String>,
    pub recorded_by: Id<Person>,
    pub superseded_by: Option<Id<Outing>>,
    pub version: i64,
    pub created_at: Instant,
}

impl OutingRow {
    /// The barn's day of it.
    pub fn day(&self, who: &Standing) -> Option<Day> {
        self.at.map(Planned::At).or(self.on_date.map(Planned::On)).map(|planned| planned.day(&who.zone))
    }

    /// The outing as this reader sees it.
    pub fn show(&self, who: &Standing, warnings: Vec<RuleReason>) -> Result<OutingOut, Problem> {
        let internal = |_| Problem::new(Kind::Internal);
        let knows_rider = |rider: &Id<Person>| who.is_own(*rider) || sees_rows(who, self.horse_id);
        let height_done = self.height_cm.map(height).transpose()?;
        Ok(OutingOut {
            id: self.id,
            horse_id: self.horse_id,
            kind: self.kind.0,
            show_id: self.show_id.clone().map(ShowId::try_from).transpose().map_err(internal)?,
            rider_id: self.rider_id.filter(knows_rider),
            at: self.at,
            on_date: self.on_date,
            status: self.status.0,
            planned_efforts: self.planned_efforts,
            planned_height_cm: self.planned_height_cm.map(height).transpose()?,
            done: self.efforts.map(|efforts| DoneOut { efforts, height_cm: height_done }),
            note: self.note.clone().map(Note::try_from).transpose().map_err(internal)?,
            recorded_by: self.recorded_by,
            superseded_by: self.superseded_by,
            created_at: self.created_at,
            warnings,
        })
    }

    fn log(&mut self, done: &DoneIn) {
        self.efforts = Some(done.efforts.get());
        self.height_cm = done.height_cm.map(|h| h.get().into());
        self.status = Coded(OutingStatus::Closed);
    }
}

/// The row, where it is the horse's.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>, id: Id<Outing>) -> QueryResult<Option<OutingRow>> {
    on_each!(c, |c| outing::table
        .find((barn, id))
        .filter(outing::horse_id.eq(horse))
        .select(OutingRow::as_select())
        .first(c)
        .optional())
}

/// A page of a horse's outings, in the order of their ids.
pub fn page(look: &mut Look<'_>, horse: Id<Horse>, query: &OutingQuery) -> Result<Page<OutingOut>, Problem> {
    let (who, size) = (look.who, query.limit.unwrap_or_default());
    let after: Option<Id<Outing>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<OutingRow> = on_each!(look.conn(), |c| {
        let mut rows = outing::table
            .filter(outing::barn_id.eq(who.barn_id).and(outing::horse_id.eq(horse)))
            .select(OutingRow::as_select())
            .order(outing::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(outing::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| row.show(who, Vec::new()))
}

fn checked(tx: &Tx<'_>, row: &OutingRow) -> Result<(), Problem> {
    let today = tx.who.today(tx.now);
    if row.status.0 == OutingStatus::Closed && row.day(tx.who).is_none_or(|day| day > today) {
        return Err(Problem::at_odds("/done", "must not be said of a day in the future"));
    }
    Ok(())
}

/// Stores a new one; answers it with what the limits say to the plan.
pub fn create(tx: &mut Tx<'_>, horse_id: Id<Horse>, new: OutingIn) -> Result<(OutingRow, Vec<RuleReason>), Problem> {
    let (at, on_date) = match either("", ("at", new.at), ("on_date", new.on_date))? {
        Either::First(at) => (Some(at), None),
        Either::Second(day) => (None, Some(day)),
    };
    if let Some(rider) = new.rider_id {
        plan::check_rider(tx, horse_id, rider)?;
    }
    let mut row = OutingRow {
        barn_id: tx.who.barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        horse_id,
        rider_id: new.rider_id,
        kind: Coded(new.kind),
        show_id: new.show_id.map(ShowId::into_string),
        at,
        on_date,
        status: Coded(OutingStatus::Booked),
        planned_efforts: new.planned_efforts.map_or(0, Count::get),
        planned_height_cm: new.planned_height_cm.map(|h| h.get().into()),
        efforts: None,
        height_cm: None,
        note: new.note.map(Note::into_string),
        recorded_by: tx.who.person_id,
        superseded_by: None,
        version: 1,
        created_at: tx.now,
    };
    if let Some(done) = &new.done {
        row.log(done);
    }
    checked(tx, &row)?;
    let warnings = plan::warnings(tx, &row, true)?;
    on_each!(tx.conn(), |c| diesel::insert_into(outing::table).values(&row).execute(c))?;
    flags::test_again(tx, &[horse_id], &[])?;
    Ok((row, warnings))
}

/// Applies a change; answers the new row with what the limits say to the plan.
pub fn change(tx: &mut Tx<'_>, old: OutingRow, patch: OutingPatch) -> Result<(OutingRow, Vec<RuleReason>), Problem> {
    let over = match old.status.0 {
        OutingStatus::Booked | OutingStatus::Closed => None,
        OutingStatus::Cancelled => Some("It is cancelled."),
        OutingStatus::Superseded => Some("It was corrected: change the version that superseded_by names."),
    };
    if let Some(why) = over {
        return Err(Problem::new(Kind::WrongState).with_detail(why));
    }
    if let (Patch::Set(_), Patch::Set(_)) = (&patch.at, &patch.on_date) {
        return Err(Problem::at_odds("/on_date", "must not stand beside at"));
    }
    let internal = |_| Problem::new(Kind::Internal);
    let show_id = old.show_id.clone().map(ShowId::try_from).transpose().map_err(internal)?;
    let note = old.note.clone().map(Note::try_from).transpose().map_err(internal)?;
    let planned_height = old.planned_height_cm.map(height).transpose()?;
    let (at, on_date) = match (patch.at, patch.on_date) {
        (Patch::Set(at), _) => (Some(at), None),
        (Patch::Keep, Patch::Set(day)) => (None, Some(day)),
        (Patch::Keep, Patch::Keep) => (old.at, old.on_date),
    };
    let mut row = OutingRow {
        rider_id: patch.rider_id.or(old.rider_id),
        kind: Coded(patch.kind.or(old.kind.0)),
        show_id: patch.show_id.or(show_id).map(ShowId::into_string),
        at,
        on_date,
        planned_efforts: patch.planned_efforts.into_option().map_or(old.planned_efforts, Count::get),
        planned_height_cm: patch.planned_height_cm.or(planned_height).map(|h| h.get().into()),
        note: patch.note.or(note).map(Note::into_string),
        version: old.version + 1,
        ..old.clone()
    };
    if let Patch::Set(done) = &patch.done {
        row.log(done);
    }
    if row.status.0 == OutingStatus::Closed {
        row.recorded_by = tx.who.person_id; // what counts is on whoever says it
    }
    if let Some(rider) = row.rider_id.filter(|rider| Some(*rider) != old.rider_id) {
        plan::check_rider(tx, row.horse_id, rider)?;
    }
    checked(tx, &row)?;
    let warnings = plan::warnings(tx, &row, plan::moved(tx.who, &old, &row))?;
    if old.status.0 == OutingStatus::Closed {
        keep(tx, &old)?;
    }
    store(tx, &row)?;
    Ok((row, warnings))
}

/// What was logged is never overwritten: it stays, uncounted, and names what took its place.
fn keep(tx: &mut Tx<'_>, old: &OutingRow) -> Result<(), Problem> {
    let kept = OutingRow {
        id: tx.app.new_id(),
        status: Coded(OutingStatus::Superseded),
        superseded_by: Some(old.id),
        ..old.clone()
    };
    on_each!(tx.conn(), |c| diesel::insert_into(outing::table).values(&kept).execute(c))?;
    Ok(())
}

/// Calls it off. What was jumped is a fact and stays.
pub fn cancel(tx: &mut Tx<'_>, row: OutingRow) -> Result<(), Problem> {
    let why = match row.status.0 {
        OutingStatus::Booked => None,
        OutingStatus::Closed => Some("It was jumped: correct what was logged instead."),
        OutingStatus::Cancelled => Some("It is cancelled already."),
        OutingStatus::Superseded => Some("It was corrected already."),
    };
    if let Some(why) = why {
        return Err(Problem::new(Kind::WrongState).with_detail(why));
    }
    store(tx, &OutingRow { status: Coded(OutingStatus::Cancelled), version: row.version + 1, ..row })
}

fn store(tx: &mut Tx<'_>, row: &OutingRow) -> Result<(), Problem> {
    on_each!(tx.conn(), |c| diesel::update(outing::table.find((row.barn_id, row.id)))
        .set((
            outing::rider_id.eq(row.rider_id),
            outing::kind.eq(row.kind),
            outing::show_id.eq(&row.show_id),
            outing::at.eq(row.at),
            outing::on_date.eq(row.on_date),
            outing::status.eq(row.status),
            outing::planned_efforts.eq(row.planned_efforts),
            outing::planned_height_cm.eq(row.planned_height_cm),
            outing::efforts.eq(row.efforts),
            outing::height_cm.eq(row.height_cm),
            outing::note.eq(&row.note),
            outing::recorded_by.eq(row.recorded_by),
            outing::version.eq(row.version),
        ))
        .execute(c))?;
    flags::test_again(tx, &[row.horse_id], &[])
}
