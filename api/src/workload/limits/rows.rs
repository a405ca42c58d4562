//! The rows of workload limits.
use super::wire::{
    ClearDays, GapDays, LimitIn, LimitKind, LimitOut, LimitPatch, LimitQuery, LimitValue, MinEfforts, Numbers, RampDays,
};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::booking::flags;
use crate::db::conn::AnyConn;
use crate::db::schema::workload_limit;
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::text::Note;
use crate::workload::words;
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Barn, Horse, Id, Person, WorkloadLimit};
use stridewright_core::rest::{Faulty, Limit, Source};
use stridewright_core::units::Centimetres;
use uuid::Uuid;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = workload_limit, treat_none_as_default_value = false)]
pub struct LimitRow {
    pub barn_id: Id<Barn>,
    pub id: Id<WorkloadLimit>,
    pub horse_id: Id<Horse>,
    pub kind: Coded<LimitKind>,
    pub value: Option<i32>,
    pub min_efforts: Option<i32>,
    pub clear_days: Option<i32>,
    pub after_gap_days: Option<i32>,
    pub ramp_days: Option<i32>,
    pub max_per_session: Option<i32>,
    pub max_per_7_days: Option<i32>,
    pub source: Coded<Source>,
    pub hard: bool,
    pub valid_from: Option<Day>,
    pub valid_to: Option<Day>,
    pub from_height_cm: Option<i32>,
    pub note: Option<String>,
    pub set_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

impl LimitRow {
    /// A new row, set by the caller.
    pub fn new(tx: &Tx<'_>, horse_id: Id<Horse>, limit: &Limit<Uuid>) -> Result<Self, Problem> {
        let (kind, numbers) = Numbers::of(&limit.rule).ok_or_else(|| Problem::new(Kind::Internal))?;
        let Numbers { value, min_efforts, clear_days, after_gap_days, ramp_days, max_per_session, max_per_7_days } =
            numbers;
        Ok(Self {
            barn_id: tx.who.barn_id,
            id: limit.id.into(),
            horse_id,
            kind: Coded(kind),
            value,
            min_efforts,
            clear_days,
            after_gap_days,
            ramp_days,
            max_per_session,
            max_per_7_days,
            source: Coded(limit.source),
            hard: limit.hard,
            valid_from: limit.valid_from,
            valid_to: limit.valid_to,
            from_height_cm: limit.from_height.map(|h| h.get().into()),
            note: None,
            set_by: tx.who.person_id,
            version: 1,
            created_at: tx.now,
        })
    }

    pub const fn numbers(&self) -> Numbers {
        Numbers {
            value: self.value,
            min_efforts: self.min_efforts,
            clear_days: self.clear_days,
            after_gap_days: self.after_gap_days,
            ramp_days: self.ramp_days,
            max_per_session: self.max_per_session,
            max_per_7_days: self.max_per_7_days,
        }
    }

    /// The limit as its readers see it.
    pub fn show(&self) -> Result<LimitOut, Problem> {
        let limit = self.limit()?;
        let note = self.note.clone().map(Note::try_from).transpose().map_err(|_| Problem::new(Kind::Internal))?;
        Ok(LimitOut {
            id: self.id,
            horse_id: self.horse_id,
            kind: self.kind.0,
            value: self.value,
            min_efforts: self.min_efforts,
            clear_days: self.clear_days,
            after_gap_days: self.after_gap_days,
            ramp_days: self.ramp_days,
            max_per_session: self.max_per_session,
            max_per_7_days: self.max_per_7_days,
            source: self.source.0,
            hard: self.hard,
            binding: limit.binds(),
            words: words::limit(&limit),
            valid_from: self.valid_from,
            valid_to: self.valid_to,
            from_height_cm: limit.from_height,
            note,
            set_by: self.set_by,
            created_at: self.created_at,
        })
    }

    /// The limit as core judges by it.
    pub fn limit(&self) -> Result<Limit<Uuid>, Problem> {
        let rule = self.numbers().rule(self.kind.0).map_err(|_| Problem::new(Kind::Internal))?;
        Ok(Limit {
            id: self.id.uuid(),
            rule,
            source: self.source.0,
            hard: self.hard,
            valid_from: self.valid_from,
            valid_to: self.valid_to,
            from_height: self.from_height_cm.map(height).transpose()?,
        })
    }
}

/// A stored height.
pub fn height(cm: i32) -> Result<Centimetres, Problem> {
    let cm = u16::try_from(cm).map_err(|_| Problem::new(Kind::Internal))?;
    Centimetres::new(cm).map_err(|_| Problem::new(Kind::Internal))
}

/// All limits of a horse, those that are over too.
pub fn of_horse(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> QueryResult<Vec<LimitRow>> {
    on_each!(c, |c| workload_limit::table
        .filter(workload_limit::barn_id.eq(barn).and(workload_limit::horse_id.eq(horse)))
        .order(workload_limit::id)
        .select(LimitRow::as_select())
        .load(c))
}

/// The row, where it is the horse's.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>, id: Id<WorkloadLimit>) -> QueryResult<Option<LimitRow>> {
    on_each!(c, |c| workload_limit::table
        .find((barn, id))
        .filter(workload_limit::horse_id.eq(horse))
        .select(LimitRow::as_select())
        .first(c)
        .optional())
}

/// A page of a horse's limits, in the order of their ids.
pub fn page(look: &mut Look<'_>, horse: Id<Horse>, query: &LimitQuery) -> Result<Page<LimitOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<WorkloadLimit>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<LimitRow> = on_each!(look.conn(), |c| {
        let mut rows = workload_limit::table
            .filter(workload_limit::barn_id.eq(barn).and(workload_limit::horse_id.eq(horse)))
            .select(LimitRow::as_select())
            .order(workload_limit::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(day) = query.on {
            rows = rows
                .filter(workload_limit::valid_from.is_null().or(workload_limit::valid_from.le(day)))
                .filter(workload_limit::valid_to.is_null().or(workload_limit::valid_to.ge(day)));
        }
        if let Some(after) = after {
            rows = rows.filter(workload_limit::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| row.show())
}

/// Refuses what does not fit the kind or the source, and validity that ends before it begins.
fn checked(row: &LimitRow) -> Result<(), Problem> {
    let at_odds = |errors| Problem::new(Kind::AtOdds).with_errors(errors);
    row.numbers().rule(row.kind.0).map_err(at_odds)?;
    row.limit()?.check().map_err(|fault| match fault {
        Faulty::HardDefault => Problem::at_odds("/hard", fault.to_string()),
        Faulty::StartsAtAHeight => Problem::at_odds("/from_height_cm", fault.to_string()),
    })?;
    if row.valid_from.zip(row.valid_to).is_some_and(|(from, to)| to < from) {
        return Err(Problem::at_odds("/valid_to", "must not lie before valid_from"));
    }
    Ok(())
}

/// Stores a new one.
pub fn create(tx: &mut Tx<'_>, horse_id: Id<Horse>, new: LimitIn) -> Result<LimitRow, Problem> {
    let row = LimitRow {
        barn_id: tx.who.barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        horse_id,
        kind: Coded(new.kind),
        value: new.value.map(LimitValue::get),
        min_efforts: new.min_efforts.map(MinEfforts::get),
        clear_days: new.clear_days.map(ClearDays::get),
        after_gap_days: new.after_gap_days.map(GapDays::get),
        ramp_days: new.ramp_days.map(RampDays::get),
        max_per_session: new.max_per_session.map(LimitValue::get),
        max_per_7_days: new.max_per_7_days.map(LimitValue::get),
        source: Coded(new.source),
        hard: new.hard.unwrap_or(false),
        valid_from: new.valid_from,
        valid_to: new.valid_to,
        from_height_cm: new.from_height_cm.map(|h| h.get().into()),
        note: new.note.map(Note::into_string),
        set_by: tx.who.person_id,
        version: 1,
        created_at: tx.now,
    };
    checked(&row)?;
    insert(tx, std::slice::from_ref(&row))?;
    flags::test_again(tx, &[horse_id], &[])?;
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: LimitRow, patch: LimitPatch) -> Result<LimitRow, Problem> {
    let from_height = patch.from_height_cm.or(row.from_height_cm.map(height).transpose()?);
    let note = row.note.map(Note::try_from).transpose().map_err(|_| Problem::new(Kind::Internal))?;
    let row = LimitRow {
        value: patch.value.into_option().map(LimitValue::get).or(row.value),
        min_efforts: patch.min_efforts.into_option().map(MinEfforts::get).or(row.min_efforts),
        clear_days: patch.clear_days.into_option().map(ClearDays::get).or(row.clear_days),
        after_gap_days: patch.after_gap_days.into_option().map(GapDays::get).or(row.after_gap_days),
        ramp_days: patch.ramp_days.into_option().map(RampDays::get).or(row.ramp_days),
        max_per_session: patch.max_per_session.into_option().map(LimitValue::get).or(row.max_per_session),
        max_per_7_days: patch.max_per_7_days.into_option().map(LimitValue::get).or(row.max_per_7_days),
        hard: patch.hard.or(row.hard),
        valid_from: patch.valid_from.or(row.valid_from),
        valid_to: patch.valid_to.or(row.valid_to),
        from_height_cm: from_height.map(|h| h.get().into()),
        note: patch.note.or(note).map(Note::into_string),
        set_by: tx.who.person_id,
        version: row.version + 1,
        ..row
    };
    checked(&row)?;
    on_each!(tx.conn(), |c| diesel::update(workload_limit::table.find((row.barn_id, row.id)))
        .set((
            workload_limit::value.eq(row.value),
            workload_limit::min_efforts.eq(row.min_efforts),
            workload_limit::clear_days.eq(row.clear_days),
            workload_limit::after_gap_days.eq(row.after_gap_days),
            workload_limit::ramp_days.eq(row.ramp_days),
            workload_limit::max_per_session.eq(row.max_per_session),
            workload_limit::max_per_7_days.eq(row.max_per_7_days),
            workload_limit::hard.eq(row.hard),
            workload_limit::valid_from.eq(row.valid_from),
            workload_limit::valid_to.eq(row.valid_to),
            workload_limit::from_height_cm.eq(row.from_height_cm),
            workload_limit::note.eq(&row.note),
            workload_limit::set_by.eq(row.set_by),
            workload_limit::version.eq(row.version),
        ))
        .execute(c))?;
    flags::test_again(tx, &[row.horse_id], &[])?;
    Ok(row)
}

/// Ends it: yesterday was its last day.
pub fn end(tx: &mut Tx<'_>, row: &LimitRow) -> Result<(), Problem> {
    let last = tx.who.today(tx.now).plus(-1);
    if row.valid_to.is_some_and(|to| to <= last) {
        return Err(Problem::new(Kind::WrongState).with_detail("It has ended already."));
    }
    on_each!(tx.conn(), |c| diesel::update(workload_limit::table.find((row.barn_id, row.id)))
        .set((workload_limit::valid_to.eq(last), workload_limit::version.eq(row.version + 1)))
        .execute(c))?;
    flags::test_again(tx, &[row.horse_id], &[])
}

/// Stores new rows.
pub fn insert(tx: &mut Tx<'_>, rows: &[LimitRow]) -> Result<(), Problem> {
    for row in rows {
        on_each!(tx.conn(), |c| diesel::insert_into(workload_limit::table).values(row).execute(c))?;
    }
    Ok(())
}
