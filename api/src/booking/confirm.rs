//! Confirming: weighing an entry, and letting it stand or saying everything that speaks against it.
use super::against::{Against, Made};
use super::{facts, objections};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::table::Kind;
use crate::problem::{Problem, RuleReason};
use crate::sessions::entities::Whole;
use crate::sessions::entry_rows::EntryRow;
use crate::sessions::wire::SessionStatus;
use diesel::prelude::*;
use stridewright_core::booking::{Objection, objections as weigh};
use stridewright_core::ids::{Entry, Id};
use stridewright_core::policy::{Action, Relation, Resource, Verdict};
use stridewright_core::workload::Status;
use uuid::Uuid;

/// Who confirms, and with what leave.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Leave<'a> {
    /// A trainer, who may pass soft objections with a written reason.
    Trainer { override_reason: Option<&'a str> },
    /// A rider for themselves: only where nothing objects and the barn allows it.
    Rider,
}

/// Confirms the entry of the session as `whole` will stand: the entry becomes booked there, or stays what it was and
/// everything that objects goes to `against`. Rows are not written here.
pub fn confirm(
    tx: &mut Tx<'_>,
    whole: &mut Whole,
    id: Id<Entry>,
    leave: Leave<'_>,
    made: Made<'_>,
    against: &mut Against,
) -> Result<(), Problem> {
    if whole.session.status.0 == SessionStatus::Requested {
        whole.session.status = Coded(SessionStatus::Booked);
    }
    if !matches!(whole.session.status.0, SessionStatus::Booked | SessionStatus::Open) {
        return Err(Problem::new(Kind::WrongState).with_detail("The session is over or called off."));
    }
    let open = whole.session.status.0 == SessionStatus::Open;
    let standing = if open { Status::Open } else { Status::Booked };
    let before = put(whole, id, standing)?;
    let entry = EntryRow { status: Coded(standing), ..before.clone() };
    let gathered = facts::gather(tx, whole, &entry)?;
    let found = weigh(&gathered.facts);
    let passed = pass(tx, &entry, &gathered, &found, leave);
    let trainer_confirms = leave == Leave::Rider && !barn_lets_riders_confirm(tx)?;
    if passed.is_none() {
        against.entry(tx, &entry, made, &gathered, &found);
    }
    against.weighed(gathered);
    if trainer_confirms {
        let message = "in this barn a trainer confirms every booking".to_owned();
        against.lasts(RuleReason { binding: true, ..RuleReason::of("trainer_confirms", message) });
    }
    let Some(passed) = passed.filter(|_| !trainer_confirms) else {
        put(whole, id, before.status.0)?;
        return Ok(());
    };
    if let Some(entry) = whole.entries.iter_mut().find(|e| e.id == id) {
        entry.flags = None;
        if passed.is_empty() {
            entry.override_reason = None;
        } else if let Leave::Trainer { override_reason: Some(reason) } = leave {
            entry.override_reason = Some(reason.to_owned());
        }
        entry.overridden = Some(passed).filter(|list| !list.is_empty()).map(AsJson);
    }
    Ok(())
}

/// What would speak against a request, were it confirmed as it stands now; for this reader.
pub fn foresee(look: &mut Look<'_>, whole: &Whole, id: Id<Entry>) -> Result<Vec<RuleReason>, Problem> {
    let mut then = Whole { session: whole.session.clone(), entries: whole.entries.clone() };
    if then.session.status.0 == SessionStatus::Requested {
        then.session.status = Coded(SessionStatus::Booked);
    }
    put(&mut then, id, Status::Booked)?;
    let Some(entry) = then.entries.iter().find(|e| e.id == id) else { return Ok(Vec::new()) };
    let mut against = Against::default();
    if !whole.session.status.0.occupies() {
        against.session(look, &then, Made::Before)?;
    }
    let gathered = facts::gather(look, &then, entry)?;
    let mut reasons = against.into_reasons();
    reasons.extend(objections::reasons(look.who, entry.horse_id, &gathered, &weigh(&gathered.facts)));
    if !look.who.roles.trainer {
        objections::without_hours(&mut reasons);
    }
    Ok(reasons)
}

/// Lets the entry stand so in the session; answers it as it was.
fn put(whole: &mut Whole, id: Id<Entry>, status: Status) -> Result<EntryRow, Problem> {
    let entry = whole.entries.iter_mut().find(|e| e.id == id).ok_or_else(|| Problem::new(Kind::NotFound))?;
    let before = entry.clone();
    entry.status = Coded(status);
    Ok(before)
}

/// Whether everything that objects was passed before, and is no worse now.
fn passed_before(entry: &EntryRow, found: &[RuleReason]) -> bool {
    let before = entry.overridden.as_ref().filter(|_| entry.override_reason.is_some());
    before.is_some_and(|before| {
        found.iter().all(|now| {
            before.0.iter().any(|then| {
                let same = (&then.code, then.rule_id, then.limit) == (&now.code, now.rule_id, now.limit);
                // of clear days, fewer are worse
                let rest = now.code.starts_with("clear_days");
                same && if rest { now.figure >= then.figure } else { now.figure <= then.figure }
            })
        })
    })
}

/// The reasons that are passed; none where they are not.
fn pass(
    tx: &Tx<'_>,
    entry: &EntryRow,
    gathered: &facts::Gathered,
    found: &[Objection<Uuid>],
    leave: Leave<'_>,
) -> Option<Vec<RuleReason>> {
    if found.is_empty() {
        return Some(Vec::new());
    }
    let soft = found.iter().all(|objection| !objection.binding());
    let trainer = tx.who.may(Resource::Limit, Action::Override, Relation::default()) == Verdict::Allow;
    let told = objections::reasons(&tx.who.as_anybody(), entry.horse_id, gathered, found);
    match leave {
        Leave::Trainer { override_reason } if soft && trainer => {
            (override_reason.is_some() || passed_before(entry, &told)).then_some(told)
        }
        _ => None,
    }
}

fn barn_lets_riders_confirm(tx: &mut Tx<'_>) -> Result<bool, Problem> {
    use crate::db::schema::barn;
    let id = tx.who.barn_id;
    Ok(on_each!(tx.conn(), |c| barn::table.find(id).select(barn::riders_confirm).first(c))?)
}
