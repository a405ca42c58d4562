//! Rides logged while there was no signal: all of them in one transaction, or none.
use super::entities::EntryOfRides;
use super::faults::Faults;
use super::log::{layout, log};
use super::rows::numbered;
use super::shown::{BatchEntryOut, BatchRideOut, RideBatchOut};
use super::wire::{LogOutcome, RideBatchIn, RideIn};
use crate::access::guard::Entity;
use crate::access::write::Tx;
use crate::booking::flags;
use crate::exercises::layout::Layout;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::rides::today;
use crate::sessions::closing;
use std::collections::BTreeMap;
use stridewright_core::ids::{Entry, Horse, Id, Person};
use stridewright_core::policy::{Action, Resource, Verdict};

/// An entry that the batch names, looked up once.
struct Named {
    entry: EntryOfRides,
    layout: Option<Layout>,
}

/// Logs them in the order sent.
pub fn log_all(tx: &mut Tx<'_>, batch: RideBatchIn) -> Result<RideBatchOut, Problem> {
    let mut faults = Faults::default();
    let mut entries = BTreeMap::<Id<Entry>, Option<Named>>::new();
    let mut rides = Vec::with_capacity(batch.rides.0.len());
    for (n, ride) in batch.rides.0.into_iter().enumerate() {
        let (at, id) = (format!("/rides/{n}"), ride.entry_id);
        if let std::collections::btree_map::Entry::Vacant(vacant) = entries.entry(id) {
            vacant.insert(named(tx, id)?);
        }
        let Some(Some(Named { entry, layout })) = entries.get(&id) else {
            faults.unknown(format!("{at}/entry_id"), "names no entry of this barn");
            continue;
        };
        if let Err(reason) = entry.horse() {
            faults.conflict(Kind::WrongState, format!("{at}/entry_id"), reason);
            continue;
        }
        if let Some(logged) = log(tx, entry, layout.as_ref(), RideIn::from(ride), &at, &mut faults)? {
            let row = &logged.version.row;
            rides.push(BatchRideOut {
                id: row.id,
                outcome: logged.outcome,
                standing: row.standing.0,
                go: numbered(row.go),
                efforts: row.efforts,
            });
        }
    }
    faults.refuse()?;
    let entries: Vec<EntryOfRides> = entries.into_values().flatten().map(|named| named.entry).collect();
    if rides.iter().any(|ride| ride.outcome != LogOutcome::Known) {
        let horses: Vec<Id<Horse>> = distinct(entries.iter().filter_map(|entry| entry.horse_id));
        let riders: Vec<Id<Person>> = distinct(entries.iter().filter_map(|entry| entry.rider_id));
        let named: Vec<Id<Entry>> = entries.iter().map(|entry| entry.id).collect();
        closing::asked_anew(tx, &named)?;
        flags::test_again(tx, &horses, &riders)?;
    }
    let mut so_far = Vec::with_capacity(entries.len());
    for entry in &entries {
        if let Ok(horse_id) = entry.horse() {
            let today = today::of(tx, entry, horse_id)?;
            so_far.push(BatchEntryOut { entry_id: entry.id, horse_id, today });
        }
    }
    Ok(RideBatchOut { rides, entries: so_far })
}

/// The entry, where the caller may know of it; 403 where they may not log it.
fn named(tx: &mut Tx<'_>, id: Id<Entry>) -> Result<Option<Named>, Problem> {
    let who = tx.who;
    let Some(entry) = EntryOfRides::load(tx.conn(), who.barn_id, id)? else { return Ok(None) };
    match who.may(Resource::Ride, Action::Create, entry.relation(who)) {
        Verdict::Allow => Ok(Some(Named { layout: layout(tx, &entry)?, entry })),
        Verdict::Forbid => Err(Problem::new(Kind::Forbidden)),
        Verdict::Hide => Ok(None),
    }
}

fn distinct<T: Ord>(of: impl Iterator<Item = T>) -> Vec<T> {
    of.collect::<std::collections::BTreeSet<T>>().into_iter().collect()
}
