//! Sessions and entries as their reader may see them.
use super::entities::{Whole, relation_to};
use super::entry_rows::{self, EntryRow};
use super::entry_wire::EntryOut;
use super::wire::{CautionText, SessionKind, SessionOut, SessionStatus};
use crate::access::read::Look;
use crate::booking::confirm::foresee;
use crate::booking::references;
use crate::problem::table::Kind;
use crate::problem::{Problem, RuleReason};
use crate::wire::text::{Name, Note, Reason, Title};
use stridewright_core::policy::{Action, Resource, Verdict};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::Status;

const HELMET: CautionText =
    CautionText("An approved helmet to the current standard, done up, for everybody who rides.");
const GROUND: CautionText = CautionText("An adult on the ground, who can see the fences; never jump alone.");
const START_LOW: CautionText = CautionText("Start low and easy; two stops mean lower or easier; a fall ends the ride.");
const DECIDE: CautionText = CautionText("Local rules, the trainer on the ground and the vet decide.");
const NOBODY: CautionText =
    CautionText("Nobody is named who stands on the ground: name an adult before anybody jumps.");

const LOWER: CautionText = CautionText(
    "The exercise stands higher than is planned for this ride: lower it before, and log the height as ridden.",
);

/// A stored text that was checked when it came in.
fn text<T: TryFrom<String>>(stored: String) -> Result<T, Problem> {
    T::try_from(stored).map_err(|_| Problem::new(Kind::Internal))
}

/// The session with those of its entries that the reader may see.
pub fn session(look: &mut Look<'_>, whole: Whole) -> Result<SessionOut, Problem> {
    let (who, places_free, adult) = (look.who, whole.places_free(), whole.adult_on_the_ground());
    let row = whole.session.clone();
    let jumps = whole.entries.iter().any(|e| e.planned_efforts > 0) || row.kind.0 == SessionKind::Jumping;
    let mut cautions = Vec::new();
    if row.kind.0 != SessionKind::Appointment {
        cautions.push(HELMET);
        if jumps {
            cautions.extend([if adult { GROUND } else { NOBODY }, START_LOW]);
        }
        cautions.push(DECIDE);
    }
    let seen: Vec<EntryOut> = whole
        .entries
        .iter()
        .filter(|e| who.may(Resource::Entry, Action::Read, relation_to(e, who)) == Verdict::Allow)
        .map(|e| entry(look, &whole, e.clone()))
        .collect::<Result<_, _>>()?;
    Ok(SessionOut {
        id: row.id,
        kind: row.kind.0,
        status: row.status.0,
        title: text::<Title>(row.title)?,
        arena_id: row.arena_id,
        trainer_id: row.trainer_id,
        fence_set_id: row.fence_set_id,
        exercise_id: row.exercise_id,
        revision: row.revision,
        adult_id: row.adult_id,
        starts_at: row.starts_at,
        ends_at: row.ends_at,
        time_zone: who.zone.name().to_owned(),
        places: row.places,
        places_free: if row.status.0 == SessionStatus::Booked { places_free } else { 0 },
        note: row.note.map(text::<Note>).transpose()?,
        entries: seen,
        cautions,
        created_at: row.created_at,
    })
}

/// An entry of the session, whose reader may see it. A request tells what speaks against it now, since what spoke
/// against it once may be gone.
pub fn entry(look: &mut Look<'_>, whole: &Whole, row: EntryRow) -> Result<EntryOut, Problem> {
    let waits = row.status.0 == Status::Requested && whole.session.ends_at > look.now;
    let flags = if waits { foresee(look, whole, row.id)? } else { row.flags.map(|l| l.0).unwrap_or_default() };
    let (c, adult) = (look.conn(), whole.adult_on_the_ground());
    let unanswered_efforts = if row.status.0 == Status::Unresolved {
        let (logged, _) = entry_rows::logged(c, row.barn_id, row.id)?;
        Some((row.planned_efforts - logged).max(0))
    } else {
        None
    };
    let mut cautions = Vec::new();
    if row.planned_efforts > 0 && !adult {
        cautions.push(NOBODY);
    }
    if row.planned_efforts > 0 && stands_higher(look, whole, row.planned_height_cm)? {
        cautions.push(LOWER);
    }
    let c = look.conn();
    let (horse_name, rider_name) = entry_rows::names(c, row.barn_id, row.horse_id, row.rider_id)?;
    let height = row.planned_height_cm.and_then(|h| u16::try_from(h).ok()).map(Centimetres::new).transpose();
    let reasons = |list: Option<crate::db::types::AsJson<Vec<RuleReason>>>| list.map(|l| l.0).unwrap_or_default();
    Ok(EntryOut {
        id: row.id,
        session_id: row.session_id,
        horse_id: row.horse_id,
        horse_name: horse_name.map(text::<Name>).transpose()?,
        rider_id: row.rider_id,
        rider_name: rider_name.map(text::<Name>).transpose()?,
        status: row.status.0,
        planned_efforts: row.planned_efforts,
        planned_height_cm: height.map_err(|_| Problem::new(Kind::Internal))?,
        planned_pole_passes: row.planned_pole_passes,
        asks: row.asks.0,
        reason: row.reason.map(text::<Reason>).transpose()?,
        override_reason: row.override_reason.map(text::<Reason>).transpose()?,
        overridden: reasons(row.overridden),
        flags,
        unanswered_efforts,
        cautions,
        version: row.version,
        created_at: row.created_at,
    })
}

/// Whether the session's exercise stands higher than is planned.
fn stands_higher(look: &mut Look<'_>, whole: &Whole, planned: Option<i32>) -> Result<bool, Problem> {
    let Some(planned) = planned else { return Ok(false) };
    Ok(references::one_go_of(look, &whole.session)?.is_some_and(|(_, _, highest)| highest > planned))
}
