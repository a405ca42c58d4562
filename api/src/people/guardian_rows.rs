//! The rows of guardians.
use super::rows::PersonRow;
use super::wire::{GuardianOut, GuardianQuery};
use crate::access::read::Look;
use crate::db::conn::AnyConn;
use crate::db::schema::{guardian, person};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Id, Person};

/// The most wards of one guardian.
pub const MOST: i64 = 50;

/// Makes the adult a guardian of the minor; nothing happens where they are.
pub fn add(c: &mut AnyConn, minor: &PersonRow, adult: &PersonRow, now: Instant) -> Result<(), Problem> {
    let wards: i64 = on_each!(c, |c| guardian::table
        .filter(guardian::barn_id.eq(adult.barn_id).and(guardian::guardian_id.eq(adult.id)))
        .count()
        .get_result(c))?;
    if wards >= MOST {
        return Err(Problem::new(Kind::WrongState).with_detail(format!("One may be guardian of at most {MOST}.")));
    }
    let values = (
        guardian::barn_id.eq(minor.barn_id),
        guardian::minor_id.eq(minor.id),
        guardian::guardian_id.eq(adult.id),
        guardian::created_at.eq(now),
    );
    on_each!(c, |c| diesel::insert_into(guardian::table).values(values).on_conflict_do_nothing().execute(c))?;
    Ok(())
}

/// A guardian of a minor.
#[derive(Debug, Clone, Queryable)]
pub struct GuardianRow {
    pub barn_id: Id<Barn>,
    pub minor_id: Id<Person>,
    pub guardian_id: Id<Person>,
    pub created_at: Instant,
    pub name: String,
}

impl GuardianRow {
    pub fn show(self) -> Result<GuardianOut, Problem> {
        let name = self.name.try_into().map_err(|_| Problem::new(Kind::Internal))?;
        Ok(GuardianOut { guardian_id: self.guardian_id, name, created_at: self.created_at })
    }
}

/// The row, where the guardian is in the barn.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, minor: Id<Person>, adult: Id<Person>) -> QueryResult<Option<GuardianRow>> {
    on_each!(c, |c| guardian::table
        .find((barn, minor, adult))
        .inner_join(person::table.on(person::barn_id.eq(guardian::barn_id).and(person::id.eq(guardian::guardian_id))))
        .filter(person::removed_at.is_null())
        .select((guardian::barn_id, guardian::minor_id, guardian::guardian_id, guardian::created_at, person::name))
        .first(c)
        .optional())
}

/// A page of a minor's guardians, in the order of their ids.
pub fn page(look: &mut Look<'_>, minor: Id<Person>, query: &GuardianQuery) -> Result<Page<GuardianOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<Person>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<GuardianRow> = on_each!(look.conn(), |c| {
        let mut rows = guardian::table
            .filter(guardian::barn_id.eq(barn).and(guardian::minor_id.eq(minor)))
            .inner_join(
                person::table.on(person::barn_id.eq(guardian::barn_id).and(person::id.eq(guardian::guardian_id))),
            )
            .filter(person::removed_at.is_null())
            .select((guardian::barn_id, guardian::minor_id, guardian::guardian_id, guardian::created_at, person::name))
            .order(guardian::guardian_id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(guardian::guardian_id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.guardian_id).show(GuardianRow::show)
}

/// Ends it. Who was guardian of whom stays in the audit log.
pub fn end(c: &mut AnyConn, row: &GuardianRow) -> QueryResult<()> {
    on_each!(c, |c| diesel::delete(guardian::table.find((row.barn_id, row.minor_id, row.guardian_id))).execute(c))?;
    Ok(())
}
