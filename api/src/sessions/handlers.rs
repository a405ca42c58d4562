//! The addresses of sessions.
use super::entities::{SessionKey, Sessions, Whole};
use super::wire::{SessionIn, SessionOut, SessionPatch, SessionQuery};
use super::{change, create, entry_rows, rows, show};
use crate::access::guard::{Change, Create, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;

/// List the sessions.
///
/// Trainers see all; riders their own and those with places; owners those of their horses.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions", params(BarnKey, SessionQuery),
    responses((status = 200, description = "A page of sessions, in the order of their beginning.", body = Page<SessionOut>)))]
pub async fn list(may: May<Sessions, Read>, query: Query<SessionQuery>) -> Result<Reply<Page<SessionOut>>, Problem> {
    may.read_with(query, |look, _, query| {
        let page = rows::page(look, &query)?.show(|session| {
            let entries = entry_rows::of_session(look.conn(), session.barn_id, session.id)?;
            show::session(look, Whole { session, entries })
        })?;
        Ok(Reply::ok(&page))
    })
    .await
}

/// Book or request a session.
///
/// A trainer's session is booked with its entries, each tested against the horse's limits, stand-downs and
/// whatever is elsewhere at that time; a rider's is requested, or confirmed at once where the barn allows it
/// and nothing objects. A refusal names every reason and the first day on which the limits would allow it.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/sessions", params(BarnKey), request_body = SessionIn,
    responses((status = 201, description = "The new session.", body = SessionOut)))]
pub async fn create(may: May<Sessions, Create>, body: Json<SessionIn>) -> Result<Reply<SessionOut>, Problem> {
    may.write(body, |tx, _, session| {
        let whole = create::session(tx, session)?;
        let location = format!("/api/v1/barns/{}/sessions/{}", whole.session.barn_id, whole.session.id);
        let version = whole.tag();
        Ok(Reply::created(&show::session(tx, whole)?, location).version(version))
    })
    .await
}

/// One session.
///
/// With those of its entries that the reader may see, and the cautions that fit it.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}", params(SessionKey),
    responses((status = 200, description = "The session.", body = SessionOut)))]
pub async fn get(may: May<Whole, Read>) -> Result<Reply<SessionOut>, Problem> {
    may.read(|look, whole| {
        let version = whole.tag();
        Ok(Reply::ok(&show::session(look, whole)?).version(version))
    })
    .await
}

/// Change a session.
///
/// What moves is tested like a new booking. Opening tests its entries again; closing asks what became of
/// planned jumps that were not logged: those entries stay unresolved, and count, until it is answered.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/sessions/{session_id}", params(SessionKey), request_body = SessionPatch,
    responses((status = 200, description = "The session as changed.", body = SessionOut)))]
pub async fn change(may: May<Whole, Change>, body: Json<SessionPatch>) -> Result<Reply<SessionOut>, Problem> {
    may.write(body, |tx, whole, patch| {
        let whole = change::session(tx, whole, patch)?;
        let version = whole.tag();
        Ok(Reply::ok(&show::session(tx, whole)?).version(version))
    })
    .await
}
