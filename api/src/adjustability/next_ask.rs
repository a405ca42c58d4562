//! The addresses of the next ask, for a horse and for a pair.
use super::handlers::{HorseProgress, PairProgress, day};
use super::next::propose;
use super::progress::Progress;
use super::wire::{NextAskOut, NextAskQuery};
use crate::access::guard::{May, Read};
use crate::access::query::Query;
use crate::access::read::Look;
use crate::access::reply::Reply;
use crate::horses::handlers::HorseKey;
use crate::horses::pairings::PairingKey;
use crate::problem::Problem;
use crate::workload::history;
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Horse, Id};
use stridewright_core::rest::Book;
use uuid::Uuid;

/// What to ask a horse next.
///
/// On one line: the normal count first, then more strides, then fewer, and never beyond what the horse has shown.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/next-ask", params(HorseKey, NextAskQuery),
    responses((status = 200, description = "The proposal.", body = NextAskOut)))]
pub async fn horse_next(
    may: May<HorseProgress, Read>,
    query: Query<NextAskQuery>,
) -> Result<Reply<NextAskOut>, Problem> {
    may.read_with(query, |look, horse, query| {
        let who = look.who;
        let as_of = day(query.as_of, who.today(look.now))?;
        let book = book(look, horse.0.id, as_of)?;
        let progress = Progress::load(look.conn(), &who.zone, horse.0, None, as_of)?;
        Ok(Reply::ok(&propose(&progress, &query, book.as_ref())?))
    })
    .await
}

/// What to ask a pair next.
///
/// By what this rider has ridden on the horse.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/pairings/{pairing_id}/next-ask",
    params(PairingKey, NextAskQuery),
    responses((status = 200, description = "The proposal.", body = NextAskOut)))]
pub async fn pair_next(may: May<PairProgress, Read>, query: Query<NextAskQuery>) -> Result<Reply<NextAskOut>, Problem> {
    may.read_with(query, |look, pair, query| {
        let who = look.who;
        let as_of = day(query.as_of, who.today(look.now))?;
        let book = book(look, pair.0.id, as_of)?;
        let progress = Progress::load(look.conn(), &who.zone, pair.0, Some(pair.1), as_of)?;
        Ok(Reply::ok(&propose(&progress, &query, book.as_ref())?))
    })
    .await
}

/// What limits say is of today.
fn book(look: &mut Look<'_>, horse: Id<Horse>, as_of: Day) -> Result<Option<Book<Uuid>>, Problem> {
    let (who, today) = (look.who, look.who.today(look.now));
    if as_of != today {
        return Ok(None);
    }
    Ok(Some(history::load_horse(look.conn(), who.barn_id, horse, &who.zone, today)?))
}
