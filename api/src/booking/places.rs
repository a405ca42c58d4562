//! Who holds what, and which of an arena's places: numbers that keep apart those who are there at once, given out anew
//! where no free one is free for the whole time.
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::schema::{arena, occupancy};
use crate::on_each;
use crate::problem::Problem;
use diesel::prelude::*;
use stridewright_core::booking::Kind;
use stridewright_core::booking::places::{most_at_once, seats};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Id, Session};
use uuid::Uuid;

/// The most places that the table takes.
const MOST: i32 = 10;

/// A session's hold on something.
#[derive(Debug, Clone, Queryable)]
pub struct Held {
    pub session: Id<Session>,
    pub place: i32,
    pub from: Instant,
    pub to: Instant,
}

/// The code of a kind in the table.
const fn code(kind: Kind) -> &'static str {
    match kind {
        Kind::Arena => "arena",
        Kind::FenceSet => "fence_set",
        Kind::Horse => "horse",
        Kind::Person => "person",
    }
}

/// Their times alone.
pub fn times(held: &[Held]) -> Vec<(Instant, Instant)> {
    held.iter().map(|h| (h.from, h.to)).collect()
}

/// Who holds the thing within that time, in their order; without an end, ever after.
pub fn held(
    look: &mut Look<'_>,
    kind: Kind,
    id: Uuid,
    from: Instant,
    to: Option<Instant>,
    but: Option<Id<Session>>,
) -> Result<Vec<Held>, Problem> {
    let barn = look.who.barn_id;
    Ok(on_each!(look.conn(), |c| {
        let mut rows = occupancy::table
            .filter(occupancy::barn_id.eq(barn).and(occupancy::kind.eq(code(kind))))
            .filter(occupancy::resource_id.eq(Id::<Session>::new(id)).and(occupancy::ends_at.gt(from)))
            .order((occupancy::starts_at, occupancy::place))
            .select((occupancy::session_id, occupancy::place, occupancy::starts_at, occupancy::ends_at))
            .into_boxed();
        if let Some(to) = to {
            rows = rows.filter(occupancy::starts_at.lt(to));
        }
        if let Some(session) = but {
            rows = rows.filter(occupancy::session_id.ne(session));
        }
        rows.load(c)
    })?)
}

/// How many sessions the arena may hold at once.
pub fn room(look: &mut Look<'_>, id: Uuid) -> Result<usize, Problem> {
    let barn = look.who.barn_id;
    let at_once: Option<i32> = on_each!(look.conn(), |c| arena::table
        .find((barn, Id::<Arena>::new(id)))
        .select(arena::sessions_at_once)
        .first(c)
        .optional())?;
    Ok(at_once.and_then(|n| usize::try_from(n).ok()).unwrap_or(1))
}

/// Gives back what the session holds, or what it holds of a kind.
pub fn free(tx: &mut Tx<'_>, session: Id<Session>, kind: Option<Kind>) -> Result<(), Problem> {
    let barn = tx.who.barn_id;
    on_each!(tx.conn(), |c| {
        let rows = diesel::delete(occupancy::table)
            .filter(occupancy::barn_id.eq(barn).and(occupancy::session_id.eq(session)))
            .into_boxed();
        match kind {
            Some(kind) => rows.filter(occupancy::kind.eq(code(kind))).execute(c),
            None => rows.execute(c),
        }
    })?;
    Ok(())
}

/// Writes a hold.
pub fn take(tx: &mut Tx<'_>, kind: Kind, id: Uuid, held: &Held) -> Result<(), Problem> {
    let barn = tx.who.barn_id;
    on_each!(tx.conn(), |c| diesel::insert_into(occupancy::table)
        .values((
            occupancy::barn_id.eq(barn),
            occupancy::session_id.eq(held.session),
            occupancy::kind.eq(code(kind)),
            occupancy::resource_id.eq(Id::<Session>::new(id)),
            occupancy::place.eq(held.place),
            occupancy::starts_at.eq(held.from),
            occupancy::ends_at.eq(held.to),
        ))
        .execute(c))?;
    Ok(())
}

/// A place in the arena for the whole time: the lowest that is free, or else one that the others make by moving up.
pub fn place(tx: &mut Tx<'_>, session: Id<Session>, arena: Uuid, from: Instant, to: Instant) -> Result<i32, Problem> {
    let (held, room) = (held(tx, Kind::Arena, arena, from, Some(to), Some(session))?, room(tx, arena)?);
    let lowest = |most: i32| (0..most).find(|n| held.iter().all(|h| h.place != *n));
    if let Some(free) = lowest(i32::try_from(room).unwrap_or(MOST)) {
        return Ok(free);
    }
    if most_at_once(&times(&held), from) < room {
        return move_up(tx, arena, Held { session, place: 0, from, to });
    }
    // more are there than the arena holds by now: any place that the table takes
    Ok(lowest(MOST).unwrap_or(0))
}

/// Brings those still there beyond the arena's room to places within it, after it became less.
pub fn settle(tx: &mut Tx<'_>, arena: Uuid, now: Instant) -> Result<(), Problem> {
    let room = room(tx, arena)?;
    let beyond = |h: &Held| usize::try_from(h.place).is_ok_and(|place| place >= room);
    for held in held(tx, Kind::Arena, arena, now, None, None)?.into_iter().filter(beyond) {
        free(tx, held.session, Some(Kind::Arena))?;
        let place = place(tx, held.session, arena, held.from, held.to)?;
        take(tx, Kind::Arena, arena, &Held { place, ..held })?;
    }
    Ok(())
}

/// Seats anew whoever is there with the session, and with those, and so on; its own place.
fn move_up(tx: &mut Tx<'_>, arena: Uuid, session: Held) -> Result<i32, Problem> {
    let (mut from, mut to) = (session.from, session.to);
    let mut all = loop {
        let others = held(tx, Kind::Arena, arena, from, Some(to), Some(session.session))?;
        let first = others.iter().map(|h| h.from).min().map_or(from, |first| first.min(from));
        let last = others.iter().map(|h| h.to).max().map_or(to, |last| last.max(to));
        if (first, last) == (from, to) {
            break others;
        }
        (from, to) = (first, last);
    };
    all.push(session);
    let seats = seats(&times(&all));
    for (held, place) in all.iter_mut().zip(seats) {
        held.place = i32::try_from(place).unwrap_or(MOST);
    }
    let own = all.pop().map_or(0, |session| session.place);
    // all go before any comes back: one by one they would meet each other
    for held in &all {
        free(tx, held.session, Some(Kind::Arena))?;
    }
    for held in &all {
        take(tx, Kind::Arena, arena, held)?;
    }
    Ok(own)
}
