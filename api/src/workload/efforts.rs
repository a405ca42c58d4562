//! A horse's efforts by day, their sums, and how complete the log behind them is.
mod days;
pub mod wire;

use self::wire::{EffortsOut, EffortsQuery};
use super::history;
use crate::access::guard::{Entity, May, Read};
use crate::access::query::Query;
use crate::access::read::Look;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::horses::handlers::HorseKey;
use crate::horses::rows as horses;
use crate::problem::Problem;
use diesel::QueryResult;
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Horse, Id};
use stridewright_core::policy::{Relation, Resource};
use stridewright_core::workload::{completeness, daily_efforts, efforts_by_day, load, window_sum};

/// The most days of one answer.
const MOST: i32 = 366;

const NOTE: &str = "Load figures are information only: they predict no injury and carry no verdict. What was not \
logged does not count in them.";

/// What a horse has jumped and will jump.
pub struct Efforts(Id<Horse>);

impl Entity for Efforts {
    const NAME: &'static str = "efforts";
    const RESOURCE: Resource = Resource::Workload;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0)
    }
}

/// A horse's efforts by day.
///
/// With sums of 7 and 28 days, how complete the log is, and load figures: information only, which predicts no
/// injury. For trainers and its owners.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/efforts", params(HorseKey, EffortsQuery),
    responses((status = 200, description = "The efforts by day.", body = EffortsOut)))]
pub async fn get_efforts(may: May<Efforts, Read>, query: Query<EffortsQuery>) -> Result<Reply<EffortsOut>, Problem> {
    may.read_with(query, |look, of, query| {
        let today = look.who.today(look.now);
        let (from, to) = days_asked(&query, today)?;
        Ok(Reply::ok(&counted(look, of.0, from, to, today)?))
    })
    .await
}

fn days_asked(query: &EffortsQuery, today: Day) -> Result<(Day, Day), Problem> {
    let refused = |rule: String| Problem::at_odds("?from", rule);
    let to = query.to.unwrap_or(today);
    let from = query.from.unwrap_or_else(|| to.plus(-27));
    if from > to {
        return Err(refused("must not lie after to".to_owned()));
    }
    if to.since(from) >= MOST {
        return Err(refused(format!("must lie at most {} days before to", MOST - 1)));
    }
    Ok((from, to))
}

fn counted(look: &mut Look<'_>, horse: Id<Horse>, from: Day, to: Day, today: Day) -> Result<EffortsOut, Problem> {
    let who = look.who;
    let sessions = history::sessions(look.conn(), who.barn_id, horse)?;
    let by_day = efforts_by_day(&sessions, &who.zone);
    Ok(EffortsOut {
        from,
        to,
        today,
        days: days::by_day(&sessions, &who.zone, from, to),
        sum_7_days: window_sum(&by_day, to, 7).into(),
        sum_28_days: window_sum(&by_day, to, 28).into(),
        completeness: completeness(&sessions, &who.zone, from, to, today).into(),
        load: load(&daily_efforts(&sessions, &who.zone, to.min(today))),
        note: NOTE,
    })
}
