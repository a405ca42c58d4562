//! The rows of sessions.
use super::wire::{SessionKind, SessionQuery, SessionStatus};
use crate::access::read::Look;
use crate::db::conn::AnyConn;
use crate::db::schema::{entry, session};
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::wire::page::{Cursor, Rows};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Barn, Exercise, FenceSet, Id, Person, Session};

/// One row.
#[derive(Debug, Clone, PartialEq, Eq, Queryable, Selectable, Insertable, AsChangeset)]
#[diesel(table_name = session, treat_none_as_default_value = false, treat_none_as_null = true)]
#[diesel(primary_key(barn_id, id))]
pub struct SessionRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Session>,
    pub kind: Coded<SessionKind>,
    pub title: String,
    pub arena_id: Option<Id<Arena>>,
    pub trainer_id: Option<Id<Person>>,
    pub fence_set_id: Option<Id<FenceSet>>,
    pub exercise_id: Option<Id<Exercise>>,
    pub revision: Option<i32>,
    pub adult_id: Option<Id<Person>>,
    pub starts_at: Instant,
    pub ends_at: Instant,
    pub places: i32,
    pub status: Coded<SessionStatus>,
    pub note: Option<String>,
    pub created_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

impl SessionRow {
    /// The adult on the ground: who is named, else the trainer.
    pub fn adult(&self) -> Option<Id<Person>> {
        self.adult_id.or(self.trainer_id)
    }
}

pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Session>) -> QueryResult<Option<SessionRow>> {
    on_each!(c, |c| session::table.find((barn, id)).select(SessionRow::as_select()).first(c).optional())
}

pub fn insert(c: &mut AnyConn, row: &SessionRow) -> QueryResult<()> {
    on_each!(c, |c| diesel::insert_into(session::table).values(row).execute(c)).map(drop)
}

pub fn update(c: &mut AnyConn, row: &SessionRow) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(session::table.find((row.barn_id, row.id))).set(row).execute(c)).map(drop)
}

/// A page of the sessions the caller may see. A horse or a person is found only by entries that they may see too:
/// else the filter would tell who rides in a session that is open to all.
pub fn page(look: &mut Look<'_>, query: &SessionQuery) -> Result<Rows<SessionRow>, Problem> {
    let (who, now, size) = (look.who, look.now, query.limit.unwrap_or_default());
    let after: Option<(Instant, Id<Session>)> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let (people, owned) = (who.own_people(), who.owned_as_owner());
    let rows: Vec<SessionRow> = on_each!(look.conn(), |c| {
        let seen = || {
            let all = entry::table.filter(entry::barn_id.eq(who.barn_id)).select(entry::session_id).into_boxed();
            let shown = entry::rider_id.eq_any(&people).or(entry::horse_id.eq_any(owned));
            if who.roles.trainer { all } else { all.filter(shown) }
        };
        let led = |people: Vec<Id<Person>>| {
            let trainer = session::trainer_id.assume_not_null().eq_any(people.clone());
            let adult = session::adult_id.assume_not_null().eq_any(people);
            (session::trainer_id.is_not_null().and(trainer)).or(session::adult_id.is_not_null().and(adult))
        };
        let mut rows = session::table
            .filter(session::barn_id.eq(who.barn_id))
            .select(SessionRow::as_select())
            .order((session::starts_at, session::id))
            .limit(size.one_more())
            .into_boxed();
        if !who.roles.trainer {
            let booked = session::status.eq(Coded(SessionStatus::Booked));
            let open = session::places.gt(0).and(booked).and(session::starts_at.gt(now));
            let theirs = session::id.eq_any(seen()).or(led(people.clone()));
            rows = if who.roles.rider { rows.filter(theirs.or(open)) } else { rows.filter(theirs) };
        }
        if let Some(horse) = query.horse_id {
            rows = rows.filter(session::id.eq_any(seen().filter(entry::horse_id.eq(horse))));
        }
        if let Some(person) = query.person_id {
            let rides = session::id.eq_any(seen().filter(entry::rider_id.eq(person)));
            rows = rows.filter(rides.or(led(vec![person])));
        }
        if let Some(arena) = query.arena_id {
            rows = rows.filter(session::arena_id.eq(arena));
        }
        if let Some(from) = query.from {
            rows = rows.filter(session::starts_at.ge(from));
        }
        if let Some(to) = query.to {
            rows = rows.filter(session::starts_at.lt(to));
        }
        if let Some((start, id)) = after {
            rows = rows.filter(session::starts_at.gt(start).or(session::starts_at.eq(start).and(session::id.gt(id))));
        }
        rows.load(c)
    })?;
    Ok(Rows::cut(rows, size, |row| (row.starts_at, row.id)))
}
