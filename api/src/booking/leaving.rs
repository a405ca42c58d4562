//! Who leaves the barn rides in nothing that lies ahead.
use super::{flags, occupy};
use crate::access::guard::Entity;
use crate::access::write::Tx;
use crate::db::schema::{entry, session};
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::sessions::entities::{SessionKey, Whole};
use crate::sessions::entry_rows::{self, EntryRow};
use diesel::prelude::*;
use stridewright_core::ids::{Id, Person};
use stridewright_core::workload::Status;

/// Cancels the rider's requests and bookings ahead, and frees what they held.
pub fn cancel_ahead(tx: &mut Tx<'_>, rider: Id<Person>) -> Result<(), Problem> {
    let (barn, now, who) = (tx.who.barn_id, tx.now, tx.who);
    let waiting = [Status::Requested, Status::Booked].map(Coded);
    let rows: Vec<EntryRow> = on_each!(tx.conn(), |c| entry::table
        .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
        .filter(entry::barn_id.eq(barn).and(entry::rider_id.eq(rider)).and(session::starts_at.gt(now)))
        .filter(entry::status.eq_any(waiting))
        .order(entry::id)
        .select(EntryRow::as_select())
        .load(c))?;
    let horses: Vec<_> = rows.iter().filter_map(|row| row.horse_id).collect();
    for row in rows {
        let key = SessionKey { barn_id: row.barn_id, session_id: row.session_id };
        let reason = Some("The rider has left the barn.".to_owned());
        let row = EntryRow { status: Coded(Status::Cancelled), reason, version: row.version + 1, ..row };
        entry_rows::update(tx.conn(), &row)?;
        if let Some(whole) = Whole::find(tx.conn(), who, &key)? {
            occupy::write(tx, &whole)?;
        }
    }
    flags::test_again(tx, &horses, &[])
}
