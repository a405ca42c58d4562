//! The horse's day so far, for the ringside.
use super::entities::EntryOfRides;
use super::shown::HorseToday;
use crate::access::write::Tx;
use crate::problem::Problem;
use crate::workload::history;
use stridewright_core::ids::{Horse, Id};
use stridewright_core::rest::LeftInSession;
use stridewright_core::workload::efforts_by_day;

/// What the horse has jumped today, and at most how much it comes to with this entry.
pub fn of(tx: &mut Tx<'_>, entry: &EntryOfRides, horse: Id<Horse>) -> Result<HorseToday, Problem> {
    let (who, today) = (tx.who, tx.who.today(tx.now));
    let sessions = history::sessions(tx.conn(), who.barn_id, horse)?;
    let book = history::load_horse(tx.conn(), who.barn_id, horse, &who.zone, today)?;
    let jumps_today = efforts_by_day(&sessions, &who.zone).get(&today).map_or(0, |day| day.logged);
    let ceiling = |session: LeftInSession| {
        let elsewhere = jumps_today.saturating_sub(session.own_logged);
        session.remaining_without_it.map(|most| elsewhere.saturating_add(most))
    };
    let is_today = entry.starts_at.day(&who.zone) == today;
    let of_entry = if is_today { book.left_in_session(&entry.id.uuid(), today) } else { None };
    Ok(HorseToday { jumps_today, at_most_today: of_entry.and_then(ceiling) })
}
