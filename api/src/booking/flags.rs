//! What a later stand-down, limit, log or cancellation breaks is flagged at once: it is a request again,
//! and gives way.
use super::occupy;
use crate::access::guard::Entity;
use crate::access::write::Tx;
use crate::db::schema::entry;
use crate::db::types::{AsJson, Coded};
use crate::on_each;
use crate::problem::Problem;
use crate::sessions::entities::{SessionKey, Whole};
use crate::sessions::entry_rows::{self, EntryRow};
use crate::workload::history;
use crate::workload::reasons::reasons_out;
use diesel::prelude::*;
use std::collections::BTreeSet;
use stridewright_core::calendar::Zone;
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::workload::Status;

/// Tests every booked entry of these horses and riders again, the latest first; call it at the end of
/// every write that touches what they are judged by.
pub fn test_again(tx: &mut Tx<'_>, horses: &[Id<Horse>], riders: &[Id<Person>]) -> Result<(), Problem> {
    let mut concerned: BTreeSet<Id<Horse>> = horses.iter().copied().collect();
    if !riders.is_empty() {
        concerned.extend(booked(tx, Some(riders))?);
    }
    for horse in concerned {
        test_horse(tx, &tx.who.zone, horse)?;
    }
    Ok(())
}

/// Tests everything that is booked again, by the days of a zone that the barn has from now on.
pub fn test_all_again(tx: &mut Tx<'_>, zone: &str) -> Result<(), Problem> {
    let zone = Zone::new(zone).unwrap_or_else(|_| Zone::utc());
    for horse in booked(tx, None)? {
        test_horse(tx, &zone, horse)?;
    }
    Ok(())
}

/// The horses that are booked, or that these riders are booked on; of what is over the book itself flags nothing.
fn booked(tx: &mut Tx<'_>, riders: Option<&[Id<Person>]>) -> Result<BTreeSet<Id<Horse>>, Problem> {
    let barn = tx.who.barn_id;
    let horses: Vec<Option<Id<Horse>>> = on_each!(tx.conn(), |c| {
        let mut rows = entry::table
            .filter(entry::barn_id.eq(barn).and(entry::status.eq(Coded(Status::Booked))))
            .select(entry::horse_id)
            .distinct()
            .into_boxed();
        if let Some(riders) = riders {
            rows = rows.filter(entry::rider_id.eq_any(riders));
        }
        rows.load(c)
    })?;
    Ok(horses.into_iter().flatten().collect())
}

fn test_horse(tx: &mut Tx<'_>, zone: &Zone, horse: Id<Horse>) -> Result<(), Problem> {
    let (who, today) = (tx.who, tx.now.day(zone));
    let book = history::load_horse(tx.conn(), who.barn_id, horse, zone, today)?;
    for flag in book.flagged().flagged {
        // an outing is warned about where it is shown; only entries give way
        let Some(row) = entry_rows::find(tx.conn(), who.barn_id, flag.id.into())? else { continue };
        // kept for every later reader: told as to somebody who may not open the rows
        let reasons = reasons_out(&who.as_anybody(), horse, &book, &flag.reasons);
        let row = EntryRow {
            status: Coded(Status::Requested),
            flags: Some(AsJson(reasons)),
            override_reason: None,
            overridden: None,
            version: row.version + 1,
            ..row
        };
        entry_rows::update(tx.conn(), &row)?;
        let key = SessionKey { barn_id: row.barn_id, session_id: row.session_id };
        if let Some(whole) = Whole::find(tx.conn(), who, &key)? {
            occupy::write(tx, &whole)?;
        }
    }
    Ok(())
}
