//! Whether what a session names is there, and fit for it.
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::schema::{arena, exercise, exercise_revision, fence_set, horse, person};
use crate::db::types::Coded;
use crate::on_each;
use crate::people::rows::is_minor;
use crate::problem::{FieldError, Problem};
use crate::sessions::rows::SessionRow;
use crate::sessions::wire::SessionKind;
use diesel::prelude::*;
use stridewright_core::ids::{Exercise, Horse, Id, Person};
use stridewright_core::stride::Pair as Level;

/// A session of at most eight hours; an appointment of at most 31 days.
const LONGEST: i64 = 8 * 3600;
const LONGEST_APPOINTMENT: i64 = 31 * 24 * 3600;

/// Checks all that a session names, with a pointer for each fault.
pub fn check_session(tx: &mut Tx<'_>, row: &SessionRow, errors: &mut Vec<FieldError>) -> Result<(), Problem> {
    let appointment = row.kind.0 == SessionKind::Appointment;
    let longest = if appointment { LONGEST_APPOINTMENT } else { LONGEST };
    let mut wrong = |pointer: &str, rule: &str| errors.push(FieldError::new(pointer, "invalid", rule));
    if row.ends_at <= row.starts_at {
        wrong("/ends_at", "must be later than starts_at");
    } else if row.ends_at.micros() - row.starts_at.micros() > longest * 1_000_000 {
        let rule = if appointment { "an appointment lasts at most 31 days" } else { "a session lasts at most 8 hours" };
        wrong("/ends_at", rule);
    }
    if appointment && (row.arena_id.is_some() || row.fence_set_id.is_some() || row.exercise_id.is_some()) {
        wrong("/kind", "an appointment takes no arena, fences or exercise");
    }
    if !appointment && row.arena_id.is_none() {
        wrong("/arena_id", "is required, but for an appointment");
    }
    let barn = row.barn_id;
    if let Some(id) = row.arena_id {
        let found: i64 = on_each!(tx.conn(), |c| arena::table
            .find((barn, id))
            .filter(arena::removed_at.is_null())
            .count()
            .get_result(c))?;
        errors.extend((found == 0).then(|| FieldError::unknown_reference("/arena_id", "arena")));
    }
    if let Some(id) = row.fence_set_id {
        let found: i64 = on_each!(tx.conn(), |c| fence_set::table
            .find((barn, id))
            .filter(fence_set::removed_at.is_null())
            .count()
            .get_result(c))?;
        errors.extend((found == 0).then(|| FieldError::unknown_reference("/fence_set_id", "fence set")));
    }
    if let Some(id) = row.trainer_id {
        match known_person(tx, id)? {
            None => errors.push(FieldError::unknown_reference("/trainer_id", "person")),
            Some((true, ..)) => {}
            Some(_) => errors.push(FieldError::new("/trainer_id", "invalid", "must be a person with the role trainer")),
        }
    }
    if let Some(id) = row.adult_id {
        match known_person(tx, id)? {
            None => errors.push(FieldError::unknown_reference("/adult_id", "person")),
            Some((.., false)) => {}
            Some(_) => errors.push(FieldError::new("/adult_id", "invalid", "must be an adult")),
        }
    }
    Ok(())
}

/// The same, where the caller may know the person: who is not theirs to know is answered like nobody.
fn known_person(tx: &mut Tx<'_>, id: Id<Person>) -> Result<Option<(bool, bool, bool)>, Problem> {
    let found = person_row(tx, id)?;
    Ok(found.filter(|(trainer, ..)| tx.who.roles.trainer || *trainer || tx.who.is_own(id)))
}

/// Trainer, rider, minor; of a person who is in the barn.
pub fn person_row(look: &mut Look<'_>, id: Id<Person>) -> Result<Option<(bool, bool, bool)>, Problem> {
    let (barn, today) = (look.who.barn_id, look.who.today(look.now));
    type Columns = (bool, bool, bool, Option<stridewright_core::calendar::Day>);
    let row: Option<Columns> = on_each!(look.conn(), |c| person::table
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

/// The revision to ride: the one named, else the latest; none without an exercise, or where it does not fit.
pub fn revision(
    tx: &mut Tx<'_>,
    exercise: Option<Id<Exercise>>,
    named: Option<i32>,
    errors: &mut Vec<FieldError>,
) -> Result<Option<i32>, Problem> {
    let Some(id) = exercise else {
        let without = || FieldError::new("/revision", "invalid", "names a revision without its exercise");
        errors.extend(named.map(|_| without()));
        return Ok(None);
    };
    let barn = tx.who.barn_id;
    let latest: Option<i32> = on_each!(tx.conn(), |c| exercise::table
        .find((barn, id))
        .filter(exercise::removed_at.is_null())
        .select(exercise::latest_revision)
        .first(c)
        .optional())?;
    let wanted = named.or(latest);
    if latest.is_none() {
        errors.push(FieldError::unknown_reference("/exercise_id", "exercise"));
    } else if wanted > latest {
        errors.push(FieldError::unknown_reference("/revision", "revision of the exercise"));
    }
    Ok(wanted.filter(|_| wanted <= latest))
}

/// Efforts, pole passes and height of one go of the session's exercise; none without one, and for what is not jumping.
pub fn one_go_of(look: &mut Look<'_>, row: &SessionRow) -> Result<Option<(i32, i32, i32)>, Problem> {
    let (SessionKind::Jumping, Some(exercise), Some(revision)) = (row.kind.0, row.exercise_id, row.revision) else {
        return Ok(None);
    };
    Ok(on_each!(look.conn(), |c| exercise_revision::table
        .find((row.barn_id, exercise, revision))
        .select((exercise_revision::efforts, exercise_revision::pole_passes, exercise_revision::height_cm))
        .first(c)
        .optional())?)
}

/// The level of a revision.
pub fn level_of(look: &mut Look<'_>, row: &SessionRow) -> Result<Option<Level>, Problem> {
    let (Some(exercise), Some(revision)) = (row.exercise_id, row.revision) else { return Ok(None) };
    let level: Option<Coded<Level>> = on_each!(look.conn(), |c| exercise_revision::table
        .find((row.barn_id, exercise, revision))
        .select(exercise_revision::level)
        .first(c)
        .optional())?;
    Ok(level.map(|l| l.0))
}
