//! Closing a session: what was planned and not logged is asked about, entry by entry.
use super::entities::Whole;
use super::entry_rows::{self, EntryRow};
use super::entry_wire::{ClosingAnswer, ClosingIn};
use crate::access::write::Tx;
use crate::booking::{flags, occupy};
use crate::db::schema::{entry, ride};
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::leaf::Count;
use diesel::prelude::*;
use stridewright_core::ids::{Entry, Id, Ride};
use stridewright_core::workload::Status;

/// Closes every entry that is done; one with efforts planned and not logged becomes unresolved.
pub fn close(tx: &mut Tx<'_>, whole: &mut Whole) -> Result<(), Problem> {
    for entry in whole.entries.iter_mut().filter(|e| matches!(e.status.0, Status::Booked | Status::Open)) {
        let (logged, _) = entry_rows::logged(tx.conn(), entry.barn_id, entry.id)?;
        entry.status = Coded(if entry.planned_efforts > logged { Status::Unresolved } else { Status::Closed });
        entry.version += 1;
    }
    // a request nobody answered is over with its session
    for entry in whole.entries.iter_mut().filter(|e| e.status.0 == Status::Requested) {
        entry.status = Coded(Status::Cancelled);
        entry.version += 1;
    }
    Ok(())
}

/// Takes the answer to what became of planned efforts, and closes the entry.
pub fn answer(tx: &mut Tx<'_>, whole: &Whole, entry: EntryRow, wire: &ClosingIn) -> Result<EntryRow, Problem> {
    if entry.status.0 != Status::Unresolved {
        let detail = "Only an unresolved entry asks what became of its planned jumps.";
        return Err(Problem::new(Kind::WrongState).with_detail(detail));
    }
    let (logged, _) = entry_rows::logged(tx.conn(), entry.barn_id, entry.id)?;
    let in_all = match (wire.answer, wire.efforts_in_all.map(Count::get)) {
        (ClosingAnswer::NotJumped, None) => logged,
        (ClosingAnswer::AsPlanned, None) => entry.planned_efforts,
        (ClosingAnswer::Efforts, Some(all)) => all,
        (ClosingAnswer::Efforts, None) => return Err(Problem::at_odds("/closing/efforts_in_all", "is required")),
        (_, Some(_)) => return Err(Problem::at_odds("/closing/efforts_in_all", "goes with the answer efforts only")),
    };
    if in_all < logged {
        let rule = format!("must be at least the {logged} efforts logged already");
        return Err(Problem::at_odds("/closing/efforts_in_all", rule));
    }
    if in_all > logged {
        insert_remainder(tx, &entry, in_all - logged)?;
    }
    let row = EntryRow {
        status: Coded(Status::Closed),
        closing: Some(Coded(wire.answer)),
        version: entry.version + 1,
        ..entry
    };
    entry_rows::update(tx.conn(), &row)?;
    let mut whole = Whole { session: whole.session.clone(), entries: whole.entries.clone() };
    if let Some(slot) = whole.entries.iter_mut().find(|e| e.id == row.id) {
        *slot = row.clone();
    }
    occupy::write(tx, &whole)?;
    let (horses, riders): (Vec<_>, Vec<_>) = (row.horse_id.into_iter().collect(), row.rider_id.into_iter().collect());
    flags::test_again(tx, &horses, &riders)?;
    Ok(row)
}

/// The log of these entries changed: where it is asked what became of the rest, the rest is another now, and an answer
/// that was decided on the old one is decided again.
pub fn asked_anew(tx: &mut Tx<'_>, entries: &[Id<Entry>]) -> Result<(), Problem> {
    let barn = tx.who.barn_id;
    on_each!(tx.conn(), |c| diesel::update(entry::table)
        .filter(entry::barn_id.eq(barn).and(entry::id.eq_any(entries)))
        .filter(entry::status.eq(Coded(Status::Unresolved)))
        .set(entry::version.eq(entry::version + 1))
        .execute(c))?;
    Ok(())
}

/// The remainder, as an attempt without a time at the planned height.
fn insert_remainder(tx: &mut Tx<'_>, entry: &EntryRow, efforts: i32) -> Result<(), Problem> {
    let (id, by, now): (Id<Ride>, _, _) = (tx.app.new_id(), tx.who.person_id, tx.now);
    on_each!(tx.conn(), |c| diesel::insert_into(ride::table)
        .values((
            ride::barn_id.eq(entry.barn_id),
            ride::id.eq(id),
            ride::entry_id.eq(entry.id),
            ride::go.eq(0),
            ride::kind.eq("closing"),
            ride::fences.eq("[]"),
            ride::efforts.eq(efforts),
            ride::pole_passes.eq(0),
            ride::height_cm.eq(entry.planned_height_cm),
            ride::standing.eq("counted"),
            ride::logged_by.eq(by),
            ride::created_at.eq(now),
        ))
        .execute(c))?;
    Ok(())
}
