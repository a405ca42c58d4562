//! What the horse's limits and stand-downs say to a planned outing: it is warned about, and refused only under a
//! stand-down.
use super::rows::OutingRow;
use super::wire::OutingStatus;
use crate::access::standing::Standing;
use crate::access::write::Tx;
use crate::horses::pairings::rows::is_paired;
use crate::people::rows as people;
use crate::problem::table::Kind;
use crate::problem::{Problem, RuleReason};
use crate::workload::history;
use crate::workload::limits::rows::height;
use crate::workload::reasons::{reasons_out, sees_rows};
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::rest::{Book, Candidate};
use uuid::Uuid;

/// How far ahead a first allowed date is looked for, in days.
const AHEAD: i32 = 400;

/// A rider whom the caller may name: trainers anybody, owners whoever rides the horse, everybody themselves.
pub fn check_rider(tx: &mut Tx<'_>, horse: Id<Horse>, rider: Id<Person>) -> Result<(), Problem> {
    let who = tx.who;
    let unknown = || Problem::unknown_reference("/rider_id", "person");
    let known = who.roles.trainer
        || who.is_own(rider)
        || (sees_rows(who, horse) && is_paired(tx.conn(), who.barn_id, horse, rider)?);
    if !known {
        return Err(unknown());
    }
    let person = people::find(tx.conn(), who.barn_id, rider)?.ok_or_else(unknown)?;
    if person.rider { Ok(()) } else { Err(Problem::at_odds("/rider_id", "must be somebody with the role rider")) }
}

/// Whether a change touches what a planned outing is judged by.
pub fn moved(who: &Standing, old: &OutingRow, new: &OutingRow) -> bool {
    let judged = |row: &OutingRow| {
        (row.day(who), row.planned_efforts, row.planned_height_cm, row.rider_id, row.kind, row.show_id.clone())
    };
    judged(old) != judged(new)
}

/// The reasons against the plan; refused under a stand-down where it is new or moved. What was jumped is a fact.
pub fn warnings(tx: &mut Tx<'_>, row: &OutingRow, new_plan: bool) -> Result<Vec<RuleReason>, Problem> {
    let who = tx.who;
    let (OutingStatus::Booked, Some(day)) = (row.status.0, row.day(who)) else { return Ok(Vec::new()) };
    let today = who.today(tx.now);
    let book = history::load_horse(tx.conn(), row.barn_id, row.horse_id, &who.zone, today)?.without(&row.id.uuid());
    let candidate = Candidate {
        efforts: u32::try_from(row.planned_efforts).unwrap_or(0),
        height: row.planned_height_cm.map(height).transpose()?,
        competition: row.kind.0.competition(),
        show_id: row.show_id.clone(),
        rider_id: row.rider_id.map(Id::uuid),
        outing: true,
        ..Candidate::on(day)
    };
    let decision = book.decision(&candidate);
    let reasons = reasons_out(who, row.horse_id, &book, &decision.reasons);
    if new_plan && !decision.allowed {
        return Err(Problem::new(Kind::RuleRefused).with_reasons(reasons, first_allowed(&book, candidate)));
    }
    Ok(reasons)
}

fn first_allowed(book: &Book<Uuid>, candidate: Candidate<Uuid>) -> Option<Day> {
    let start = candidate.day;
    let mut candidate = candidate;
    (0..AHEAD).map(|n| start.plus(n)).find(|day| {
        candidate.day = *day;
        book.decision(&candidate).allowed
    })
}
