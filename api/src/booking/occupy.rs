//! What a session holds while it stands: its arena's place, its people, horses and fences.
use crate::access::write::Tx;
use crate::db::schema::{arena, occupancy};
use crate::on_each;
use crate::problem::Problem;
use crate::sessions::entities::Whole;
use diesel::prelude::*;
use std::collections::BTreeSet;
use stridewright_core::booking::{Kind, Taken};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Id, Person, Session};
use uuid::Uuid;

/// The code of a kind in the table.
const fn code(kind: Kind) -> &'static str {
    match kind {
        Kind::Arena => "arena",
        Kind::FenceSet => "fence_set",
        Kind::Horse => "horse",
        Kind::Person => "person",
    }
}

/// Everything that a session holds as it stands.
pub fn wanted(whole: &Whole) -> BTreeSet<(Kind, Uuid)> {
    let session = &whole.session;
    if !session.status.0.occupies() {
        // an unresolved entry of a closed session still holds its time
        return entries(whole).collect();
    }
    let arena = session.arena_id.map(|id| (Kind::Arena, id.uuid()));
    let fences = session.fence_set_id.map(|id| (Kind::FenceSet, id.uuid()));
    let people = [session.trainer_id, session.adult_id].into_iter().flatten().map(person);
    arena.into_iter().chain(fences).chain(people).chain(entries(whole)).collect()
}

const fn person(id: Id<Person>) -> (Kind, Uuid) {
    (Kind::Person, id.uuid())
}

fn entries(whole: &Whole) -> impl Iterator<Item = (Kind, Uuid)> + '_ {
    whole.entries.iter().filter(|e| e.occupies()).flat_map(|e| {
        let horse = e.horse_id.map(|id| (Kind::Horse, id.uuid()));
        horse.into_iter().chain(e.rider_id.map(person))
    })
}

/// What of it is elsewhere at that time.
pub fn taken(
    tx: &mut Tx<'_>,
    session: Id<Session>,
    wanted: &BTreeSet<(Kind, Uuid)>,
    from: Instant,
    to: Instant,
) -> Result<Vec<Taken<Uuid>>, Problem> {
    let mut taken = Vec::new();
    for (kind, id) in wanted {
        let holders = holders(tx, session, *kind, *id, from, to)?;
        let room = if *kind == Kind::Arena { places(tx, *id)? } else { 1 };
        if holders.len() >= room {
            taken.extend(holders.first().map(|(_, from, to)| Taken { kind: *kind, id: *id, from: *from, to: *to }));
        }
    }
    Ok(taken)
}

/// The places of a thing that others hold at that time, with their times.
fn holders(
    tx: &mut Tx<'_>,
    session: Id<Session>,
    kind: Kind,
    id: Uuid,
    from: Instant,
    to: Instant,
) -> Result<Vec<(i32, Instant, Instant)>, Problem> {
    let barn = tx.who.barn_id;
    let mut rows: Vec<(i32, Instant, Instant)> = on_each!(tx.conn(), |c| occupancy::table
        .filter(occupancy::barn_id.eq(barn).and(occupancy::kind.eq(code(kind))))
        .filter(occupancy::resource_id.eq(Id::<Session>::new(id)).and(occupancy::session_id.ne(session)))
        .filter(occupancy::starts_at.lt(to).and(occupancy::ends_at.gt(from)))
        .order((occupancy::place, occupancy::starts_at))
        .select((occupancy::place, occupancy::starts_at, occupancy::ends_at))
        .load(c))?;
    rows.dedup_by_key(|row| row.0);
    Ok(rows)
}

fn places(tx: &mut Tx<'_>, id: Uuid) -> Result<usize, Problem> {
    let barn = tx.who.barn_id;
    let at_once: Option<i32> = on_each!(tx.conn(), |c| arena::table
        .find((barn, Id::<Arena>::new(id)))
        .select(arena::sessions_at_once)
        .first(c)
        .optional())?;
    Ok(at_once.and_then(|n| usize::try_from(n).ok()).unwrap_or(1))
}

/// Writes what the session holds as it stands, in place of what it held. An update in place could meet
/// itself half-way; the constraint refuses whatever others hold.
pub fn write(tx: &mut Tx<'_>, whole: &Whole) -> Result<(), Problem> {
    let session = &whole.session;
    let (barn, id, from, to) = (session.barn_id, session.id, session.starts_at, session.ends_at);
    on_each!(tx.conn(), |c| diesel::delete(occupancy::table)
        .filter(occupancy::barn_id.eq(barn).and(occupancy::session_id.eq(id)))
        .execute(c))?;
    for (kind, resource) in wanted(whole) {
        let held: BTreeSet<i32> = holders(tx, id, kind, resource, from, to)?.into_iter().map(|row| row.0).collect();
        let place = if kind == Kind::Arena { (0..10).find(|n| !held.contains(n)).unwrap_or(0) } else { 0 };
        on_each!(tx.conn(), |c| diesel::insert_into(occupancy::table)
            .values((
                occupancy::barn_id.eq(barn),
                occupancy::session_id.eq(id),
                occupancy::kind.eq(code(kind)),
                occupancy::resource_id.eq(Id::<Session>::new(resource)),
                occupancy::place.eq(place),
                occupancy::starts_at.eq(from),
                occupancy::ends_at.eq(to),
            ))
            .execute(c))?;
    }
    Ok(())
}
