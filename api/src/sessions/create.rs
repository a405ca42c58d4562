//! Making sessions and entries: a trainer's are booked, a rider's requested.
use super::entities::Whole;
use super::entry_rows::{self, EntryRow};
use super::entry_wire::EntryIn;
use super::rows::{self, SessionRow};
use super::wire::{SessionIn, SessionKind, SessionStatus};
use crate::access::write::Tx;
use crate::booking::against::{Against, Made};
use crate::booking::confirm::{Leave, confirm};
use crate::booking::{flags, occupy, references};
use crate::db::types::{AsJson, Coded};
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use crate::wire::leaf::Count;
use crate::wire::text::{Note, Reason};
use stridewright_core::ids::{Entry, Horse, Id, Person};
use stridewright_core::workload::Status;

/// Makes a session with its entries, or says everything that is wrong with it.
pub fn session(tx: &mut Tx<'_>, wire: SessionIn) -> Result<Whole, Problem> {
    let trainer = tx.who.roles.trainer;
    let entries = wire.entries.map(|list| list.0).unwrap_or_default();
    let mut errors = Vec::new();
    let revision = references::revision(tx, wire.exercise_id, wire.revision.map(|r| r.get()), &mut errors)?;
    let row = SessionRow {
        barn_id: tx.who.barn_id,
        id: wire.id.unwrap_or_else(|| tx.app.new_id()),
        kind: Coded(wire.kind),
        title: wire.title.into_string(),
        arena_id: wire.arena_id,
        trainer_id: wire.trainer_id,
        fence_set_id: wire.fence_set_id,
        exercise_id: wire.exercise_id,
        revision,
        adult_id: wire.adult_id,
        starts_at: wire.starts_at,
        ends_at: wire.ends_at,
        places: wire.places.map_or(0, |p| p.get()),
        status: Coded(if trainer { SessionStatus::Booked } else { SessionStatus::Requested }),
        note: wire.note.map(Note::into_string),
        created_by: tx.who.person_id,
        version: 1,
        created_at: tx.now,
    };
    references::check_session(tx, &row, &mut errors)?;
    if !trainer {
        errors.extend(rider_may_ask(tx, &row, entries.len()));
    }
    for (n, entry) in entries.iter().enumerate() {
        errors.extend(check_entry(tx, &row, entry, &format!("/entries/{n}"))?);
    }
    Problem::unless_fit(errors)?;
    rows::insert(tx.conn(), &row)?;
    let mut whole = Whole { session: row, entries: Vec::new() };
    let mut against = Against::default();
    let wishes = |entry: &EntryIn| entry.confirm.or(wire.confirm).unwrap_or(false);
    if trainer || entries.iter().any(wishes) {
        against.session(tx, &whole, Made::At(""))?;
    }
    for (n, mut wire_entry) in entries.into_iter().enumerate() {
        wire_entry.confirm = wire_entry.confirm.or(wire.confirm);
        enter(tx, &mut whole, wire_entry, &format!("/entries/{n}"), &mut against)?;
    }
    against.refuse(tx)?;
    settle(tx, &whole, &whole.entries)?;
    Ok(whole)
}

/// A rider asks for arena time of their own, ahead, with themselves in it.
fn rider_may_ask(tx: &Tx<'_>, row: &SessionRow, entries: usize) -> Vec<FieldError> {
    let mut errors = Vec::new();
    if row.kind.0 == SessionKind::Appointment {
        errors.push(FieldError::new("/kind", "invalid", "a rider asks for jumping or flat work"));
    }
    if row.places > 0 {
        errors.push(FieldError::new("/places", "invalid", "places for others are a trainer's to give"));
    }
    if entries != 1 {
        errors.push(FieldError::new("/entries", "required", "a rider asks with exactly one entry of their own"));
    }
    if row.starts_at <= tx.now {
        errors.push(FieldError::new("/starts_at", "invalid", "must lie ahead"));
    }
    errors
}

/// Adds an entry to a session that stands.
pub fn entry(tx: &mut Tx<'_>, whole: &mut Whole, wire: EntryIn) -> Result<EntryRow, Problem> {
    Problem::unless_fit(check_entry(tx, &whole.session, &wire, "")?)?;
    if !tx.who.roles.trainer {
        may_join(tx, whole)?;
    }
    // what the session itself holds it holds already
    let mut against = Against::default();
    let id = enter(tx, whole, wire, "", &mut against)?;
    against.refuse(tx)?;
    let row = whole.entries.iter().find(|e| e.id == id).cloned().ok_or_else(|| Problem::new(Kind::Internal))?;
    settle(tx, whole, std::slice::from_ref(&row))?;
    Ok(row)
}

/// What of an entry does not fit, whatever else is booked.
fn check_entry(tx: &mut Tx<'_>, session: &SessionRow, wire: &EntryIn, at: &str) -> Result<Vec<FieldError>, Problem> {
    let mut errors = check_pair(tx, session, wire.horse_id, wire.rider_id, at)?;
    if wire.override_reason.is_some() && !tx.who.roles.trainer {
        errors.push(FieldError::new(format!("{at}/override_reason"), "invalid", "is a trainer's to give"));
    }
    let number = |count: &Option<Count>| count.as_ref().map_or(0, |c| c.get());
    errors.extend(check_plan(session, number(&wire.planned_efforts), number(&wire.planned_pole_passes), at));
    if wire.planned_efforts.is_none() && session.kind.0 == SessionKind::Jumping && session.exercise_id.is_none() {
        let rule = "is required where no exercise says it; 0 for none";
        errors.push(FieldError::new(format!("{at}/planned_efforts"), "required", rule));
    }
    Ok(errors)
}

/// Enters horse and rider, who were checked: booked, requested, or with what speaks against it in `against`.
fn enter(
    tx: &mut Tx<'_>,
    whole: &mut Whole,
    wire: EntryIn,
    at: &str,
    against: &mut Against,
) -> Result<Id<Entry>, Problem> {
    let number = |count: Option<Count>| count.map_or(0, Count::get);
    let height = wire.planned_height_cm.map(|h| i32::from(h.get()));
    // one go of the exercise, or a horse that nobody counted for would pass every limit
    let one_go = match wire.planned_efforts {
        None => references::one_go_of(tx, &whole.session)?,
        Some(_) => None,
    };
    let (efforts, height, poles) = match one_go {
        Some((efforts, poles, highest)) => {
            (efforts, height.or(Some(highest)), wire.planned_pole_passes.map_or(poles, Count::get))
        }
        None => (number(wire.planned_efforts), height, number(wire.planned_pole_passes)),
    };
    let row = EntryRow {
        barn_id: tx.who.barn_id,
        id: wire.id.unwrap_or_else(|| tx.app.new_id()),
        session_id: whole.session.id,
        horse_id: wire.horse_id,
        rider_id: wire.rider_id,
        status: Coded(Status::Requested),
        planned_efforts: efforts,
        planned_height_cm: height,
        planned_pole_passes: poles,
        asks: AsJson(wire.asks.map(|list| list.0).unwrap_or_default()),
        reason: None,
        override_reason: None,
        overridden: None,
        flags: None,
        closing: None,
        requested_by: tx.who.person_id,
        version: 1,
        created_at: tx.now,
    };
    let there = |e: &EntryRow| e.occupies() || e.status.0 == Status::Requested;
    let twice = |e: &EntryRow| there(e) && (e.horse_id, e.rider_id) == (row.horse_id, row.rider_id);
    if whole.entries.iter().any(twice) {
        return Err(Problem::new(Kind::Conflict).with_detail("This horse and rider are in the session already."));
    }
    let id = row.id;
    entry_rows::insert(tx.conn(), &row)?;
    whole.entries.push(row);
    let reason = wire.override_reason.map(Reason::into_string);
    let leave = if tx.who.roles.trainer {
        Leave::Trainer { override_reason: reason.as_deref() }
    } else if wire.confirm.unwrap_or(false) {
        Leave::Rider
    } else {
        return Ok(id);
    };
    confirm(tx, whole, id, leave, Made::At(at), against)?;
    // the next entry's horse may be the same one
    write(tx, whole, id)?;
    Ok(id)
}

fn write(tx: &mut Tx<'_>, whole: &Whole, id: Id<Entry>) -> Result<(), Problem> {
    let row = whole.entries.iter().find(|e| e.id == id).ok_or_else(|| Problem::new(Kind::Internal))?;
    Ok(entry_rows::update(tx.conn(), row)?)
}

/// Writes a session as it stands, with what it holds, and tests what else the horses and riders of these entries are
/// booked for.
pub fn settle(tx: &mut Tx<'_>, whole: &Whole, entries: &[EntryRow]) -> Result<(), Problem> {
    rows::update(tx.conn(), &whole.session)?;
    occupy::write(tx, whole)?;
    let horses: Vec<_> = entries.iter().filter_map(|e| e.horse_id).collect();
    let riders: Vec<_> = entries.iter().filter_map(|e| e.rider_id).collect();
    flags::test_again(tx, &horses, &riders)
}

/// A rider joins ahead, where there is a place: to have a part in a session gives no leave to add to it.
fn may_join(tx: &Tx<'_>, whole: &Whole) -> Result<(), Problem> {
    let detail = if whole.places_free() == 0 {
        "The session has no place for one more."
    } else if whole.session.starts_at <= tx.now {
        "The session has begun."
    } else {
        return Ok(());
    };
    Err(Problem::new(Kind::WrongState).with_detail(detail))
}

/// Horse and rider are of this barn, and the caller's to enter.
pub fn check_pair(
    tx: &mut Tx<'_>,
    session: &SessionRow,
    horse: Option<Id<Horse>>,
    rider: Option<Id<Person>>,
    at: &str,
) -> Result<Vec<FieldError>, Problem> {
    let (horse_at, rider_at) = (format!("{at}/horse_id"), format!("{at}/rider_id"));
    let mut errors = Vec::new();
    if horse.is_none() && rider.is_none() {
        errors.push(FieldError::new(rider_at, "invalid", "an entry names a horse, a rider, or both"));
        return Ok(errors);
    }
    if let Some(rider) = rider {
        let known = tx.who.roles.trainer || tx.who.is_own(rider);
        let found = if known { references::person_row(tx, rider)? } else { None };
        match found {
            None => errors.push(FieldError::unknown_reference(&rider_at, "person")),
            Some((_, false, _)) if session.kind.0 != SessionKind::Appointment => {
                errors.push(FieldError::new(rider_at, "invalid", "must be a person with the role rider"));
            }
            Some(_) => {}
        }
    } else if !tx.who.roles.trainer {
        let rule = "is required: a rider enters themselves, or a minor they are guardian of";
        errors.push(FieldError::new(rider_at, "invalid", rule));
    }
    if let Some(horse) = horse {
        let known = tx.who.roles.trainer || tx.who.pairs.iter().any(|(h, r)| *h == horse && Some(*r) == rider);
        if !known || !references::horse_is_there(tx, horse)? {
            errors.push(FieldError::unknown_reference(&horse_at, "horse"));
        }
    }
    Ok(errors)
}

/// Where the plan does not fit the kind of the session.
pub fn check_plan(session: &SessionRow, efforts: i32, pole_passes: i32, at: &str) -> Vec<FieldError> {
    let mut errors = Vec::new();
    if session.kind.0 != SessionKind::Jumping && efforts > 0 {
        let rule = "only a jumping session plans jump efforts";
        errors.push(FieldError::new(format!("{at}/planned_efforts"), "invalid", rule));
    }
    if session.kind.0 == SessionKind::Appointment && pole_passes > 0 {
        errors.push(FieldError::new(format!("{at}/planned_pole_passes"), "invalid", "an appointment plans no poles"));
    }
    errors
}
