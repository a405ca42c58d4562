//! An arena's taken time, without names.
use super::entities::Whole;
use super::entry_rows;
use super::rows::SessionRow;
use super::wire::{CalendarOut, CalendarQuery, SessionStatus, TakenOut};
use crate::access::guard::{Entity, May, Read};
use crate::access::query::Query;
use crate::access::read::Look;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::db::schema::{arena, exercise, session};
use crate::db::types::Coded;
use crate::key;
use crate::on_each;
use crate::problem::Problem;
use crate::wire::text::Name;
use diesel::prelude::*;
use stridewright_core::ids::{Arena, Barn, Id};
use stridewright_core::policy::{Relation, Resource};

/// The most days one look may span, and the most sessions it answers.
const LONGEST_DAYS: i64 = 92;
const MOST: i64 = 2000;

key! {
    /// The address of an arena's calendar.
    pub struct CalendarKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The arena.
        pub arena_id: Id<Arena>,
    }
}

/// The calendar of an arena.
pub struct Calendar {
    barn_id: Id<Barn>,
    arena_id: Id<Arena>,
    sessions_at_once: i32,
}

impl Entity for Calendar {
    const NAME: &'static str = "calendar";
    const RESOURCE: Resource = Resource::Calendar;
    type Key = CalendarKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &CalendarKey) -> QueryResult<Option<Self>> {
        let (barn_id, arena_id) = (key.barn_id, key.arena_id);
        let found: Option<i32> = on_each!(c, |c| arena::table
            .find((barn_id, arena_id))
            .filter(arena::removed_at.is_null())
            .select(arena::sessions_at_once)
            .first(c)
            .optional())?;
        Ok(found.map(|sessions_at_once| Self { barn_id, arena_id, sessions_at_once }))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

/// The taken time of an arena.
///
/// With the exercise that stands there and the places to join, but no names.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/arenas/{arena_id}/calendar", params(CalendarKey, CalendarQuery),
    responses((status = 200, description = "What is taken in the span.", body = CalendarOut)))]
pub async fn calendar(may: May<Calendar, Read>, query: Query<CalendarQuery>) -> Result<Reply<CalendarOut>, Problem> {
    may.read_with(query, |look, calendar, span| {
        let seconds = (span.to.micros() - span.from.micros()).div_euclid(1_000_000);
        if !(1..=LONGEST_DAYS * 24 * 3600).contains(&seconds) {
            return Err(Problem::at_odds("?to", "must be later than from, and at most 92 days after it"));
        }
        Ok(Reply::ok(&taken(look, &calendar, &span)?))
    })
    .await
}

fn taken(look: &mut Look<'_>, calendar: &Calendar, span: &CalendarQuery) -> Result<CalendarOut, Problem> {
    let over = [SessionStatus::Requested, SessionStatus::Declined, SessionStatus::Cancelled].map(Coded);
    let rows: Vec<SessionRow> = on_each!(look.conn(), |c| session::table
        .filter(session::barn_id.eq(calendar.barn_id).and(session::arena_id.eq(calendar.arena_id)))
        .filter(session::starts_at.lt(span.to).and(session::ends_at.gt(span.from)))
        .filter(session::status.ne_all(over))
        .order((session::starts_at, session::id))
        .limit(MOST)
        .select(SessionRow::as_select())
        .load(c))?;
    let taken = rows.into_iter().map(|row| one(look, row)).collect::<Result<_, _>>()?;
    Ok(CalendarOut { arena_id: calendar.arena_id, sessions_at_once: calendar.sessions_at_once, taken })
}

fn one(look: &mut Look<'_>, row: SessionRow) -> Result<TakenOut, Problem> {
    let name: Option<String> = match row.exercise_id {
        Some(id) => on_each!(look.conn(), |c| exercise::table
            .find((row.barn_id, id))
            .select(exercise::name)
            .first(c)
            .optional())?,
        None => None,
    };
    let entries = entry_rows::of_session(look.conn(), row.barn_id, row.id)?;
    let whole = Whole { session: row, entries };
    let places_free = if whole.session.status.0 == SessionStatus::Booked { whole.places_free() } else { 0 };
    Ok(TakenOut {
        starts_at: whole.session.starts_at,
        ends_at: whole.session.ends_at,
        kind: whole.session.kind.0,
        exercise_id: whole.session.exercise_id,
        exercise_name: name.and_then(|n| Name::try_from(n).ok()),
        session_id: (places_free > 0).then_some(whole.session.id),
        places_free,
    })
}
