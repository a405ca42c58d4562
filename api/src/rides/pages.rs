//! Pages of rides: of an entry, and of the whole barn.
use super::entities::EntryOfRides;
use super::rows::{RideRow, Version, Whose, with_attempts};
use super::shown::RideOut;
use super::wire::{EntryRideQuery, RideQuery};
use crate::access::caller::Caller;
use crate::access::read::Look;
use crate::db::schema::{entry, ride, session};
use crate::on_each;
use crate::problem::Problem;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::ids::{Horse, Id, Person, Ride, Session};

/// Every version, in the order of the goes.
pub fn of_entry(look: &mut Look<'_>, of: &EntryOfRides, query: &EntryRideQuery) -> Result<Page<RideOut>, Problem> {
    let size = query.limit.unwrap_or_default();
    let after: Option<(i32, Id<Ride>)> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<RideRow> = on_each!(look.conn(), |c| {
        let mut rows = ride::table
            .filter(ride::barn_id.eq(of.barn_id).and(ride::entry_id.eq(of.id)))
            .select(RideRow::as_select())
            .order((ride::go, ride::id))
            .limit(size.one_more())
            .into_boxed();
        if let Some((go, id)) = after {
            rows = rows.filter(ride::go.gt(go).or(ride::go.eq(go).and(ride::id.gt(id))));
        }
        rows.load(c)
    })?;
    let versions = with_attempts(look.conn(), rows)?;
    Rows::cut(versions, size, |version| (version.row.go, version.row.id)).show(|version| version.show(of.whose()))
}

type Joined = (RideRow, Id<Session>, Option<Id<Horse>>, Option<Id<Person>>);

/// Every version that the caller may see, in the order of their ids.
pub fn of_barn(look: &mut Look<'_>, query: &RideQuery) -> Result<Page<RideOut>, Problem> {
    let (who, size) = (look.who, query.limit.unwrap_or_default());
    if query.from.zip(query.to).is_some_and(|(from, to)| to < from) {
        return Err(Problem::at_odds("?to", "must not lie before from"));
    }
    let after: Option<Id<Ride>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let from = query.from.map(|day| day.start(&who.zone));
    let until = query.to.map(|day| day.plus(1).start(&who.zone));
    let owned = who.owned_as_owner();
    let rows: Vec<Joined> = on_each!(look.conn(), |c| {
        let mut rows = ride::table
            .inner_join(entry::table.on(entry::barn_id.eq(ride::barn_id).and(entry::id.eq(ride::entry_id))))
            .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
            .filter(ride::barn_id.eq(who.barn_id))
            .select((RideRow::as_select(), entry::session_id, entry::horse_id, entry::rider_id))
            .order(ride::id)
            .limit(size.one_more())
            .into_boxed();
        if let Caller::Rail { session, .. } = who.caller {
            rows = rows.filter(entry::session_id.eq(session));
        } else if !who.roles.trainer {
            let own = entry::rider_id.is_not_null().and(entry::rider_id.assume_not_null().eq_any(who.own_people()));
            let of_owned = entry::horse_id.is_not_null().and(entry::horse_id.assume_not_null().eq_any(owned));
            rows = rows.filter(own.or(of_owned));
        }
        if let Some(horse) = query.horse_id {
            rows = rows.filter(entry::horse_id.eq(horse));
        }
        if let Some(rider) = query.rider_id {
            rows = rows.filter(entry::rider_id.eq(rider));
        }
        // without a time of its own a ride is as old as its session's planned start
        if let Some(from) = from {
            let own = ride::at.is_not_null().and(ride::at.assume_not_null().ge(from));
            rows = rows.filter(own.or(ride::at.is_null().and(session::starts_at.ge(from))));
        }
        if let Some(until) = until {
            let own = ride::at.is_not_null().and(ride::at.assume_not_null().lt(until));
            rows = rows.filter(own.or(ride::at.is_null().and(session::starts_at.lt(until))));
        }
        if let Some(after) = after {
            rows = rows.filter(ride::id.gt(after));
        }
        rows.load(c)
    })?;
    let (rows, whose): (Vec<RideRow>, Vec<Whose>) = rows
        .into_iter()
        .map(|(row, session_id, horse_id, rider_id)| (row, Whose { session_id, horse_id, rider_id }))
        .unzip();
    let versions: Vec<(Version, Whose)> = with_attempts(look.conn(), rows)?.into_iter().zip(whose).collect();
    Rows::cut(versions, size, |(version, _)| version.row.id).show(|(version, whose)| version.show(whose))
}
