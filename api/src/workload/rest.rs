//! A horse's rest requirement: at most how many efforts, from when on, and why.
mod effective;
pub mod wire;

use self::wire::{Asked, DayCeiling, RestOut, RestQuery, StandDownInForce};
use super::reasons::{NOT_AVAILABLE, reasons_out, sees_rows, sees_stand_down};
use super::stand_downs::rows::{self as stand_downs, StandDownRow, Who};
use super::{history, words};
use crate::access::guard::{Entity, May, Read};
use crate::access::query::Query;
use crate::access::read::Look;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::horses::handlers::HorseKey;
use crate::horses::pairings::rows::is_paired;
use crate::horses::rows as horses;
use crate::people::rows as people;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::text::{Reason, ShowId};
use diesel::QueryResult;
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Horse, Id};
use stridewright_core::policy::{Relation, Resource};
use stridewright_core::rest::{Book, Candidate, Ceiling, Code};
use stridewright_core::workload::completeness;
use uuid::Uuid;

/// How far ahead an earliest day is looked for.
const AHEAD: u16 = 400;

const CAUTION: &str = "Limits are editable conventions, not veterinary advice. A ceiling is \"at most\", never a \
ration to use up. The trainer on the ground, the vet and local rules decide; stop when the horse tires.";

/// What a horse may be asked to jump.
pub struct Rest(Id<Horse>);

impl Entity for Rest {
    const NAME: &'static str = "rest";
    const RESOURCE: Resource = Resource::Rest;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0)
    }
}

/// A horse's rest requirement.
///
/// At most how many jumps on each of 14 days, the first day on which the session asked about is allowed, and every
/// reason. For trainers, its owners, and whoever is paired with it. Conventions, not veterinary advice.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/rest", params(HorseKey, RestQuery),
    responses((status = 200, description = "The rest requirement.", body = RestOut)))]
pub async fn get_rest(may: May<Rest, Read>, query: Query<RestQuery>) -> Result<Reply<RestOut>, Problem> {
    may.read_with(query, |look, of, query| {
        check_rider(look, of.0, &query)?;
        Ok(Reply::ok(&required(look, of.0, query)?))
    })
    .await
}

/// Only a rider of this horse whom the reader may know of.
fn check_rider(look: &mut Look<'_>, horse: Id<Horse>, query: &RestQuery) -> Result<(), Problem> {
    let Some(rider) = query.rider_id else { return Ok(()) };
    let who = look.who;
    let known = if who.roles.trainer {
        people::find(look.conn(), who.barn_id, rider)?.is_some()
    } else {
        who.is_own(rider) || (sees_rows(who, horse) && is_paired(look.conn(), who.barn_id, horse, rider)?)
    };
    if known {
        Ok(())
    } else {
        Err(Problem::field(Kind::AtOdds, "?rider_id", "not_found", "names no rider of this horse"))
    }
}

fn required(look: &mut Look<'_>, horse: Id<Horse>, query: RestQuery) -> Result<RestOut, Problem> {
    let (who, today) = (look.who, look.who.today(look.now));
    let sessions = history::sessions(look.conn(), who.barn_id, horse)?;
    let book = history::book(look.conn(), who.barn_id, horse, &sessions, &who.zone, today)?;
    Ok(RestOut {
        today,
        next_14_days: book.next_14_days().into_iter().map(|c| ceiling(who, horse, &book, c)).collect(),
        stand_downs: in_force(look, horse, &query, today)?,
        asked: asked(who, horse, &book, query, today),
        violations: reasons_out(who, horse, &book, &book.existing_violations(None)),
        limits: effective::limits(&book, today, sees_rows(who, horse)),
        completeness: completeness(&sessions, &who.zone, today.plus(-27), today, today).into(),
        caution: CAUTION,
    })
}

fn ceiling(who: &Standing, horse: Id<Horse>, book: &Book<Uuid>, ceiling: Ceiling<Uuid>) -> DayCeiling {
    let because = ceiling.limit_id.as_ref().and_then(|id| {
        let down = book.stand_down(id).map(|down| format!("the horse is {}", words::stand_down(down)));
        down.or_else(|| book.limit(id).map(words::limit))
    });
    DayCeiling {
        day: ceiling.day,
        at_most: ceiling.at_most,
        words: ceiling.at_most.map_or_else(|| "no limit".to_owned(), |n| format!("at most {n}")),
        code: ceiling.code,
        because,
        rule_id: ceiling.limit_id.filter(|_| sees_rows(who, horse)),
    }
}

fn asked(who: &Standing, horse: Id<Horse>, book: &Book<Uuid>, query: RestQuery, today: Day) -> Asked {
    let efforts = query.efforts.map_or(1, |n| u32::try_from(n.0.get()).unwrap_or(0));
    let candidate = Candidate {
        efforts,
        height: query.height_cm.map(|h| h.0),
        competition: query.competition.is_some_and(|c| c.0),
        show_id: query.show_id.map(ShowId::into_string),
        rider_id: query.rider_id.map(Id::uuid),
        ..Candidate::on(today)
    };
    let mut decision = book.decision(&candidate);
    if candidate.height.is_none() {
        // the question is about efforts; a height that nobody asked about is no reason
        decision.reasons.retain(|reason| reason.code != Code::HeightUnknown);
    }
    Asked {
        efforts,
        allowed_today: decision.reasons.is_empty(),
        overridable_today: !decision.reasons.is_empty() && decision.binding().next().is_none(),
        reasons_today: reasons_out(who, horse, book, &decision.reasons),
        earliest_day: book.earliest(&candidate, AHEAD),
    }
}

/// The stand-downs of the horse, and of the rider asked about, that are not over.
fn in_force(
    look: &mut Look<'_>,
    horse: Id<Horse>,
    query: &RestQuery,
    today: Day,
) -> Result<Vec<StandDownInForce>, Problem> {
    let barn = look.who.barn_id;
    let mut rows = stand_downs::all(look.conn(), barn, Who::Horse(horse))?;
    if let Some(rider) = query.rider_id {
        rows.extend(stand_downs::all(look.conn(), barn, Who::Rider(rider))?);
    }
    rows.retain(|row| row.stand_down().free_from().is_none_or(|free| free > today && free > row.from_date));
    rows.iter().map(|row| in_force_out(look.who, horse, row)).collect()
}

fn in_force_out(who: &Standing, horse: Id<Horse>, row: &StandDownRow) -> Result<StandDownInForce, Problem> {
    let down = row.stand_down();
    let of_rider = row.rider_id.is_some();
    let (seen, sees_reason) = match row.rider_id {
        Some(rider) => (sees_stand_down(who, rider), sees_stand_down(who, rider)),
        None => (true, sees_rows(who, horse)),
    };
    let whose = if of_rider { "the rider" } else { "the horse" };
    let reason = Reason::try_from(row.reason.clone()).map_err(|_| Problem::new(Kind::Internal))?;
    Ok(StandDownInForce {
        stand_down_id: sees_reason.then_some(row.id),
        of_rider,
        words: if seen { format!("{whose} is {}", words::stand_down(&down)) } else { NOT_AVAILABLE.to_owned() },
        scope: seen.then_some(down.scope),
        from_date: seen.then_some(down.from_date),
        free_from: down.free_from().filter(|_| seen),
        reason: sees_reason.then_some(reason),
    })
}
