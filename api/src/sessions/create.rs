//! Making sessions and entries: a trainer's are booked, a rider's requested.
use super::entities::Whole;
use super::entry_rows::{self, EntryRow};
use super::entry_wire::EntryIn;
use super::rows::{self, SessionRow};
use super::wire::{SessionIn, SessionKind, SessionStatus};
use crate::access::write::Tx;
use crate::booking::confirm::{Leave, confirm, session_is_free};
use crate::booking::{flags, occupy, references};
use crate::db::types::{AsJson, Coded};
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use crate::wire::leaf::Count;
use crate::wire::text::{Note, Reason};
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::workload::Status;

/// Makes a session with its entries.
pub fn session(tx: &mut Tx<'_>, wire: SessionIn) -> Result<Whole, Problem> {
    let trainer = tx.who.roles.trainer;
    let entries = wire.entries.map(|list| list.0).unwrap_or_default();
    let revision = match (wire.exercise_id, wire.revision) {
        (Some(exercise), named) => Some(references::revision(tx, exercise, named.map(|r| r.get()))?),
        (None, Some(_)) => return Err(Problem::at_odds("/revision", "names a revision without its exercise")),
        (None, None) => None,
    };
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
    references::check_session(tx, &row)?;
    if !trainer {
        rider_may_ask(tx, &row, entries.len())?;
    }
    rows::insert(tx.conn(), &row)?;
    let mut whole = Whole { session: row, entries: Vec::new() };
    session_is_free(tx, &whole)?;
    occupy::write(tx, &whole)?;
    for (n, mut wire_entry) in entries.into_iter().enumerate() {
        wire_entry.confirm = wire_entry.confirm.or(wire.confirm);
        entry(tx, &mut whole, wire_entry, &format!("/entries/{n}"))?;
    }
    Ok(whole)
}

/// A rider asks for arena time of their own, ahead, with themselves in it.
fn rider_may_ask(tx: &Tx<'_>, row: &SessionRow, entries: usize) -> Result<(), Problem> {
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
    if errors.is_empty() { Ok(()) } else { Err(Problem::new(Kind::AtOdds).with_errors(errors)) }
}

/// Adds an entry to a session; `at` is the pointer of its body.
pub fn entry(tx: &mut Tx<'_>, whole: &mut Whole, wire: EntryIn, at: &str) -> Result<EntryRow, Problem> {
    let trainer = tx.who.roles.trainer;
    check_pair(tx, &whole.session, wire.horse_id, wire.rider_id, at)?;
    if wire.override_reason.is_some() && !trainer {
        return Err(Problem::at_odds(&format!("{at}/override_reason"), "is a trainer's to give"));
    }
    let number = |count: Option<Count>| count.map_or(0, Count::get);
    let row = EntryRow {
        barn_id: tx.who.barn_id,
        id: wire.id.unwrap_or_else(|| tx.app.new_id()),
        session_id: whole.session.id,
        horse_id: wire.horse_id,
        rider_id: wire.rider_id,
        status: Coded(Status::Requested),
        planned_efforts: number(wire.planned_efforts),
        planned_height_cm: wire.planned_height_cm.map(|h| i32::from(h.get())),
        planned_pole_passes: number(wire.planned_pole_passes),
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
    check_plan(&whole.session, &row, at)?;
    if !trainer && whole.session.status.0 != SessionStatus::Requested {
        may_join(tx, whole)?;
    }
    let there = |e: &EntryRow| e.occupies() || e.status.0 == Status::Requested;
    let twice = |e: &EntryRow| there(e) && (e.horse_id, e.rider_id) == (row.horse_id, row.rider_id);
    if whole.entries.iter().any(twice) {
        return Err(Problem::new(Kind::Conflict).with_detail("This horse and rider are in the session already."));
    }
    let id = row.id;
    whole.entries.push(row.clone());
    entry_rows::insert(tx.conn(), &row)?;
    let reason = wire.override_reason.map(Reason::into_string);
    let leave = if trainer {
        Some(Leave::Trainer { override_reason: reason.as_deref() })
    } else {
        wire.confirm.unwrap_or(false).then_some(Leave::Rider)
    };
    if let Some(leave) = leave {
        confirm(tx, whole, id, leave)?;
        store(tx, whole, id)?;
    }
    whole.entries.iter().find(|e| e.id == id).cloned().ok_or_else(|| Problem::new(Kind::Internal))
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

/// Writes a confirmed entry, its session and what they hold.
pub fn store(tx: &mut Tx<'_>, whole: &Whole, id: Id<stridewright_core::ids::Entry>) -> Result<(), Problem> {
    let Some(row) = whole.entries.iter().find(|e| e.id == id) else { return Err(Problem::new(Kind::Internal)) };
    entry_rows::update(tx.conn(), row)?;
    rows::update(tx.conn(), &whole.session)?;
    occupy::write(tx, whole)?;
    let (horses, riders): (Vec<_>, Vec<_>) = (row.horse_id.into_iter().collect(), row.rider_id.into_iter().collect());
    flags::test_again(tx, &horses, &riders)
}

/// Horse and rider are of this barn, and the caller's to enter.
pub fn check_pair(
    tx: &mut Tx<'_>,
    session: &SessionRow,
    horse: Option<Id<Horse>>,
    rider: Option<Id<Person>>,
    at: &str,
) -> Result<(), Problem> {
    let (horse_at, rider_at) = (format!("{at}/horse_id"), format!("{at}/rider_id"));
    if horse.is_none() && rider.is_none() {
        return Err(Problem::at_odds(&rider_at, "an entry names a horse, a rider, or both"));
    }
    if let Some(rider) = rider {
        let known = tx.who.roles.trainer || tx.who.is_own(rider);
        let found = if known { references::person_row(tx, rider)? } else { None };
        let Some((_, rides, _)) = found else { return Err(Problem::unknown_reference(&rider_at, "person")) };
        if !rides && session.kind.0 != SessionKind::Appointment {
            return Err(Problem::at_odds(&rider_at, "must be a person with the role rider"));
        }
    } else if !tx.who.roles.trainer {
        return Err(Problem::at_odds(
            &rider_at,
            "is required: a rider enters themselves, or a minor they are guardian of",
        ));
    }
    if let Some(horse) = horse {
        let known = tx.who.roles.trainer || tx.who.pairs.iter().any(|(h, r)| *h == horse && Some(*r) == rider);
        if !known || !references::horse_is_there(tx, horse)? {
            return Err(Problem::unknown_reference(&horse_at, "horse"));
        }
    }
    Ok(())
}

/// The plan fits the kind of the session.
pub fn check_plan(session: &SessionRow, row: &EntryRow, at: &str) -> Result<(), Problem> {
    if session.kind.0 != SessionKind::Jumping && row.planned_efforts > 0 {
        return Err(Problem::at_odds(&format!("{at}/planned_efforts"), "only a jumping session plans jump efforts"));
    }
    if session.kind.0 == SessionKind::Appointment && row.planned_pole_passes > 0 {
        return Err(Problem::at_odds(&format!("{at}/planned_pole_passes"), "an appointment plans no poles"));
    }
    Ok(())
}
