//! What addresses of rides name, and how a caller stands to it.
use super::rows::{self, RideRow, Whose};
use crate::access::caller::Caller;
use crate::access::guard::Entity;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::db::schema::{entry, session};
use crate::key;
use crate::on_each;
use crate::people::handlers::BarnKey;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Entry, Exercise, Horse, Id, Person, Ride, Session};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of an entry's rides.
    pub struct EntryOfRidesKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The session.
        pub session_id: Id<Session>,
        /// The entry.
        pub entry_id: Id<Entry>,
    }
}

key! {
    /// The address of a ride.
    pub struct RideKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The session.
        pub session_id: Id<Session>,
        /// The entry.
        pub entry_id: Id<Entry>,
        /// The ride.
        pub ride_id: Id<Ride>,
    }
}

/// The rides of a barn.
pub struct Rides;

impl Entity for Rides {
    const NAME: &'static str = "rides";
    const RESOURCE: Resource = Resource::Ride;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    /// Everybody may ask for the list, which holds what each may see; of a batch every ride is judged.
    fn relation(&self, _: &Standing) -> Relation {
        Relation { own: true, owned: true, ..Relation::default() }
    }
}

/// An entry, as far as its rides ask.
#[derive(Debug, Clone, Queryable)]
pub struct EntryOfRides {
    pub barn_id: Id<Barn>,
    pub id: Id<Entry>,
    pub session_id: Id<Session>,
    pub horse_id: Option<Id<Horse>>,
    pub rider_id: Option<Id<Person>>,
    session_kind: String,
    pub starts_at: Instant,
    pub exercise_id: Option<Id<Exercise>>,
    pub revision: Option<i32>,
}

impl EntryOfRides {
    pub fn load(c: &mut AnyConn, barn: Id<Barn>, id: Id<Entry>) -> QueryResult<Option<Self>> {
        on_each!(c, |c| entry::table
            .inner_join(session::table.on(session::barn_id.eq(entry::barn_id).and(session::id.eq(entry::session_id))))
            .filter(entry::barn_id.eq(barn).and(entry::id.eq(id)))
            .select((
                entry::barn_id,
                entry::id,
                entry::session_id,
                entry::horse_id,
                entry::rider_id,
                session::kind,
                session::starts_at,
                session::exercise_id,
                session::revision,
            ))
            .first(c)
            .optional())
    }

    pub const fn whose(&self) -> Whose {
        Whose { session_id: self.session_id, horse_id: self.horse_id, rider_id: self.rider_id }
    }

    /// The horse that is ridden; in words, why there is none.
    pub fn horse(&self) -> Result<Id<Horse>, &'static str> {
        if self.session_kind == "appointment" {
            return Err("nobody rides in an appointment");
        }
        self.horse_id.ok_or("the entry has no horse yet: choose one, then log its rides")
    }
}

impl Entity for EntryOfRides {
    const NAME: &'static str = "rides of an entry";
    const RESOURCE: Resource = Resource::Ride;
    type Key = EntryOfRidesKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &EntryOfRidesKey) -> QueryResult<Option<Self>> {
        Ok(Self::load(c, key.barn_id, key.entry_id)?.filter(|entry| entry.session_id == key.session_id))
    }

    /// A rail link logs its session; it does not act as the person who handed it out.
    fn relation(&self, who: &Standing) -> Relation {
        if let Caller::Rail { session, .. } = who.caller {
            return Relation { own: session == self.session_id, ..Relation::default() };
        }
        Relation {
            own: self.rider_id.is_some_and(|rider| who.is_own(rider)),
            owned: self.horse_id.is_some_and(|horse| who.owned.contains(&horse)),
            ..Relation::default()
        }
    }

    fn subject(&self) -> String {
        self.id.to_string()
    }
}

/// One version of a ride with its entry.
pub struct OneRide {
    pub row: RideRow,
    pub entry: EntryOfRides,
}

impl Entity for OneRide {
    const NAME: &'static str = "ride";
    const RESOURCE: Resource = Resource::Ride;
    type Key = RideKey;

    fn find(c: &mut AnyConn, who: &Standing, key: &RideKey) -> QueryResult<Option<Self>> {
        let of = EntryOfRidesKey { barn_id: key.barn_id, session_id: key.session_id, entry_id: key.entry_id };
        let Some(entry) = EntryOfRides::find(c, who, &of)? else { return Ok(None) };
        let row = rows::find(c, key.barn_id, key.ride_id)?.filter(|row| row.entry_id == entry.id);
        Ok(row.map(|row| Self { row, entry }))
    }

    fn relation(&self, who: &Standing) -> Relation {
        self.entry.relation(who)
    }

    fn subject(&self) -> String {
        self.row.id.to_string()
    }
}
