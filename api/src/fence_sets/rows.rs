//! The rows of fence sets.
use super::wire::{FenceItems, FenceSetIn, FenceSetOut, FenceSetPatch, FenceSetQuery};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::arenas::rows::{Use, free_of_sessions, still_used};
use crate::db::conn::AnyConn;
use crate::db::schema::fence_set;
use crate::db::types::AsJson;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::text::Name;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, FenceSet, Id};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = fence_set, treat_none_as_default_value = false)]
pub struct FenceSetRow {
    pub barn_id: Id<Barn>,
    pub id: Id<FenceSet>,
    pub name: String,
    pub items: AsJson<FenceItems>,
    pub removed_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

/// The row; a removed fence set can still be read.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<FenceSet>) -> QueryResult<Option<FenceSetRow>> {
    on_each!(c, |c| fence_set::table.find((barn, id)).select(FenceSetRow::as_select()).first(c).optional())
}

/// The fence set as its readers see it.
pub fn show(row: FenceSetRow) -> Result<FenceSetOut, Problem> {
    Ok(FenceSetOut {
        id: row.id,
        name: row.name.try_into().map_err(|_| Problem::new(Kind::Internal))?,
        items: row.items.0,
        removed_at: row.removed_at,
        created_at: row.created_at,
    })
}

/// A page of the fence sets in use, in the order of their ids.
pub fn page(look: &mut Look<'_>, query: &FenceSetQuery) -> Result<Page<FenceSetOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<FenceSet>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<FenceSetRow> = on_each!(look.conn(), |c| {
        let mut rows = fence_set::table
            .filter(fence_set::barn_id.eq(barn).and(fence_set::removed_at.is_null()))
            .select(FenceSetRow::as_select())
            .order(fence_set::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(fence_set::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(show)
}

/// Stores a new fence set and answers its row.
pub fn create(tx: &mut Tx<'_>, new: FenceSetIn) -> Result<FenceSetRow, Problem> {
    let row = FenceSetRow {
        barn_id: tx.who.barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        name: new.name.into_string(),
        items: AsJson(new.items),
        removed_at: None,
        version: 1,
        created_at: tx.now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(fence_set::table).values(&row).execute(c))?;
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: FenceSetRow, patch: FenceSetPatch) -> Result<FenceSetRow, Problem> {
    still_used(row.removed_at)?;
    let row = FenceSetRow {
        name: patch.name.into_option().map_or(row.name, Name::into_string),
        items: AsJson(patch.items.or(row.items.0)),
        version: row.version + 1,
        ..row
    };
    on_each!(tx.conn(), |c| diesel::update(fence_set::table.find((row.barn_id, row.id)))
        .set((fence_set::name.eq(&row.name), fence_set::items.eq(&row.items), fence_set::version.eq(row.version)))
        .execute(c))?;
    Ok(row)
}

/// Takes the fence set out of use.
pub fn remove(tx: &mut Tx<'_>, row: &FenceSetRow) -> Result<(), Problem> {
    still_used(row.removed_at)?;
    free_of_sessions(tx, Use::FenceSet(row.id))?;
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(fence_set::table.find((row.barn_id, row.id)))
        .set((fence_set::removed_at.eq(now), fence_set::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}
