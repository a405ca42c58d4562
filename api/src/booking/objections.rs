//! Objections in the trade's words.
use super::facts::Gathered;
use crate::access::standing::Standing;
use crate::problem::RuleReason;
use crate::workload::reasons::reasons_out;
use stridewright_core::booking::{Kind, Objection, Taken};
use stridewright_core::calendar::{Instant, Zone};
use stridewright_core::ids::{Horse, Id};
use uuid::Uuid;

/// The objections to an entry as reasons, for this reader.
pub fn reasons(
    who: &Standing,
    horse: Option<Id<Horse>>,
    gathered: &Gathered,
    objections: &[Objection<Uuid>],
) -> Vec<RuleReason> {
    let mut list = Vec::new();
    for objection in objections {
        match (objection, &gathered.book, horse) {
            (Objection::Rest(reason), Some(book), Some(horse)) => {
                list.extend(reasons_out(who, horse, book, std::slice::from_ref(reason)));
            }
            (Objection::Taken(taken), ..) => {
                let what = if taken.kind == Kind::Horse { "horse" } else { "rider" };
                list.push(elsewhere(what, taken, &who.zone));
            }
            (Objection::ArenaClosed, ..) => {
                let message = format!("the arena is not open all that time; it is {}", gathered.hours);
                list.push(RuleReason { message, ..plain(objection) });
            }
            _ => list.push(plain(objection)),
        }
    }
    list
}

/// What the session names is taken: the arena, or somebody in the part that they have there.
pub fn elsewhere(what: &str, taken: &Taken<Uuid>, zone: &Zone) -> RuleReason {
    let place = if taken.kind == Kind::Arena { "taken" } else { "elsewhere" };
    let message = format!("the {what} is {place} {}", span(zone, taken.from, taken.to));
    RuleReason { message, rule_id: Some(taken.id), ..plain(&Objection::Taken(taken.clone())) }
}

/// The same without the hours at which people, horses and fences are elsewhere: a diary is for trainers.
pub fn without_hours(reasons: &mut [RuleReason]) {
    for reason in reasons.iter_mut().filter(|r| r.code.ends_with("_taken") && r.code != "arena_taken") {
        let what = reason.message.split(" is ").next().unwrap_or_default();
        reason.message = format!("{what} is elsewhere at that time");
    }
}

/// "2026-06-04 from 17:00 to 18:00", by the barn's clock.
fn span(zone: &Zone, from: Instant, to: Instant) -> String {
    let (from, to) = (from.on_the_wall(zone), to.on_the_wall(zone));
    if from.date() == to.date() {
        format!("on {} from {} to {}", from.date(), from.strftime("%H:%M"), to.strftime("%H:%M"))
    } else {
        format!("from {} to {}", from.strftime("%Y-%m-%d %H:%M"), to.strftime("%Y-%m-%d %H:%M"))
    }
}

/// An objection that no row of a limit or a stand-down explains.
pub fn plain(objection: &Objection<Uuid>) -> RuleReason {
    let (code, message) = match objection {
        Objection::Taken(taken) => match taken.kind {
            Kind::Arena => ("arena_taken", "the arena is taken".to_owned()),
            Kind::FenceSet => ("fence_set_taken", "the fence set is elsewhere".to_owned()),
            Kind::Horse => ("horse_taken", "the horse is elsewhere".to_owned()),
            Kind::Person => ("person_taken", "the person is elsewhere".to_owned()),
        },
        Objection::Full => ("no_place", "the session has no place for one more".to_owned()),
        Objection::NoAdult => {
            ("no_adult", "a minor jumps only with a named adult on the ground who does not ride".to_owned())
        }
        Objection::NotPaired => ("not_paired", "the rider is not paired with the horse".to_owned()),
        Objection::AbovePairHeight { limit } => {
            ("above_pair_height", format!("higher than the pair may jump; at most {} cm", limit.get()))
        }
        Objection::AboveLevel => ("above_level", "the exercise is above the pair's level".to_owned()),
        Objection::ArenaClosed => ("arena_closed", "the arena is not open all that time".to_owned()),
        Objection::Rest(reason) => (reason.code.as_str(), "a limit of the horse".to_owned()),
    };
    RuleReason { binding: objection.binding(), ..RuleReason::of(code, message) }
}
