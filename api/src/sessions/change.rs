//! Changing sessions and entries: moving, opening, calling off, deciding.
use super::create::{check_pair, check_plan, settle};
use super::entities::{OneEntry, Whole};
use super::entry_rows::{self, EntryRow};
use super::entry_wire::EntryPatch;
use super::rows::SessionRow;
use super::wire::{SessionPatch, SessionStatus};
use super::{closing, rows};
use crate::access::write::Tx;
use crate::booking::against::{Against, Made};
use crate::booking::confirm::{Leave, confirm};
use crate::booking::objections::plain;
use crate::booking::{facts, flags, occupy, references};
use crate::db::types::{AsJson, Coded};
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::leaf::Count;
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::{Note, Reason, Title};
use stridewright_core::booking::Objection;
use stridewright_core::ids::{Entry, Id};
use stridewright_core::policy::{Action, Relation, Resource, Verdict};
use stridewright_core::workload::Status;

fn wrong_state(detail: &str) -> Problem {
    Problem::new(Kind::WrongState).with_detail(detail)
}

/// Applies a change to a session. What moves is taken out and tested like a new booking.
pub fn session(tx: &mut Tx<'_>, mut whole: Whole, patch: SessionPatch) -> Result<Whole, Problem> {
    let before = whole.session.clone();
    let over = matches!(before.status.0, SessionStatus::Closed | SessionStatus::Cancelled | SessionStatus::Declined);
    let row = &mut whole.session;
    let SessionPatch { title, arena_id, trainer_id, fence_set_id, exercise_id, revision, adult_id, .. } = patch;
    row.title = title.into_option().map_or(before.title.clone(), Title::into_string);
    row.arena_id = arena_id.into_option().or(before.arena_id);
    row.trainer_id = trainer_id.or(before.trainer_id);
    row.fence_set_id = fence_set_id.or(before.fence_set_id);
    row.adult_id = adult_id.or(before.adult_id);
    row.starts_at = patch.starts_at.or(before.starts_at);
    row.ends_at = patch.ends_at.or(before.ends_at);
    row.places = patch.places.into_option().map_or(before.places, |p| p.get());
    row.note = match patch.note {
        PatchNull::Keep => before.note.clone(),
        PatchNull::Clear => None,
        PatchNull::Set(note) => Some(Note::into_string(note)),
    };
    row.exercise_id = exercise_id.or(before.exercise_id);
    let named = revision.into_option().map(|r| r.get());
    let mut errors = Vec::new();
    row.revision = match row.exercise_id {
        Some(id) if before.exercise_id != Some(id) || named.is_some() => {
            references::revision(tx, Some(id), named, &mut errors)?
        }
        Some(_) => before.revision,
        None => None,
    };
    Problem::unless_fit(errors)?;
    let changed = *row != before;
    // what is only said of a session is nothing to test
    let moved = SessionRow { title: row.title.clone(), note: row.note.clone(), ..before.clone() } != *row;
    if changed && over {
        return Err(wrong_state("The session is over or called off; correct its rides instead."));
    }
    if moved {
        let mut errors = Vec::new();
        references::check_session(tx, &whole.session, &mut errors)?;
        Problem::unless_fit(errors)?;
        let reason = patch.override_reason.into_option().map(Reason::into_string);
        test_moved(tx, &mut whole, reason.as_deref())?;
    }
    if let Patch::Set(status) = patch.status {
        step(tx, &mut whole, status)?;
    }
    whole.session.version = before.version + 1;
    rows::update(tx.conn(), &whole.session)?;
    for entry in &whole.entries {
        entry_rows::update(tx.conn(), entry)?;
    }
    occupy::write(tx, &whole)?;
    let (horses, riders) = whole.parties();
    flags::test_again(tx, &horses, &riders)?;
    whole.entries = entry_rows::of_session(tx.conn(), before.barn_id, before.id)?;
    Ok(whole)
}

fn test_moved(tx: &mut Tx<'_>, whole: &mut Whole, reason: Option<&str>) -> Result<(), Problem> {
    let mut against = Against::default();
    if whole.session.status.0.occupies() {
        against.session(tx, whole, Made::Before)?;
    }
    rows::update(tx.conn(), &whole.session)?;
    let booked: Vec<_> = whole.entries.iter().filter(|e| e.occupies()).map(|e| e.id).collect();
    for id in booked {
        confirm(tx, whole, id, Leave::Trainer { override_reason: reason }, Made::Before, &mut against)?;
    }
    against.refuse(tx)?;
    for entry in whole.entries.iter_mut().filter(|e| e.occupies()) {
        entry.version += 1;
        entry_rows::update(tx.conn(), entry)?;
    }
    Ok(())
}

/// Opens, closes or calls off.
fn step(tx: &mut Tx<'_>, whole: &mut Whole, to: SessionStatus) -> Result<(), Problem> {
    use SessionStatus as S;
    match (whole.session.status.0, to) {
        (from, to) if from == to => Ok(()),
        (S::Booked, S::Open) => {
            open(tx, whole)?;
            whole.session.status = Coded(S::Open);
            Ok(())
        }
        (S::Booked | S::Open, S::Closed) => {
            closing::close(tx, whole)?;
            whole.session.status = Coded(S::Closed);
            Ok(())
        }
        (S::Requested | S::Booked, S::Cancelled) => {
            for entry in whole.entries.iter_mut().filter(|e| e.occupies() || e.status.0 == Status::Requested) {
                entry.status = Coded(Status::Cancelled);
                entry.version += 1;
            }
            whole.session.status = Coded(S::Cancelled);
            Ok(())
        }
        _ => Err(wrong_state("A session is booked, then opened, then closed; or cancelled before it is opened.")),
    }
}

/// Tests the booked entries again: what binds now sends an entry back to requested; what is soft was passed
/// before, or is a warning.
fn open(tx: &mut Tx<'_>, whole: &mut Whole) -> Result<(), Problem> {
    let (horses, riders) = whole.parties();
    flags::test_again(tx, &horses, &riders)?;
    let fresh = entry_rows::of_session(tx.conn(), whole.session.barn_id, whole.session.id)?;
    whole.entries = fresh;
    // somebody's age may have been corrected since they were booked
    if facts::minor_jumps(tx, whole)? && !whole.adult_on_the_ground() {
        return Err(Problem::new(Kind::RuleRefused).with_reasons(vec![plain(&Objection::NoAdult)], None));
    }
    for entry in whole.entries.iter_mut().filter(|e| e.status.0 == Status::Booked) {
        entry.status = Coded(Status::Open);
        entry.version += 1;
    }
    Ok(())
}

/// Applies a change to an entry.
pub fn entry(tx: &mut Tx<'_>, one: OneEntry, patch: EntryPatch) -> Result<OneEntry, Problem> {
    let OneEntry { entry: before, mut whole } = one;
    let trainer = tx.who.roles.trainer;
    if let Patch::Set(answer) = &patch.closing {
        if patch.says_more_than_closing() {
            return Err(Problem::at_odds("/closing", "stands alone: change nothing else with it"));
        }
        let entry = closing::answer(tx, &whole, before, answer)?;
        return Ok(OneEntry { entry, whole });
    }
    let row = planned(&before, &patch);
    let changed = (row.horse_id, row.rider_id, row.planned_efforts, row.planned_height_cm, row.planned_pole_passes)
        != (
            before.horse_id,
            before.rider_id,
            before.planned_efforts,
            before.planned_height_cm,
            before.planned_pole_passes,
        );
    if changed || row.asks != before.asks {
        may_replan(tx, &before, &row, trainer)?;
    }
    if changed {
        let mut errors = check_pair(tx, &whole.session, row.horse_id, row.rider_id, "")?;
        errors.extend(check_plan(&whole.session, row.planned_efforts, row.planned_pole_passes, ""));
        Problem::unless_fit(errors)?;
    }
    let reason = patch.reason.into_option().map(Reason::into_string);
    let leave = patch.override_reason.into_option().map(Reason::into_string);
    let passed = if eases(&before, &row) { row.overridden.clone() } else { None };
    let id = row.id;
    if let Some(slot) = whole.entries.iter_mut().find(|e| e.id == id) {
        *slot = EntryRow { version: before.version + 1, overridden: passed, ..row };
    }
    let target = patch.status.into_option().filter(|status| *status != before.status.0);
    match target {
        None if changed && before.occupies() => {
            decide(tx, &mut whole, id, Leave::Trainer { override_reason: leave.as_deref() })?;
        }
        None => {}
        Some(Status::Booked) => book(tx, &mut whole, &before, leave.as_deref())?,
        Some(status @ (Status::Declined | Status::Cancelled)) => {
            end(tx, &mut whole, &before, status, reason)?;
        }
        Some(_) => return Err(wrong_state("An entry is booked, declined or cancelled; sessions open and close.")),
    }
    let row = whole.entries.iter().find(|e| e.id == id).cloned().ok_or_else(|| Problem::new(Kind::Internal))?;
    entry_rows::update(tx.conn(), &row)?;
    settle(tx, &whole, &[row, before.clone()])?;
    whole.entries = entry_rows::of_session(tx.conn(), before.barn_id, before.session_id)?;
    let entry = whole.entries.iter().find(|e| e.id == id).cloned().ok_or_else(|| Problem::new(Kind::Internal))?;
    Ok(OneEntry { entry, whole })
}

fn planned(before: &EntryRow, patch: &EntryPatch) -> EntryRow {
    let mut row = before.clone();
    row.horse_id = patch.horse_id.clone().or(before.horse_id);
    row.rider_id = patch.rider_id.clone().or(before.rider_id);
    row.planned_efforts = patch.planned_efforts.clone().into_option().map_or(before.planned_efforts, Count::get);
    row.planned_pole_passes =
        patch.planned_pole_passes.clone().into_option().map_or(before.planned_pole_passes, Count::get);
    row.planned_height_cm = match &patch.planned_height_cm {
        PatchNull::Keep => before.planned_height_cm,
        PatchNull::Clear => None,
        PatchNull::Set(height) => Some(i32::from(height.get())),
    };
    if let Patch::Set(asks) = &patch.asks {
        row.asks = AsJson(asks.0.clone());
    }
    row
}

/// Whether the plan asks nothing more than before: then what was passed stays passed.
fn eases(before: &EntryRow, row: &EntryRow) -> bool {
    (row.horse_id, row.rider_id) == (before.horse_id, before.rider_id)
        && row.planned_efforts <= before.planned_efforts
        && row.planned_pole_passes <= before.planned_pole_passes
        && (row.planned_height_cm == before.planned_height_cm
            || row.planned_height_cm.zip(before.planned_height_cm).is_some_and(|(now, then)| now < then))
}

/// Riders replan what is only requested; nobody exchanges a horse under a log.
fn may_replan(tx: &mut Tx<'_>, before: &EntryRow, row: &EntryRow, trainer: bool) -> Result<(), Problem> {
    if !trainer && before.status.0 != Status::Requested {
        return Err(
            Problem::new(Kind::Forbidden).with_detail("What is booked is changed by a trainer; you may cancel it.")
        );
    }
    if matches!(before.status.0, Status::Closed | Status::Cancelled | Status::Declined) {
        return Err(wrong_state("The entry is over."));
    }
    let (_, ridden) = entry_rows::logged(tx.conn(), before.barn_id, before.id)?;
    if ridden && (row.horse_id, row.rider_id) != (before.horse_id, before.rider_id) {
        return Err(wrong_state("Rides are logged under this entry: its horse and rider stay."));
    }
    Ok(())
}

/// Confirms a request: a trainer's yes, or the rider's own where the barn allows it.
fn book(tx: &mut Tx<'_>, whole: &mut Whole, before: &EntryRow, reason: Option<&str>) -> Result<(), Problem> {
    if before.status.0 != Status::Requested {
        return Err(wrong_state("Only a request can be confirmed."));
    }
    let decides = tx.who.may(Resource::Entry, Action::Decide, Relation::default()) == Verdict::Allow;
    let leave = if decides { Leave::Trainer { override_reason: reason } } else { Leave::Rider };
    decide(tx, whole, before.id, leave)
}

/// Confirms one entry, or refuses with everything that speaks against it.
fn decide(tx: &mut Tx<'_>, whole: &mut Whole, id: Id<Entry>, leave: Leave<'_>) -> Result<(), Problem> {
    let mut against = Against::default();
    if !whole.session.status.0.occupies() {
        against.session(tx, whole, Made::Before)?;
    }
    confirm(tx, whole, id, leave, Made::Before, &mut against)?;
    against.refuse(tx)
}

fn end(
    tx: &mut Tx<'_>,
    whole: &mut Whole,
    before: &EntryRow,
    status: Status,
    reason: Option<String>,
) -> Result<(), Problem> {
    let declines = status == Status::Declined;
    let decides = tx.who.may(Resource::Entry, Action::Decide, Relation::default()) == Verdict::Allow;
    if declines && !decides {
        return Err(Problem::new(Kind::Forbidden));
    }
    if declines && before.status.0 != Status::Requested {
        return Err(wrong_state("Only a request can be declined; a booking is cancelled."));
    }
    if declines && reason.is_none() {
        return Err(Problem::at_odds("/reason", "is required: say why"));
    }
    if !matches!(before.status.0, Status::Requested | Status::Booked) {
        return Err(wrong_state("The entry is being ridden or over."));
    }
    if let Some(row) = whole.entries.iter_mut().find(|e| e.id == before.id) {
        row.status = Coded(status);
        row.reason = reason;
    }
    // a rider's session ends with its only entry
    let alive = whole.entries.iter().any(|e| !matches!(e.status.0, Status::Declined | Status::Cancelled));
    let asked = whole.session.status.0 == SessionStatus::Requested
        || (whole.session.status.0 == SessionStatus::Booked && !decides && tx.who.is_own(whole.session.created_by));
    if !alive && asked {
        whole.session.status = Coded(if declines { SessionStatus::Declined } else { SessionStatus::Cancelled });
    }
    Ok(())
}
