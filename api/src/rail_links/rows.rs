//! The rows of rail links.
use super::handlers::SessionOfLinks;
use super::wire::{RailLinkIn, RailLinkMade, RailLinkOut, RailLinkQuery};
use crate::access::caller::join_secret;
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::db::schema::{rail_link, session};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::digest;
use crate::wire::page::{Cursor, Page, Rows};
use crate::wire::text::Name;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Id, Person, RailLink, Session};

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = rail_link, treat_none_as_default_value = false)]
pub struct RailLinkRow {
    pub barn_id: Id<Barn>,
    pub id: Id<RailLink>,
    pub session_id: Id<Session>,
    pub label: String,
    pub secret_hash: String,
    pub expires_at: Instant,
    pub revoked_at: Option<Instant>,
    pub created_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

/// The session that links are for.
pub fn session(c: &mut AnyConn, barn: Id<Barn>, id: Id<Session>) -> QueryResult<Option<SessionOfLinks>> {
    on_each!(c, |c| session::table
        .find((barn, id))
        .select((session::barn_id, session::id, session::kind, session::status, session::ends_at))
        .first(c)
        .optional())
}

/// The row, where the link is of that session.
pub fn find(c: &mut AnyConn, barn: Id<Barn>, of: Id<Session>, id: Id<RailLink>) -> QueryResult<Option<RailLinkRow>> {
    on_each!(c, |c| rail_link::table
        .find((barn, id))
        .filter(rail_link::session_id.eq(of))
        .select(RailLinkRow::as_select())
        .first(c)
        .optional())
}

/// The link as trainers see it.
pub fn show(row: RailLinkRow) -> Result<RailLinkOut, Problem> {
    Ok(RailLinkOut {
        id: row.id,
        session_id: row.session_id,
        label: Name::try_from(row.label).map_err(|_| Problem::new(Kind::Internal))?,
        expires_at: row.expires_at,
        revoked_at: row.revoked_at,
        created_by: row.created_by,
        created_at: row.created_at,
    })
}

/// A page of a session's links, expired and revoked ones too, in the order of their ids.
pub fn page(look: &mut Look<'_>, of: &SessionOfLinks, query: &RailLinkQuery) -> Result<Page<RailLinkOut>, Problem> {
    let size = query.limit.unwrap_or_default();
    let after: Option<Id<RailLink>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<RailLinkRow> = on_each!(look.conn(), |c| {
        let mut rows = rail_link::table
            .filter(rail_link::barn_id.eq(of.barn_id).and(rail_link::session_id.eq(of.id)))
            .select(RailLinkRow::as_select())
            .order(rail_link::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(rail_link::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(show)
}

/// How long after its session a link lasts, in seconds: where nothing is said, and at most.
const USUAL: i64 = 2 * 3600;
const MOST: i64 = 24 * 3600;

/// Makes a link; only a digest of its secret is stored.
pub fn create(tx: &mut Tx<'_>, of: &SessionOfLinks, link: RailLinkIn) -> Result<RailLinkMade, Problem> {
    let wrong_state = |detail: &str| Err(Problem::new(Kind::WrongState).with_detail(detail));
    if of.kind == "appointment" {
        return wrong_state("nobody rides in an appointment");
    }
    if of.status == "cancelled" || of.status == "declined" {
        return wrong_state("the session does not take place");
    }
    // a session that was over before can still be logged for a while
    let expires_at = link.expires_at.unwrap_or_else(|| of.ends_at.max(tx.now).plus_seconds(USUAL));
    if expires_at > of.ends_at.plus_seconds(MOST) {
        if link.expires_at.is_none() {
            return wrong_state("the session was over a day ago: log its rides yourself");
        }
        return Err(Problem::at_odds("/expires_at", "must be at most 24 hours after the session's end"));
    }
    if expires_at <= tx.now {
        return Err(Problem::at_odds("/expires_at", "must lie in the future"));
    }
    let secret = tx.app.new_secret();
    let row = RailLinkRow {
        barn_id: of.barn_id,
        id: link.id.unwrap_or_else(|| tx.app.new_id()),
        session_id: of.id,
        label: link.label.into_string(),
        secret_hash: digest(&secret),
        expires_at,
        revoked_at: None,
        created_by: tx.who.person_id,
        version: 1,
        created_at: tx.now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(rail_link::table).values(&row).execute(c))?;
    let secret = join_secret("rail", row.barn_id.uuid(), row.id.uuid(), &secret);
    Ok(RailLinkMade { link: show(row)?, secret })
}

/// Ends every link that the person handed out: they are not a trainer any more.
pub fn revoke_all(c: &mut AnyConn, barn: Id<Barn>, by: Id<Person>, now: Instant) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(rail_link::table)
        .filter(rail_link::barn_id.eq(barn).and(rail_link::created_by.eq(by)).and(rail_link::revoked_at.is_null()))
        .set((rail_link::revoked_at.eq(now), rail_link::version.eq(rail_link::version + 1)))
        .execute(c))?;
    Ok(())
}

/// Ends a link: from now on its secret opens nothing.
pub fn revoke(tx: &mut Tx<'_>, row: &RailLinkRow) -> Result<(), Problem> {
    if row.revoked_at.is_some() {
        return Err(Problem::new(Kind::WrongState).with_detail("this link is revoked already"));
    }
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(rail_link::table.find((row.barn_id, row.id)))
        .set((rail_link::revoked_at.eq(now), rail_link::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}
