//! Adding, changing and removing people, and what must hold then.
use super::rows::{PersonRow, insert, is_minor, update, wards};
use super::wire::{OwnStep, PersonIn, PersonPatch, to_roles};
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::db::schema::{account, occupancy, ownership, pairing, person};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::rail_links::rows::revoke_all;
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::Name;
use diesel::prelude::*;
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Id, Person, Session};

/// Somebody's age, in years at most.
const OLDEST: i16 = 120;

fn check_birth(born: Day, today: Day) -> Result<(), Problem> {
    if born > today || born.date().year() < today.date().year() - OLDEST {
        return Err(Problem::at_odds("/birth_date", "must lie in the past, at most 120 years back"));
    }
    Ok(())
}

/// Stores a new person.
pub fn create(tx: &mut Tx<'_>, new: PersonIn) -> Result<PersonRow, Problem> {
    let today = tx.who.today(tx.now);
    let said = match (new.birth_date, new.minor) {
        (Some(_), Some(_)) => return Err(Problem::at_odds("/minor", "follows from birth_date; leave it out")),
        (_, minor) => minor.unwrap_or(false),
    };
    if let Some(born) = new.birth_date {
        check_birth(born, today)?;
    }
    let (id, roles) = (new.id.unwrap_or_else(|| tx.app.new_id()), to_roles(&new.roles.0));
    let row = PersonRow {
        birth_date: new.birth_date,
        minor: is_minor(new.birth_date, said, today),
        step_m: new.step_m.map(OwnStep::get),
        ..PersonRow::new(tx.who.barn_id, id, None, new.name.into_string(), roles, tx.now)
    };
    insert(tx.conn(), &row)?;
    Ok(row)
}

/// Applies a change and answers the new row.
pub fn change(tx: &mut Tx<'_>, row: PersonRow, patch: PersonPatch) -> Result<PersonRow, Problem> {
    let PersonPatch { name, roles, birth_date, minor, step_m } = patch;
    if !tx.who.roles.trainer {
        let fields = [
            ("/roles", roles != Patch::Keep),
            ("/birth_date", birth_date != PatchNull::Keep),
            ("/minor", minor != Patch::Keep),
        ];
        if let Some((pointer, _)) = fields.into_iter().find(|(_, touched)| *touched) {
            return Err(Problem::field(Kind::Forbidden, pointer, "forbidden", "is for a trainer to change"));
        }
    }
    let today = tx.who.today(tx.now);
    if let PatchNull::Set(born) = birth_date {
        check_birth(born, today)?;
    }
    let birth_date = birth_date.or(row.birth_date);
    if birth_date.is_some() && minor != Patch::Keep {
        return Err(Problem::at_odds("/minor", "follows from birth_date; leave it out"));
    }
    let roles = roles.into_option().map_or_else(|| to_roles(&row.roles()), |list| to_roles(&list.0));
    let step_m = match step_m {
        PatchNull::Keep => row.step_m,
        PatchNull::Clear => None,
        PatchNull::Set(step) => Some(step.get()),
    };
    if row.trainer && !roles.trainer {
        require_another_trainer(tx.conn(), &row)?;
        let now = tx.now;
        revoke_all(tx.conn(), row.barn_id, row.id, now)?;
    }
    let was_minor = row.is_minor(today);
    let changed = PersonRow {
        name: name.into_option().map_or(row.name, Name::into_string),
        trainer: roles.trainer,
        rider: roles.rider,
        owner: roles.owner,
        birth_date,
        minor: is_minor(birth_date, minor.or(row.minor), today),
        step_m,
        ..row
    };
    if changed.minor && !was_minor && !wards(tx.conn(), changed.barn_id, changed.id, today)?.is_empty() {
        let detail = "Somebody who is guardian of a minor must be an adult: end that first.";
        return Err(Problem::new(Kind::WrongState).with_detail(detail));
    }
    Ok(update(tx.conn(), changed)?)
}

/// Removes the person from the barn, with their ownerships and pairings.
pub fn remove(tx: &mut Tx<'_>, row: PersonRow) -> Result<(), Problem> {
    if row.trainer {
        require_another_trainer(tx.conn(), &row)?;
    }
    let (barn, id, now) = (row.barn_id, row.id, tx.now);
    revoke_all(tx.conn(), barn, id, now)?;
    on_each!(tx.conn(), |c| {
        diesel::update(ownership::table)
            .filter(ownership::barn_id.eq(barn).and(ownership::person_id.eq(id)).and(ownership::ended_at.is_null()))
            .set((ownership::ended_at.eq(now), ownership::version.eq(ownership::version + 1)))
            .execute(c)?;
        diesel::update(pairing::table)
            .filter(pairing::barn_id.eq(barn).and(pairing::rider_id.eq(id)).and(pairing::ended_at.is_null()))
            .set((pairing::ended_at.eq(now), pairing::version.eq(pairing::version + 1)))
            .execute(c)
    })?;
    update(tx.conn(), PersonRow { removed_at: Some(now), ..row })?;
    crate::booking::leaving::cancel_ahead(tx, id)?;
    not_needed(tx, id)
}

/// Whoever teaches or stands on the ground in a session that is not over is not taken from under it: what they
/// still hold when their rides ahead are cancelled.
fn not_needed(tx: &mut Tx<'_>, id: Id<Person>) -> Result<(), Problem> {
    let (barn, id, now) = (tx.who.barn_id, Id::<Session>::new(id.uuid()), tx.now);
    let booked: i64 = on_each!(tx.conn(), |c| occupancy::table
        .filter(occupancy::barn_id.eq(barn).and(occupancy::kind.eq("person")).and(occupancy::resource_id.eq(id)))
        .filter(occupancy::ends_at.gt(now))
        .count()
        .get_result(c))?;
    if booked == 0 {
        return Ok(());
    }
    let detail = format!(
        "Sessions that are not over need this person ({booked}): name another or cancel them first. \
                          Without roles they are shut out at once."
    );
    Err(Problem::new(Kind::WrongState).with_detail(detail))
}

/// A barn keeps a trainer who can sign in.
fn require_another_trainer(c: &mut AnyConn, row: &PersonRow) -> Result<(), Problem> {
    if row.account_id.is_none() {
        return Ok(());
    }
    let others: i64 = on_each!(c, |c| person::table
        .inner_join(account::table.on(person::account_id.eq(account::id.nullable())))
        .filter(person::barn_id.eq(row.barn_id).and(person::id.ne(row.id)))
        .filter(person::trainer.and(person::removed_at.is_null()).and(account::disabled_at.is_null()))
        .count()
        .get_result(c))?;
    if others == 0 { Err(Problem::new(Kind::LastTrainer)) } else { Ok(()) }
}
