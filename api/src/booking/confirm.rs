//! Confirming: weighing an entry, and letting it stand or refusing it with every reason.
use super::{facts, objections, occupy};
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

/// Confirms the entry of the session as `whole` will stand: the entry becomes booked there, or everything
/// that objects is said. Rows are not written here.
pub fn confirm(tx: &mut Tx<'_>, whole: &mut Whole, id: Id<Entry>, leave: Leave<'_>) -> Result<(), Problem> {
    if whole.session.status.0 == SessionStatus::Requested {
        whole.session.status = Coded(SessionStatus::Booked);
    }
    if !matches!(whole.session.status.0, SessionStatus::Booked | SessionStatus::Open) {
        return Err(Problem::new(Kind::WrongState).with_detail("The session is over or called off."));
    }
    let open = whole.session.status.0 == SessionStatus::Open;
    let Some(entry) = whole.entries.iter_mut().find(|e| e.id == id) else { return Err(Problem::new(Kind::NotFound)) };
    entry.status = Coded(if open { Status::Open } else { Status::Booked });
    let entry = entry.clone();
    let gathered = facts::gather(tx, whole, &entry)?;
    let found = weigh(&gathered.facts);
    let passed = if found.is_empty() { None } else { Some(pass(tx, &entry, &gathered, &found, leave)?) };
    if leave == Leave::Rider && !barn_lets_riders_confirm(tx)? {
        let reason = RuleReason {
            code: "trainer_confirms".to_owned(),
            message: "in this barn a trainer confirms every booking".to_owned(),
            source: None,
            rule_id: None,
            day: None,
            figure: None,
            limit: None,
            binding: true,
        };
        return Err(Problem::new(Kind::RuleRefused).with_reasons(vec![reason], None));
    }
    if let Some(entry) = whole.entries.iter_mut().find(|e| e.id == id) {
        entry.flags = None;
        if passed.is_none() {
            entry.override_reason = None;
        } else if let Leave::Trainer { override_reason: Some(reason) } = leave {
            entry.override_reason = Some(reason.to_owned());
        }
        entry.overridden = passed.map(AsJson);
    }
    Ok(())
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

/// The reasons that are passed, or the refusal.
fn pass(
    tx: &Tx<'_>,
    entry: &EntryRow,
    gathered: &facts::Gathered,
    found: &[Objection<Uuid>],
    leave: Leave<'_>,
) -> Result<Vec<RuleReason>, Problem> {
    let soft = found.iter().all(|objection| !objection.binding());
    let trainer = tx.who.may(Resource::Limit, Action::Override, Relation::default()) == Verdict::Allow;
    let told = objections::reasons(&tx.who.as_anybody(), entry.horse_id, gathered, found);
    match leave {
        Leave::Trainer { override_reason }
            if soft && trainer && (override_reason.is_some() || passed_before(entry, &told)) =>
        {
            Ok(told)
        }
        _ => Err(objections::refusal(tx.who, entry.horse_id, gathered, found)),
    }
}

fn barn_lets_riders_confirm(tx: &mut Tx<'_>) -> Result<bool, Problem> {
    use crate::db::schema::barn;
    let id = tx.who.barn_id;
    Ok(on_each!(tx.conn(), |c| barn::table.find(id).select(barn::riders_confirm).first(c))?)
}

/// Tests what the session itself wants to hold, for a session without entries or one that moves.
pub fn session_is_free(tx: &mut Tx<'_>, whole: &Whole) -> Result<(), Problem> {
    let session = &whole.session;
    let taken = occupy::taken(tx, session.id, &occupy::wanted(whole), session.starts_at, session.ends_at)?;
    if taken.is_empty() {
        return Ok(());
    }
    let gathered = facts::Gathered {
        facts: stridewright_core::booking::Facts {
            taken: taken.clone(),
            rest: None,
            pair: stridewright_core::booking::Pair::None,
            exercise_level: None,
            efforts: 0,
            height: None,
            minor_jumps: false,
            adult: true,
            arena_open: true,
            place_free: true,
        },
        book: None,
        candidate: stridewright_core::rest::Candidate::on(session.starts_at.day(&tx.who.zone)),
    };
    let found: Vec<Objection<Uuid>> = taken.into_iter().map(Objection::Taken).collect();
    Err(objections::refusal(tx.who, None, &gathered, &found))
}
