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
use stridewright_core::ids::{Horse, Id, Person};
use stridewright_core::workload::Status;

/// Tests every booked entry of these horses and riders again, the latest first; call it at the end of
/// every write that touches what they are judged by.
pub fn test_again(tx: &mut Tx<'_>, horses: &[Id<Horse>], riders: &[Id<Person>]) -> Result<(), Problem> {
    let mut concerned: BTreeSet<Id<Horse>> = horses.iter().copied().collect();
    concerned.extend(ridden_by(tx, riders)?);
    for horse in concerned {
        test_horse(tx, horse)?;
    }
    Ok(())
}

/// The horses that these riders are booked on; of what is over the book itself flags nothing.
fn ridden_by(tx: &mut Tx<'_>, riders: &[Id<Person>]) -> Result<Vec<Id<Horse>>, Problem> {
    if riders.is_empty() {
        return Ok(Vec::new());
    }
    let barn = tx.who.barn_id;
    let horses: Vec<Option<Id<Horse>>> = on_each!(tx.conn(), |c| entry::table
        .filter(entry::barn_id.eq(barn).and(entry::rider_id.eq_any(riders)))
        .filter(entry::status.eq(Coded(Status::Booked)))
        .select(entry::horse_id)
        .distinct()
        .load(c))?;
    Ok(horses.into_iter().flatten().collect())
}

fn test_horse(tx: &mut Tx<'_>, horse: Id<Horse>) -> Result<(), Problem> {
    let (who, today) = (tx.who, tx.who.today(tx.now));
    let book = history::load_horse(tx.conn(), who.barn_id, horse, &who.zone, today)?;
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
