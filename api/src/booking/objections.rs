//! Objections in the trade's words, as a problem.
use super::facts::{Gathered, word};
use crate::access::standing::Standing;
use crate::problem::table::Kind as ProblemKind;
use crate::problem::{Problem, RuleReason};
use crate::workload::reasons::reasons_out;
use stridewright_core::booking::{Kind, Objection};
use stridewright_core::ids::{Horse, Id};
use uuid::Uuid;

/// How far ahead the first allowed day is looked for.
const HORIZON: u16 = 400;

/// The objections as reasons, for this reader.
pub fn reasons(
    who: &Standing,
    horse: Option<Id<Horse>>,
    gathered: &Gathered,
    objections: &[Objection<Uuid>],
) -> Vec<RuleReason> {
    let mut list = Vec::new();
    for objection in objections {
        if let (Objection::Rest(reason), Some(book), Some(horse)) = (objection, &gathered.book, horse) {
            list.extend(reasons_out(who, horse, book, std::slice::from_ref(reason)));
        } else {
            list.push(plain(objection));
        }
    }
    list
}

/// An objection that no row of a limit or a stand-down explains.
pub fn plain(objection: &Objection<Uuid>) -> RuleReason {
    let (code, message, rule_id) = match objection {
        Objection::Taken(taken) => {
            let code = match taken.kind {
                Kind::Arena => "arena_taken",
                Kind::FenceSet => "fence_set_taken",
                Kind::Horse => "horse_taken",
                Kind::Person => "person_taken",
            };
            let place = if taken.kind == Kind::Arena { "taken" } else { "elsewhere" };
            (code, format!("the {} is {place} from {} to {}", word(taken.kind), taken.from, taken.to), Some(taken.id))
        }
        Objection::Full => ("no_place", "the session has no place for one more".to_owned(), None),
        Objection::NoAdult => {
            ("no_adult", "a minor jumps only with a named adult on the ground who does not ride".to_owned(), None)
        }
        Objection::NotPaired => ("not_paired", "the rider is not paired with the horse".to_owned(), None),
        Objection::AbovePairHeight { limit } => {
            ("above_pair_height", format!("higher than the pair may jump; at most {} cm", limit.get()), None)
        }
        Objection::AboveLevel => ("above_level", "the exercise is above the pair's level".to_owned(), None),
        Objection::ArenaClosed => ("arena_closed", "the arena is not open all that time".to_owned(), None),
        Objection::Rest(reason) => (reason.code.as_str(), "a limit of the horse".to_owned(), None),
    };
    RuleReason {
        code: code.to_owned(),
        message,
        source: None,
        rule_id,
        day: None,
        figure: None,
        limit: None,
        binding: objection.binding(),
    }
}

/// The refusal: every reason, and the first day on which the horse's limits would allow the same.
pub fn refusal(
    who: &Standing,
    horse: Option<Id<Horse>>,
    gathered: &Gathered,
    objections: &[Objection<Uuid>],
) -> Problem {
    let taken = objections.iter().any(|o| matches!(o, Objection::Taken(_)));
    let rests = objections.iter().any(|o| matches!(o, Objection::Rest(_)));
    let first = gathered.book.as_ref().filter(|_| rests).and_then(|b| b.earliest(&gathered.candidate, HORIZON));
    let kind = if taken { ProblemKind::Occupied } else { ProblemKind::RuleRefused };
    Problem::new(kind).with_reasons(reasons(who, horse, gathered, objections), first)
}
