//! The rows of pairings.
use super::wire::{AllPairingQuery, PairingIn, PairingOut, PairingPatch};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::booking::flags;
use crate::db::conn::AnyConn;
use crate::db::schema::{horse, pairing};
use crate::db::types::Coded;
use crate::on_each;
use crate::people::rows as people;
use crate::problem::Problem;
use crate::wire::page::{Cursor, Page, Rows};
use crate::workload::limits::rows::height;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Horse, Id, Pairing, Person};
use stridewright_core::stride::Pair as Level;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = pairing, treat_none_as_default_value = false)]
pub struct PairingRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Pairing>,
    pub horse_id: Id<Horse>,
    pub rider_id: Id<Person>,
    pub level: Coded<Level>,
    pub up_to_height_cm: i32,
    pub ended_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

impl PairingRow {
    pub fn show(&self) -> Result<PairingOut, Problem> {
        Ok(PairingOut {
            id: self.id,
            horse_id: self.horse_id,
            rider_id: self.rider_id,
            level: self.level.0,
            up_to_height_cm: height(self.up_to_height_cm)?,
            created_at: self.created_at,
        })
    }
}

/// The row, where it is the horse's and not ended.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>, id: Id<Pairing>) -> QueryResult<Option<PairingRow>> {
    on_each!(c, |c| pairing::table
        .find((barn, id))
        .filter(pairing::horse_id.eq(horse).and(pairing::ended_at.is_null()))
        .select(PairingRow::as_select())
        .first(c)
        .optional())
}

/// The row by its id alone, where it is not ended.
pub fn by_id(c: &mut AnyConn, barn: Id<Barn>, id: Id<Pairing>) -> QueryResult<Option<PairingRow>> {
    on_each!(c, |c| pairing::table
        .find((barn, id))
        .filter(pairing::ended_at.is_null())
        .select(PairingRow::as_select())
        .first(c)
        .optional())
}

/// A page of those that hold and that the caller may know of, in the order of their ids: their own, those of
/// the horses they own, and for trainers all.
pub fn page(look: &mut Look<'_>, of: Option<Id<Horse>>, query: &AllPairingQuery) -> Result<Page<PairingOut>, Problem> {
    let (who, size) = (look.who, query.limit.unwrap_or_default());
    let after: Option<Id<Pairing>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<PairingRow> = on_each!(look.conn(), |c| {
        let mut rows = pairing::table
            .inner_join(horse::table.on(horse::barn_id.eq(pairing::barn_id).and(horse::id.eq(pairing::horse_id))))
            .filter(pairing::barn_id.eq(who.barn_id).and(pairing::ended_at.is_null()).and(horse::removed_at.is_null()))
            .select(PairingRow::as_select())
            .order(pairing::id)
            .limit(size.one_more())
            .into_boxed();
        if !who.roles.trainer {
            let own = who.own_people();
            rows = rows.filter(pairing::rider_id.eq_any(own).or(pairing::horse_id.eq_any(who.owned_as_owner())));
        }
        if let Some(horse) = of {
            rows = rows.filter(pairing::horse_id.eq(horse));
        }
        if let Some(rider) = query.rider_id {
            rows = rows.filter(pairing::rider_id.eq(rider));
        }
        if let Some(after) = after {
            rows = rows.filter(pairing::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| row.show())
}

/// Stores a new one; one rider is paired with a horse once.
pub fn create(tx: &mut Tx<'_>, horse_id: Id<Horse>, new: &PairingIn) -> Result<PairingRow, Problem> {
    let barn_id = tx.who.barn_id;
    let person = people::find(tx.conn(), barn_id, new.rider_id)?
        .ok_or_else(|| Problem::unknown_reference("/rider_id", "person"))?;
    if !person.rider {
        return Err(Problem::at_odds("/rider_id", "must be somebody with the role rider"));
    }
    let row = PairingRow {
        barn_id,
        id: new.id.unwrap_or_else(|| tx.app.new_id()),
        horse_id,
        rider_id: new.rider_id,
        level: Coded(new.level),
        up_to_height_cm: new.up_to_height_cm.get().into(),
        ended_at: None,
        version: 1,
        created_at: tx.now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(pairing::table).values(&row).execute(c))?;
    flags::test_again(tx, &[horse_id], &[row.rider_id])?;
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: PairingRow, patch: PairingPatch) -> Result<PairingRow, Problem> {
    let PairingPatch { level, up_to_height_cm } = patch;
    let row = PairingRow {
        level: Coded(level.or(row.level.0)),
        up_to_height_cm: up_to_height_cm.into_option().map_or(row.up_to_height_cm, |h| h.get().into()),
        version: row.version + 1,
        ..row
    };
    on_each!(tx.conn(), |c| diesel::update(pairing::table.find((row.barn_id, row.id)))
        .set((
            pairing::level.eq(row.level),
            pairing::up_to_height_cm.eq(row.up_to_height_cm),
            pairing::version.eq(row.version),
        ))
        .execute(c))?;
    flags::test_again(tx, &[row.horse_id], &[row.rider_id])?;
    Ok(row)
}

/// Ends it.
pub fn end(tx: &mut Tx<'_>, row: &PairingRow) -> Result<(), Problem> {
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(pairing::table.find((row.barn_id, row.id)))
        .set((pairing::ended_at.eq(now), pairing::version.eq(row.version + 1)))
        .execute(c))?;
    flags::test_again(tx, &[row.horse_id], &[row.rider_id])
}

/// Whether the rider is paired with the horse.
pub fn is_paired(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>, rider: Id<Person>) -> QueryResult<bool> {
    let found: i64 = on_each!(c, |c| pairing::table
        .filter(pairing::barn_id.eq(barn).and(pairing::horse_id.eq(horse)).and(pairing::rider_id.eq(rider)))
        .filter(pairing::ended_at.is_null())
        .count()
        .get_result(c))?;
    Ok(found > 0)
}
