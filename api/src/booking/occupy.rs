//! What a session holds while it stands: its arena's place, its people, horses and fences.
use super::places::{self, Held};
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::problem::Problem;
use crate::sessions::entities::Whole;
use crate::sessions::entry_rows::EntryRow;
use crate::sessions::rows::SessionRow;
use std::collections::BTreeSet;
use stridewright_core::booking::places::most_at_once;
use stridewright_core::booking::{Kind, Taken};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Id, Person, Session};
use uuid::Uuid;

/// Everything that a session holds as it stands.
pub fn wanted(whole: &Whole) -> BTreeSet<(Kind, Uuid)> {
    let entries = whole.entries.iter().filter(|e| e.occupies()).flat_map(of_entry);
    if !whole.session.status.0.occupies() {
        // an unresolved entry of a closed session still holds its time
        return entries.collect();
    }
    of_session(&whole.session).into_iter().chain(entries).collect()
}

/// What a session holds by itself: its arena, fences, trainer and adult.
pub fn of_session(session: &SessionRow) -> BTreeSet<(Kind, Uuid)> {
    let arena = session.arena_id.map(|id| (Kind::Arena, id.uuid()));
    let fences = session.fence_set_id.map(|id| (Kind::FenceSet, id.uuid()));
    let people = [session.trainer_id, session.adult_id].into_iter().flatten().map(person);
    arena.into_iter().chain(fences).chain(people).collect()
}

/// What an entry holds: its horse and its rider.
pub fn of_entry(entry: &EntryRow) -> impl Iterator<Item = (Kind, Uuid)> + use<> {
    let horse = entry.horse_id.map(|id| (Kind::Horse, id.uuid()));
    horse.into_iter().chain(entry.rider_id.map(person))
}

const fn person(id: Id<Person>) -> (Kind, Uuid) {
    (Kind::Person, id.uuid())
}

/// What of it is elsewhere at that time.
pub fn taken(
    look: &mut Look<'_>,
    session: Id<Session>,
    wanted: &BTreeSet<(Kind, Uuid)>,
    from: Instant,
    to: Instant,
) -> Result<Vec<Taken<Uuid>>, Problem> {
    let mut taken = Vec::new();
    for (kind, id) in wanted {
        let held = places::held(look, *kind, *id, from, Some(to), Some(session))?;
        let room = if *kind == Kind::Arena { places::room(look, *id)? } else { 1 };
        if most_at_once(&places::times(&held), from) >= room {
            taken.extend(held.first().map(|h| Taken { kind: *kind, id: *id, from: h.from, to: h.to }));
        }
    }
    Ok(taken)
}

/// Writes what the session holds as it stands, in place of what it held. An update in place could meet
/// itself half-way; the constraint refuses whatever others hold.
pub fn write(tx: &mut Tx<'_>, whole: &Whole) -> Result<(), Problem> {
    let session = &whole.session;
    let (id, from, to) = (session.id, session.starts_at, session.ends_at);
    places::free(tx, id, None)?;
    for (kind, resource) in wanted(whole) {
        let place = if kind == Kind::Arena { places::place(tx, id, resource, from, to)? } else { 0 };
        places::take(tx, kind, resource, &Held { session: id, place, from, to })?;
    }
    Ok(())
}
