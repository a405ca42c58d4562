//! The rows of ownerships.
use super::wire::{OwnershipIn, OwnershipKind, OwnershipOut, OwnershipQuery};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::db::schema::ownership;
use crate::db::types::Coded;
use crate::on_each;
use crate::people::rows as people;
use crate::problem::Problem;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Horse, Id, Ownership, Person};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = ownership, treat_none_as_default_value = false)]
pub struct OwnershipRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Ownership>,
    pub horse_id: Id<Horse>,
    pub person_id: Id<Person>,
    pub kind: Coded<OwnershipKind>,
    pub ended_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

impl OwnershipRow {
    pub const fn show(&self) -> OwnershipOut {
        OwnershipOut {
            id: self.id,
            horse_id: self.horse_id,
            person_id: self.person_id,
            kind: self.kind.0,
            created_at: self.created_at,
        }
    }
}

/// The row, where it is the horse's and not ended.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>, id: Id<Ownership>) -> QueryResult<Option<OwnershipRow>> {
    on_each!(c, |c| ownership::table
        .find((barn, id))
        .filter(ownership::horse_id.eq(horse).and(ownership::ended_at.is_null()))
        .select(OwnershipRow::as_select())
        .first(c)
        .optional())
}

/// A page of those that hold, in the order of their ids.
pub fn page(look: &mut Look<'_>, horse: Id<Horse>, query: &OwnershipQuery) -> Result<Page<OwnershipOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<Ownership>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<OwnershipRow> = on_each!(look.conn(), |c| {
        let mut rows = ownership::table
            .filter(ownership::barn_id.eq(barn).and(ownership::horse_id.eq(horse)).and(ownership::ended_at.is_null()))
            .select(OwnershipRow::as_select())
            .order(ownership::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(ownership::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| Ok(row.show()))
}

/// Stores a new one; one person owns a horse once.
pub fn create(tx: &mut Tx<'_>, horse_id: Id<Horse>, new: &OwnershipIn) -> Result<OwnershipRow, Problem> {
    let barn_id = tx.who.barn_id;
    let person = people::find(tx.conn(), barn_id, new.person_id)?
        .ok_or_else(|| Problem::unknown_reference("/person_id", "person"))?;
    if !person.owner {
        return Err(Problem::at_odds("/person_id", "must be somebody with the role owner"));
    }
    let row = OwnershipRow {
        barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        horse_id,
        person_id: new.person_id,
        kind: Coded(new.kind),
        ended_at: None,
        version: 1,
        created_at: tx.now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(ownership::table).values(&row).execute(c))?;
    Ok(row)
}

/// Ends it; the limits an owner set stay.
pub fn end(tx: &mut Tx<'_>, row: &OwnershipRow) -> Result<(), Problem> {
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(ownership::table.find((row.barn_id, row.id)))
        .set((ownership::ended_at.eq(now), ownership::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}
