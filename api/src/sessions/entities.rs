//! What addresses of sessions and entries name, and how a caller stands to it.
use super::entry_rows::{self, EntryRow};
use super::rows::{self, SessionRow};
use super::wire::SessionStatus;
use crate::access::caller::Caller;
use crate::access::guard::Entity;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::people::handlers::BarnKey;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Entry, Horse, Id, Person, Session};
use stridewright_core::policy::{Relation, Resource};

key! {
    /// The address of a session, and of what hangs under it.
    pub struct SessionKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The session.
        pub session_id: Id<Session>,
    }
}

key! {
    /// The address of an entry.
    pub struct EntryKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The session.
        pub session_id: Id<Session>,
        /// The entry.
        pub entry_id: Id<Entry>,
    }
}

/// The sessions of a barn.
pub struct Sessions;

impl Entity for Sessions {
    const NAME: &'static str = "sessions";
    const RESOURCE: Resource = Resource::Session;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    /// Everybody may ask for the list; it holds what each may see.
    fn relation(&self, _: &Standing) -> Relation {
        Relation { owned: true, open: true, ..Relation::default() }
    }
}

/// A session with its entries.
pub struct Whole {
    pub session: SessionRow,
    pub entries: Vec<EntryRow>,
}

impl Whole {
    /// Places that nobody has taken.
    pub fn places_free(&self) -> i32 {
        let taken = self.entries.iter().filter(|e| e.occupies()).count();
        (self.session.places - i32::try_from(taken).unwrap_or(i32::MAX)).max(0)
    }

    /// Its version with that of its entries, which are shown with it: both only grow, and none is ever taken out.
    pub fn tag(&self) -> i64 {
        self.session.version + self.entries.iter().map(|e| e.version).sum::<i64>()
    }

    /// Whether the entry, booked, fits the places: who joins needs one, what the session's maker entered does not.
    pub fn has_place_for(&self, entry: &EntryRow) -> bool {
        let taken = self.entries.iter().filter(|e| e.occupies()).count();
        let joins = self.session.places > 0 && entry.requested_by != self.session.created_by;
        !joins || i32::try_from(taken).is_ok_and(|taken| taken <= self.session.places)
    }

    /// Its horses and riders.
    pub fn parties(&self) -> (Vec<Id<Horse>>, Vec<Id<Person>>) {
        let horses = self.entries.iter().filter_map(|e| e.horse_id).collect();
        (horses, self.entries.iter().filter_map(|e| e.rider_id).collect())
    }

    /// Whether an adult is named who does not ride in the session.
    pub fn adult_on_the_ground(&self) -> bool {
        let mut riders = self.entries.iter().filter(|e| e.occupies()).filter_map(|e| e.rider_id);
        self.session.adult().is_some_and(|adult| riders.all(|rider| rider != adult))
    }
}

impl Entity for Whole {
    const NAME: &'static str = "session";
    const RESOURCE: Resource = Resource::Session;
    const VERSIONED: bool = true;
    type Key = SessionKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &SessionKey) -> QueryResult<Option<Self>> {
        let Some(session) = rows::find(c, key.barn_id, key.session_id)? else { return Ok(None) };
        let entries = entry_rows::of_session(c, key.barn_id, key.session_id)?;
        Ok(Some(Self { session, entries }))
    }

    fn relation(&self, who: &Standing) -> Relation {
        if let Caller::Rail { session, .. } = who.caller {
            return Relation { own: session == self.session.id, ..Relation::default() };
        }
        let leads = [self.session.trainer_id, self.session.adult_id].into_iter().flatten().any(|p| who.is_own(p));
        let rides = self.entries.iter().filter_map(|e| e.rider_id).any(|p| who.is_own(p));
        Relation {
            own: leads || rides,
            owned: self.entries.iter().filter_map(|e| e.horse_id).any(|h| who.owned.contains(&h)),
            paired: false,
            open: self.session.places > 0 && self.session.status.0 == SessionStatus::Booked,
        }
    }

    fn version(&self) -> Option<i64> {
        Some(self.tag())
    }

    fn subject(&self) -> String {
        self.session.id.to_string()
    }
}

/// The entries of a session: who may see it may ask, and a rider may join one with places.
pub struct Entries(pub Whole);

impl Entity for Entries {
    const NAME: &'static str = "entries";
    const RESOURCE: Resource = Resource::Entry;
    type Key = SessionKey;

    fn find(c: &mut AnyConn, who: &Standing, key: &SessionKey) -> QueryResult<Option<Self>> {
        Ok(Whole::find(c, who, key)?.map(Self))
    }

    fn relation(&self, who: &Standing) -> Relation {
        self.0.relation(who)
    }

    fn subject(&self) -> String {
        self.0.subject()
    }
}

/// One entry with its session.
pub struct OneEntry {
    pub entry: EntryRow,
    pub whole: Whole,
}

impl Entity for OneEntry {
    const NAME: &'static str = "entry";
    const RESOURCE: Resource = Resource::Entry;
    const VERSIONED: bool = true;
    type Key = EntryKey;

    fn find(c: &mut AnyConn, who: &Standing, key: &EntryKey) -> QueryResult<Option<Self>> {
        let session = SessionKey { barn_id: key.barn_id, session_id: key.session_id };
        let Some(whole) = Whole::find(c, who, &session)? else { return Ok(None) };
        let entry = whole.entries.iter().find(|e| e.id == key.entry_id).cloned();
        Ok(entry.map(|entry| Self { entry, whole }))
    }

    fn relation(&self, who: &Standing) -> Relation {
        relation_to(&self.entry, who)
    }

    fn version(&self) -> Option<i64> {
        Some(self.entry.version)
    }

    fn subject(&self) -> String {
        self.entry.id.to_string()
    }
}

/// How the caller stands to an entry.
pub fn relation_to(entry: &EntryRow, who: &Standing) -> Relation {
    if let Caller::Rail { session, .. } = who.caller {
        return Relation { own: session == entry.session_id, ..Relation::default() };
    }
    Relation {
        own: entry.rider_id.is_some_and(|p| who.is_own(p)),
        owned: entry.horse_id.is_some_and(|h| who.owned.contains(&h)),
        ..Relation::default()
    }
}
