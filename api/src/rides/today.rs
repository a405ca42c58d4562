//! The horse's day so far, for the ringside.
use super::entities::EntryOfRides;
use super::shown::HorseToday;
use crate::access::write::Tx;
use crate::problem::Problem;
use crate::workload::history;
use stridewright_core::ids::{Horse, Id};
use stridewright_core::workload::efforts_by_day;

/// What the horse has jumped today, and at most how much more in this entry.
pub fn of(tx: &mut Tx<'_>, entry: &EntryOfRides, horse: Id<Horse>) -> Result<HorseToday, Problem> {
    let (who, today) = (tx.who, tx.who.today(tx.now));
    let sessions = history::sessions(tx.conn(), who.barn_id, horse)?;
    let book = history::load_horse(tx.conn(), who.barn_id, horse, &who.zone, today)?;
    Ok(HorseToday {
        jumps_today: efforts_by_day(&sessions, &who.zone).get(&today).map_or(0, |day| day.logged),
        at_most_today: book.left_in_session(&entry.id.uuid(), today).and_then(|session| session.left),
    })
}
