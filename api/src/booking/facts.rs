//! The facts a booking is weighed by, gathered under the barn's lock.
use super::{occupy, references};
use crate::access::read::Look;
use crate::arenas::hours::{Opening, open_throughout, words};
use crate::db::schema::{arena, pairing};
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::Problem;
use crate::sessions::entities::Whole;
use crate::sessions::entry_rows::EntryRow;
use crate::sessions::rows::SessionRow;
use crate::sessions::wire::SessionKind;
use crate::wire::list::List;
use crate::workload::history;
use diesel::prelude::*;
use stridewright_core::booking::{Facts, Pair};
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::rest::{Book, Candidate};
use stridewright_core::stride::Pair as Level;
use stridewright_core::units::Centimetres;
use uuid::Uuid;

/// Facts about one entry, and the horse's book without it.
pub struct Gathered {
    pub facts: Facts<Uuid>,
    pub book: Option<Book<Uuid>>,
    pub candidate: Candidate<Uuid>,
    /// When the arena is open on those days, in words, where it is not all that time.
    pub hours: String,
}

/// Gathers for an entry that is to be booked in the session as it will stand: `whole` holds the entry with
/// a status that occupies.
pub fn gather(look: &mut Look<'_>, whole: &Whole, entry: &EntryRow) -> Result<Gathered, Problem> {
    let session = &whole.session;
    let appointment = session.kind.0 == SessionKind::Appointment;
    let candidate = candidate(look, whole, entry);
    // an appointment takes the horse's time, but nobody rides it
    let book = match entry.horse_id {
        Some(horse) if !appointment => Some(book_without(look, horse, entry)?),
        _ => None,
    };
    // what the session itself holds is said once, of the session
    let own = occupy::of_session(session);
    let wanted = occupy::of_entry(entry).filter(|held| !own.contains(held)).collect();
    let hours = opening(look, session)?;
    let (zone, from, to) = (&look.who.zone, session.starts_at, session.ends_at);
    let arena_open = open_throughout(&hours, zone, from, to);
    let hours = if arena_open { String::new() } else { words(&hours, zone, from, to) };
    let facts = Facts {
        taken: occupy::taken(look, session.id, &wanted, from, to)?,
        rest: book.as_ref().map(|book| book.decision(&candidate)),
        pair: pair(look, entry.horse_id.filter(|_| !appointment), entry.rider_id)?,
        exercise_level: references::level_of(look, session)?,
        efforts: candidate.efforts,
        height: candidate.height,
        minor_jumps: minor_jumps(look, whole)?,
        adult: whole.adult_on_the_ground(),
        arena_open,
        place_free: whole.has_place_for(entry),
    };
    Ok(Gathered { facts, book, candidate, hours })
}

/// Whether a minor is booked to jump: who joins may be the adult who was to stand on the ground.
pub fn minor_jumps(look: &mut Look<'_>, whole: &Whole) -> Result<bool, Problem> {
    let jumping = whole.entries.iter().filter(|e| e.occupies() && e.planned_efforts > 0);
    for rider in jumping.filter_map(|e| e.rider_id) {
        if references::person_row(look, rider)?.is_some_and(|(_, _, minor)| minor) {
            return Ok(true);
        }
    }
    Ok(false)
}

/// The entry as the book weighs it.
pub fn candidate(look: &Look<'_>, whole: &Whole, entry: &EntryRow) -> Candidate<Uuid> {
    let number = |n: i32| u32::try_from(n).unwrap_or(0);
    Candidate {
        efforts: number(entry.planned_efforts),
        height: entry.planned_height_cm.and_then(|h| Centimetres::new(u16::try_from(h).ok()?).ok()),
        rider_id: entry.rider_id.map(Id::uuid),
        pole_passes: number(entry.planned_pole_passes),
        ..Candidate::on(whole.session.starts_at.day(&look.who.zone))
    }
}

/// The horse's book with this entry taken out.
pub fn book_without(look: &mut Look<'_>, horse: Id<Horse>, entry: &EntryRow) -> Result<Book<Uuid>, Problem> {
    let (who, today) = (look.who, look.who.today(look.now));
    Ok(history::load_horse(look.conn(), who.barn_id, horse, &who.zone, today)?.without(&entry.id.uuid()))
}

fn pair(look: &mut Look<'_>, horse: Option<Id<Horse>>, rider: Option<Id<Person>>) -> Result<Pair, Problem> {
    let (Some(horse), Some(rider)) = (horse, rider) else { return Ok(Pair::None) };
    let barn = look.who.barn_id;
    let row: Option<(Coded<Level>, i32)> = on_each!(look.conn(), |c| pairing::table
        .filter(pairing::barn_id.eq(barn).and(pairing::horse_id.eq(horse)).and(pairing::rider_id.eq(rider)))
        .filter(pairing::ended_at.is_null())
        .select((pairing::level, pairing::up_to_height_cm))
        .first(c)
        .optional())?;
    let known = row.and_then(|(level, up_to)| {
        let up_to = Centimetres::new(u16::try_from(up_to).ok()?).ok()?;
        Some(Pair::Known { level: level.0, up_to })
    });
    Ok(known.unwrap_or(Pair::Unknown))
}

fn opening(look: &mut Look<'_>, session: &SessionRow) -> Result<Vec<Opening>, Problem> {
    let Some(id) = session.arena_id else { return Ok(Vec::new()) };
    let hours: AsJson<List<Opening>> =
        on_each!(look.conn(), |c| arena::table.find((session.barn_id, id)).select(arena::hours).first(c))?;
    Ok(hours.0.0)
}
