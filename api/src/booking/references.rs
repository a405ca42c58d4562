//! Whether what a session names is there, and fit for it.
use crate::access::write::Tx;
use crate::db::schema::{arena, exercise, exercise_revision, fence_set, horse, person};
use crate::db::types::Coded;
use crate::on_each;
use crate::people::rows::is_minor;
use crate::problem::Problem;
use crate::sessions::rows::SessionRow;
use crate::sessions::wire::SessionKind;
use diesel::prelude::*;
use stridewright_core::ids::{Exercise, Horse, Id, Person};
use stridewright_core::stride::Pair as Level;

/// A session of at most eight hours; an appointment of at most 31 days.
const LONGEST: i64 = 8 * 3600;
const LONGEST_APPOINTMENT: i64 = 31 * 24 * 3600;

/// Checks all that a session names, with a pointer for each fault.
pub fn check_session(tx: &mut Tx<'_>, row: &SessionRow) -> Result<(), Problem> {
    let appointment = row.kind.0 == SessionKind::Appointment;
    let longest = if appointment { LONGEST_APPOINTMENT } else { LONGEST };
    if row.ends_at <= row.starts_at {
        return Err(Problem::at_odds("/ends_at", "must be later than starts_at"));
    }
    if row.ends_at.micros() - row.starts_at.micros() > longest * 1_000_000 {
        let rule = if appointment { "an appointment lasts at most 31 days" } else { "a session lasts at most 8 hours" };
        return Err(Problem::at_odds("/ends_at", rule));
    }
    if appointment && (row.arena_id.is_some() || row.fence_set_id.is_some() || row.exercise_id.is_some()) {
        return Err(Problem::at_odds("/kind", "an appointment takes no arena, fences or exercise"));
    }
    if !appointment && row.arena_id.is_none() {
        return Err(Problem::at_odds("/arena_id", "is required, but for an appointment"));
    }
    let barn = row.barn_id;
    if let Some(id) = row.arena_id {
        let found: i64 = on_each!(tx.conn(), |c| arena::table
            .find((barn, id))
            .filter(arena::removed_at.is_null())
            .count()
            .get_result(c))?;
        known(found > 0, "/arena_id", "arena")?;
    }
    if let Some(id) = row.fence_set_id {
        let found: i64 = on_each!(tx.conn(), |c| fence_set::table
            .find((barn, id))
            .filter(fence_set::removed_at.is_null())
            .count()
            .get_result(c))?;
        known(found > 0, "/fence_set_id", "fence set")?;
    }
    if let Some(id) = row.trainer_id {
        let found = person_row(tx, id)?;
        known(found.is_some(), "/trainer_id", "person")?;
        if found.is_some_and(|(trainer, ..)| !trainer) {
            return Err(Problem::at_odds("/trainer_id", "must be a person with the role trainer"));
        }
    }
    if let Some(id) = row.adult_id {
        let found = person_row(tx, id)?;
        known(found.is_some(), "/adult_id", "person")?;
        if found.is_some_and(|(_, _, minor)| minor) {
            return Err(Problem::at_odds("/adult_id", "must be an adult"));
        }
    }
    Ok(())
}

fn known(found: bool, pointer: &str, what: &str) -> Result<(), Problem> {
    if found { Ok(()) } else { Err(Problem::unknown_reference(pointer, what)) }
}

/// Trainer, rider, minor; of a person who is in the barn.
pub fn person_row(tx: &mut Tx<'_>, id: Id<Person>) -> Result<Option<(bool, bool, bool)>, Problem> {
    let (barn, today) = (tx.who.barn_id, tx.who.today(tx.now));
    type Columns = (bool, bool, bool, Option<stridewright_core::calendar::Day>);
    let row: Option<Columns> = on_each!(tx.conn(), |c| person::table
        .find((barn, id))
        .filter(person::removed_at.is_null())
        .select((person::trainer, person::rider, person::minor, person::birth_date))
        .first(c)
        .optional())?;
    Ok(row.map(|(trainer, rider, minor, born)| (trainer, rider, is_minor(born, minor, today))))
}

/// Whether the horse is in the barn.
pub fn horse_is_there(tx: &mut Tx<'_>, id: Id<Horse>) -> Result<bool, Problem> {
    let barn = tx.who.barn_id;
    let found: i64 = on_each!(tx.conn(), |c| horse::table
        .find((barn, id))
        .filter(horse::removed_at.is_null())
        .count()
        .get_result(c))?;
    Ok(found > 0)
}

/// The revision to ride and its level: the one named, else the latest.
pub fn revision(tx: &mut Tx<'_>, exercise_id: Id<Exercise>, named: Option<i32>) -> Result<i32, Problem> {
    let barn = tx.who.barn_id;
    let latest: Option<i32> = on_each!(tx.conn(), |c| exercise::table
        .find((barn, exercise_id))
        .filter(exercise::removed_at.is_null())
        .select(exercise::latest_revision)
        .first(c)
        .optional())?;
    let latest = latest.ok_or_else(|| Problem::unknown_reference("/exercise_id", "exercise"))?;
    let wanted = named.unwrap_or(latest);
    if wanted > latest {
        return Err(Problem::unknown_reference("/revision", "revision of the exercise"));
    }
    Ok(wanted)
}

/// The level of a revision.
pub fn level_of(tx: &mut Tx<'_>, row: &SessionRow) -> Result<Option<Level>, Problem> {
    let (Some(exercise), Some(revision)) = (row.exercise_id, row.revision) else { return Ok(None) };
    let level: Option<Coded<Level>> = on_each!(tx.conn(), |c| exercise_revision::table
        .find((row.barn_id, exercise, revision))
        .select(exercise_revision::level)
        .first(c)
        .optional())?;
    Ok(level.map(|l| l.0))
}
