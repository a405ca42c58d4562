//! Reasons in the trade's words, as far as their reader may know them.
use crate::access::standing::Standing;
use crate::problem::RuleReason;
use serde::Serialize;
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::policy::{Action, Relation, Resource, Verdict};
use stridewright_core::rest::{Book, Code, Other, Reason, Rule, Scope, StandDown, Subject};
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
        code: reason.code.as_str().to_owned(),
        message,
        source,
        rule_id: seen.then_some(reason.limit_id),
        day: Some(reason.day),
        figure: reason.figure.map(i64::from),
        limit: Some(i64::from(reason.limit)),
        binding: reason.binding,
    };
    if reason.code != Code::StandDown {
        let limit = book.limit(&reason.limit_id);
        let source = limit.and_then(|l| code(&l.source));
        return out(sentence(reason, limit.map(|l| &l.rule)), source, sees_rows);
    }
    let Some(stand_down) = book.stand_down(&reason.limit_id) else {
        return out("stood down".to_owned(), None, false);
    };
    let source = code(&stand_down.source);
    match stand_down.subject {
        Subject::Horse => out(format!("the horse is {}", standing_down(stand_down)), source, sees_rows),
        Subject::Rider(rider) if sees_stand_down(who, rider.into()) => {
            out(format!("the rider is {}", standing_down(stand_down)), source, true)
        }
        Subject::Rider(_) => out(NOT_AVAILABLE.to_owned(), None, false),
    }
}

/// The word that a choice has on the wire.
fn code<T: Serialize>(value: &T) -> Option<String> {
    serde_json::to_value(value).ok()?.as_str().map(str::to_owned)
}

/// "stood down from jumping until 2026-06-22".
pub fn standing_down(stand_down: &StandDown<Uuid>) -> String {
    let from_what = match stand_down.scope {
        Scope::Jumping => "jumping",
        Scope::JumpingAndPoles => "jumping and poles",
        Scope::Riding => "riding",
    };
    let until = match (stand_down.free_from(), stand_down.free_from_date) {
        (Some(free), _) => format!("until {free}"),
        (None, Some(free)) => format!("until a clearance is recorded, and not before {free}"),
        (None, None) if stand_down.needs_clearance() => "until a clearance is recorded".to_owned(),
        (None, None) => format!("since {}, with no end given", stand_down.from_date),
    };
    format!("stood down from {from_what} {until}")
}

fn many(n: u32, one: &str, more: &str) -> String {
    match n {
        0 => format!("no {more}"),
        1 => format!("one {one}"),
        n => format!("{n} {more}"),
    }
}

fn jumps(n: u32) -> String {
    if n == 1 { "1 jump".to_owned() } else { format!("{n} jumps") }
}

/// One plain sentence for one broken limit.
fn sentence(reason: &Reason<Uuid>, rule: Option<&Rule>) -> String {
    let (day, limit, figure) = (reason.day, reason.limit, reason.figure.unwrap_or(0));
    let trigger = match &reason.other {
        Some(Other::Day(day)) => format!(" ({day})"),
        Some(Other::Session(_)) | None => String::new(),
    };
    let rest = |after: &str| {
        let (asked, had) = (many(limit, "clear day", "clear days"), many(figure, "clear day", "clear days"));
        format!("{asked} after {after}{trigger}; {had} before {day}")
    };
    match reason.code {
        Code::MaxEffortsPerSession => format!("{} in one session on {day}; at most {limit} a session", jumps(figure)),
        Code::MaxSessionsPerDay => format!("ridden {figure} times on {day}; at most {limit} a day"),
        Code::MaxEffortsPerDay => format!("{} on {day}; at most {limit} a day", jumps(figure)),
        Code::MaxEffortsPer7Days => format!("{} in the 7 days to {day}; at most {limit}", jumps(figure)),
        Code::MaxEffortsPer28Days => format!("{} in the 28 days to {day}; at most {limit}", jumps(figure)),
        Code::MaxJumpingDaysPer7Days => {
            format!("{} in the 7 days to {day}; at most {limit}", many(figure, "jumping day", "jumping days"))
        }
        Code::MaxHeightCm => format!("{figure} cm on {day}; at most {limit} cm"),
        Code::HeightUnknown => match rule {
            Some(Rule::MaxHeightCm { .. }) => format!("no height is stated for {day}; at most {limit} cm"),
            _ => format!("no height is stated for {day}; from {limit} cm on every jump counts"),
        },
        Code::ClearDaysAfterEfforts => match rule {
            Some(Rule::ClearDaysAfterEfforts { min_efforts, .. }) => {
                rest(&format!("a day of {min_efforts} or more jumps"))
            }
            _ => rest("a day of many jumps"),
        },
        Code::ClearDaysAfterCompetition => rest("a day of competition"),
        Code::ReturnRampSession => {
            format!("{} in one session on {day}, in the easy start after a break; at most {limit}", jumps(figure))
        }
        Code::ReturnRamp7Days => {
            format!("{} in the 7 days to {day}, in the easy start after a break; at most {limit}", jumps(figure))
        }
        Code::StandDown => format!("stood down on {day}"),
    }
}
