//! The rows of exercises.
use super::revision_rows::{self, RevisionRow};
use super::wire::{ExerciseIn, ExerciseOut, ExercisePatch, ExerciseQuery};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::arenas::rows::{Use, free_of_sessions, still_used};
use crate::db::conn::AnyConn;
use crate::db::schema::{exercise, exercise_revision};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::text::{Note, Title};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Exercise, Id};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = exercise, treat_none_as_default_value = false)]
pub struct ExerciseRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Exercise>,
    pub name: String,
    /// Empty where nobody said.
    pub purpose: String,
    pub latest_revision: i32,
    pub removed_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

/// The row; a removed exercise can still be read, for what was ridden.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Exercise>) -> QueryResult<Option<ExerciseRow>> {
    on_each!(c, |c| exercise::table.find((barn, id)).select(ExerciseRow::as_select()).first(c).optional())
}

/// The exercise as its readers see it, with its latest revision.
pub fn show(c: &mut AnyConn, row: ExerciseRow) -> Result<ExerciseOut, Problem> {
    let latest = revision_rows::find(c, row.barn_id, row.id, row.latest_revision)?;
    shown(row, latest.ok_or_else(|| Problem::new(Kind::Internal))?)
}

fn shown(row: ExerciseRow, latest: RevisionRow) -> Result<ExerciseOut, Problem> {
    Ok(ExerciseOut {
        id: row.id,
        name: row.name.try_into().map_err(|_| Problem::new(Kind::Internal))?,
        purpose: Note::try_from(row.purpose).ok(),
        revision: revision_rows::show(latest)?,
        removed_at: row.removed_at,
        created_at: row.created_at,
    })
}

/// A page of the exercises in use, in the order of their ids.
pub fn page(look: &mut Look<'_>, query: &ExerciseQuery) -> Result<Page<ExerciseOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<Exercise>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<(ExerciseRow, RevisionRow)> = on_each!(look.conn(), |c| {
        let mut rows = exercise::table
            .inner_join(
                exercise_revision::table.on(exercise_revision::barn_id
                    .eq(exercise::barn_id)
                    .and(exercise_revision::exercise_id.eq(exercise::id))
                    .and(exercise_revision::revision.eq(exercise::latest_revision))),
            )
            .filter(exercise::barn_id.eq(barn).and(exercise::removed_at.is_null()))
            .select((ExerciseRow::as_select(), RevisionRow::as_select()))
            .order(exercise::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(exercise::id.gt(after));
        }
        if let Some(arena) = query.arena_id {
            rows = rows.filter(exercise_revision::arena_id.eq(arena));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |(row, _)| row.id).show(|(row, latest)| shown(row, latest))
}

/// Stores a new exercise with its first revision and answers its row.
pub fn create(tx: &mut Tx<'_>, new: ExerciseIn) -> Result<ExerciseRow, Problem> {
    let row = ExerciseRow {
        barn_id: tx.who.barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        name: new.name.into_string(),
        purpose: new.purpose.map(Note::into_string).unwrap_or_default(),
        latest_revision: 1,
        removed_at: None,
        version: 1,
        created_at: tx.now,
    };
    let first = revision_rows::judged(tx, row.id, 1, new.revision, "/revision")?;
    on_each!(tx.conn(), |c| diesel::insert_into(exercise::table).values(&row).execute(c))?;
    revision_rows::insert(tx.conn(), &first)?;
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: ExerciseRow, patch: ExercisePatch) -> Result<ExerciseRow, Problem> {
    still_used(row.removed_at)?;
    let purpose = patch.purpose.or(Note::try_from(row.purpose).ok());
    let row = ExerciseRow {
        name: patch.name.into_option().map_or(row.name, Title::into_string),
        purpose: purpose.map(Note::into_string).unwrap_or_default(),
        version: row.version + 1,
        ..row
    };
    on_each!(tx.conn(), |c| diesel::update(exercise::table.find((row.barn_id, row.id)))
        .set((exercise::name.eq(&row.name), exercise::purpose.eq(&row.purpose), exercise::version.eq(row.version)))
        .execute(c))?;
    Ok(row)
}

/// Takes the exercise out of use.
pub fn remove(tx: &mut Tx<'_>, row: &ExerciseRow) -> Result<(), Problem> {
    still_used(row.removed_at)?;
    free_of_sessions(tx, Use::Exercise(row.id))?;
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(exercise::table.find((row.barn_id, row.id)))
        .set((exercise::removed_at.eq(now), exercise::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}
