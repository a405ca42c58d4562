//! Reasons in the trade's words, as far as their reader may know them.
use super::words;
use crate::access::standing::Standing;
use crate::problem::RuleReason;
use serde::Serialize;
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::policy::{Action, Relation, Resource, Verdict};
use stridewright_core::rest::{Book, Code, Reason, Subject};
use uuid::Uuid;

/// What others than the rider, the guardian and trainers read of a rider's stand-down.
pub const NOT_AVAILABLE: &str = "the rider is not available";

/// The reasons of a book of this horse, for this reader.
pub fn reasons_out(who: &Standing, horse: Id<Horse>, book: &Book<Uuid>, reasons: &[Reason<Uuid>]) -> Vec<RuleReason> {
    let sees_rows = sees_rows(who, horse);
    reasons.iter().map(|reason| reason_out(who, sees_rows, book, reason)).collect()
}

/// Whether the reader may open the horse's limits and stand-downs, and not only hear what they say.
pub fn sees_rows(who: &Standing, horse: Id<Horse>) -> bool {
    who.may(Resource::Limit, Action::Read, who.to_horse(horse)) == Verdict::Allow
}

/// Whether the reader may know why and until when a person stands down.
pub fn sees_stand_down(who: &Standing, rider: Id<Person>) -> bool {
    let relation = Relation { own: who.is_own(rider), ..Relation::default() };
    who.may(Resource::RiderStandDown, Action::Read, relation) == Verdict::Allow
}

fn reason_out(who: &Standing, sees_rows: bool, book: &Book<Uuid>, reason: &Reason<Uuid>) -> RuleReason {
    let out = |message: String, source: Option<String>, seen: bool| RuleReason {
        source,
        rule_id: seen.then_some(reason.limit_id),
        day: Some(reason.day),
        figure: reason.figure.map(i64::from),
        limit: Some(i64::from(reason.limit)),
        binding: reason.binding,
        ..RuleReason::of(reason.code.as_str(), message)
    };
    if reason.code != Code::StandDown {
        let limit = book.limit(&reason.limit_id);
        let source = limit.and_then(|l| code(&l.source));
        return out(words::reason(reason, limit.map(|l| &l.rule)), source, sees_rows);
    }
    let Some(stand_down) = book.stand_down(&reason.limit_id) else {
        return out("stood down".to_owned(), None, false);
    };
    let source = code(&stand_down.source);
    match stand_down.subject {
        Subject::Horse => out(format!("the horse is {}", words::stand_down(stand_down)), source, sees_rows),
        Subject::Rider(rider) if sees_stand_down(who, rider.into()) => {
            out(format!("the rider is {}", words::stand_down(stand_down)), source, true)
        }
        Subject::Rider(_) => out(NOT_AVAILABLE.to_owned(), None, false),
    }
}

/// The word that a choice has on the wire.
fn code<T: Serialize>(value: &T) -> Option<String> {
    serde_json::to_value(value).ok()?.as_str().map(str::to_owned)
}
