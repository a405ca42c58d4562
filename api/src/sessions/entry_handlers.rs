//! The addresses of entries.
use super::entities::{Entries, EntryKey, OneEntry, SessionKey, relation_to};
use super::entry_wire::{EntryIn, EntryOut, EntryPatch};
use super::wire::SessionStatus;
use super::{change, create, show};
use crate::access::guard::{Change, Create, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::json::Json;
use crate::wire::page::{Cursor, Page, PageSize, Rows};
use stridewright_core::ids::{Entry, Id};
use stridewright_core::policy::{Action, Resource, Verdict};

crate::query! {
    /// Which page of the entries.
    pub struct EntryQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}

/// List the entries of a session.
///
/// Those that the reader may see.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries", params(SessionKey, EntryQuery),
    responses((status = 200, description = "A page of entries.", body = Page<EntryOut>)))]
pub async fn list_entries(may: May<Entries, Read>, query: Query<EntryQuery>) -> Result<Reply<Page<EntryOut>>, Problem> {
    may.read_with(query, |look, Entries(whole), query| {
        let after: Option<Id<Entry>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
        let (who, size) = (look.who, query.limit.unwrap_or_default());
        let seen = whole.entries.iter().filter(|e| {
            after.is_none_or(|a| e.id > a)
                && who.may(Resource::Entry, Action::Read, relation_to(e, who)) == Verdict::Allow
        });
        let rows = Rows::cut(seen.take(size.get() + 1).cloned().collect(), size, |e| e.id);
        Ok(Reply::ok(&rows.show(|row| show::entry(look, &whole, row))?))
    })
    .await
}

/// Add an entry, or join.
///
/// A trainer's is booked; a rider's is requested, or confirmed at once where the barn allows it and nothing
/// objects.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries", params(SessionKey), request_body = EntryIn,
    responses((status = 201, description = "The new entry.", body = EntryOut)))]
pub async fn create_entry(may: May<Entries, Create>, body: Json<EntryIn>) -> Result<Reply<EntryOut>, Problem> {
    may.write(body, |tx, Entries(mut whole), entry| {
        if !matches!(whole.session.status.0, SessionStatus::Booked | SessionStatus::Open) {
            return Err(Problem::new(Kind::WrongState).with_detail("Nobody joins a session in this state."));
        }
        let row = create::entry(tx, &mut whole, entry)?;
        let location = format!("/api/v1/barns/{}/sessions/{}/entries/{}", row.barn_id, row.session_id, row.id);
        let version = row.version;
        Ok(Reply::created(&show::entry(tx, &whole, row)?, location).version(version))
    })
    .await
}

/// One entry.
///
/// Of a request, with what speaks against confirming it.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}", params(EntryKey),
    responses((status = 200, description = "The entry.", body = EntryOut)))]
pub async fn get_entry(may: May<OneEntry, Read>) -> Result<Reply<EntryOut>, Problem> {
    may.read(|look, one| {
        let version = one.entry.version;
        Ok(Reply::ok(&show::entry(look, &one.whole, one.entry)?).version(version))
    })
    .await
}

/// Change, confirm, decline or cancel an entry.
///
/// A change of what is booked is tested like a new booking. Riders cancel theirs and change what is only
/// requested; a trainer decides, with a reason for a no. `closing` answers what became of planned jumps.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}", params(EntryKey), request_body = EntryPatch,
    responses((status = 200, description = "The entry as changed.", body = EntryOut)))]
pub async fn change_entry(may: May<OneEntry, Change>, body: Json<EntryPatch>) -> Result<Reply<EntryOut>, Problem> {
    may.write(body, |tx, one, patch| {
        let OneEntry { entry, whole } = change::entry(tx, one, patch)?;
        let version = entry.version;
        Ok(Reply::ok(&show::entry(tx, &whole, entry)?).version(version))
    })
    .await
}
