//! The rows of revisions.
use super::check;
use super::layout::Layout;
use super::rows::ExerciseRow;
use super::wire::{RevisionIn, RevisionNumber, RevisionOut, RevisionQuery};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::arenas;
use crate::db::conn::AnyConn;
use crate::db::schema::{exercise, exercise_revision};
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::leaf::Count;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Barn, Exercise, Id, Person};
use stridewright_core::stride::Pair as Level;
use stridewright_core::units::Centimetres;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = exercise_revision, treat_none_as_default_value = false)]
pub struct RevisionRow {
    pub barn_id: Id<Barn>,
    pub exercise_id: Id<Exercise>,
    pub revision: i32,
    pub arena_id: Option<Id<Arena>>,
    pub level: Coded<Level>,
    pub layout: AsJson<Layout>,
    pub efforts: i32,
    pub pole_passes: i32,
    pub height_cm: i32,
    pub created_by: Id<Person>,
    pub created_at: Instant,
}

/// The row of one revision.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, exercise: Id<Exercise>, n: i32) -> QueryResult<Option<RevisionRow>> {
    on_each!(c, |c| exercise_revision::table
        .find((barn, exercise, n))
        .select(RevisionRow::as_select())
        .first(c)
        .optional())
}

/// The revision as its readers see it.
pub fn show(row: RevisionRow) -> Result<RevisionOut, Problem> {
    let internal = || Problem::new(Kind::Internal);
    let count = |n: i32| Count::try_from(i64::from(n)).map_err(|_| internal());
    let height = u16::try_from(row.height_cm).map_err(|_| internal())?;
    Ok(RevisionOut {
        exercise_id: row.exercise_id,
        revision: RevisionNumber::try_from(i64::from(row.revision)).map_err(|_| internal())?,
        arena_id: row.arena_id,
        level: row.level.0,
        fences: row.layout.0.fences,
        lines: row.layout.0.lines,
        efforts: count(row.efforts)?,
        pole_passes: count(row.pole_passes)?,
        height_cm: Centimetres::new(height).map_err(|_| internal())?,
        created_by: row.created_by,
        created_at: row.created_at,
    })
}

/// A page of the revisions of an exercise, the first one first.
pub fn page(look: &mut Look<'_>, of: &ExerciseRow, query: &RevisionQuery) -> Result<Page<RevisionOut>, Problem> {
    let size = query.limit.unwrap_or_default();
    let after: i32 = query.cursor.as_ref().map(Cursor::key).transpose()?.unwrap_or(0);
    let rows: Vec<RevisionRow> = on_each!(look.conn(), |c| exercise_revision::table
        .filter(exercise_revision::barn_id.eq(of.barn_id).and(exercise_revision::exercise_id.eq(of.id)))
        .filter(exercise_revision::revision.gt(after))
        .select(RevisionRow::as_select())
        .order(exercise_revision::revision)
        .limit(size.one_more())
        .load(c))?;
    Rows::cut(rows, size, |row| row.revision).show(show)
}

/// A new revision as it will be stored, or every fault of it; `at` points to it in the body.
pub fn judged(
    tx: &mut Tx<'_>,
    exercise_id: Id<Exercise>,
    revision: i32,
    new: RevisionIn,
    at: &str,
) -> Result<RevisionRow, Problem> {
    let barn_id = tx.who.barn_id;
    let arena = match new.arena_id {
        Some(id) => Some(arenas::rows::named(tx.conn(), barn_id, id, &format!("{at}/arena_id"))?),
        None => None,
    };
    let layout = Layout { fences: new.fences, lines: new.lines.unwrap_or_default() };
    let faults = check::faults(&layout, arena.map(|arena| (arena.length_m, arena.width_m)), at);
    if !faults.is_empty() {
        return Err(Problem::new(Kind::AtOdds).with_errors(faults));
    }
    let go = layout.one_go();
    let whole = |n: u32| i32::try_from(n).map_err(|_| Problem::new(Kind::Internal));
    Ok(RevisionRow {
        barn_id,
        exercise_id,
        revision,
        arena_id: new.arena_id,
        level: Coded(new.level),
        layout: AsJson(layout.completed()),
        efforts: whole(go.efforts)?,
        pole_passes: whole(go.pole_passes)?,
        height_cm: i32::from(go.height.get()),
        created_by: tx.who.person_id,
        created_at: tx.now,
    })
}

/// Adds a revision to an exercise and answers it.
pub fn add(tx: &mut Tx<'_>, of: &ExerciseRow, new: RevisionIn) -> Result<RevisionRow, Problem> {
    arenas::rows::still_used(of.removed_at)?;
    let row = judged(tx, of.id, of.latest_revision + 1, new, "")?;
    insert(tx.conn(), &row)?;
    on_each!(tx.conn(), |c| diesel::update(exercise::table.find((of.barn_id, of.id)))
        .set((exercise::latest_revision.eq(row.revision), exercise::version.eq(of.version + 1)))
        .execute(c))?;
    Ok(row)
}

/// Stores a revision.
pub fn insert(c: &mut AnyConn, row: &RevisionRow) -> QueryResult<usize> {
    on_each!(c, |c| diesel::insert_into(exercise_revision::table).values(row).execute(c))
}
