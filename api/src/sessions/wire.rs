//! A session as it crosses the wire.
use super::entry_wire::{EntryIn, EntryOut};
use crate::wire::list::List;
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::{Name, Note, Title};
use crate::{choice, input, query, whole};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Exercise, FenceSet, Horse, Id, Person, Session};
use utoipa::ToSchema;

choice! {
    /// What the time is for.
    pub enum SessionKind { Jumping, Flat, Appointment }
}
choice! {
    /// Where the session stands.
    pub enum SessionStatus { Requested, Declined, Booked, Open, Closed, Cancelled }
}

impl SessionStatus {
    /// Whether it holds its arena, people and fences.
    pub const fn occupies(self) -> bool {
        matches!(self, Self::Booked | Self::Open)
    }
}

whole! {
    /// How many may join a session.
    pub struct Places(0 ..= 12), example 4
}
whole! {
    /// The number of an exercise's revision.
    pub struct RevisionNumber(1 ..= 10000), example 1
}

input! {
    /// A new session. A trainer's is booked; a rider's is requested, with one entry of their own.
    pub struct SessionIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Session>>,
        pub kind: SessionKind,
        pub title: Title,
        /// Where; an appointment has no arena, all else needs one.
        pub arena_id: Option<Id<Arena>>,
        pub trainer_id: Option<Id<Person>>,
        pub fence_set_id: Option<Id<FenceSet>>,
        pub exercise_id: Option<Id<Exercise>>,
        /// The latest, where only the exercise is named.
        pub revision: Option<RevisionNumber>,
        /// The adult who stands on the ground; the trainer, where nobody else is named.
        pub adult_id: Option<Id<Person>>,
        pub starts_at: Instant,
        pub ends_at: Instant,
        /// How many may join by themselves.
        pub places: Option<Places>,
        /// For whoever may see the session: where it has places, every rider of the barn.
        pub note: Option<Note>,
        pub entries: Option<List<EntryIn>>,
        /// A rider's wish to have it confirmed at once: granted where the barn allows it and nothing objects.
        pub confirm: Option<bool>,
    }
}

input! {
    /// What to change of a session; a move is tested like a new booking.
    pub struct SessionPatch {
        pub title: Patch<Title>,
        pub arena_id: Patch<Id<Arena>>,
        pub trainer_id: PatchNull<Id<Person>>,
        pub fence_set_id: PatchNull<Id<FenceSet>>,
        pub exercise_id: PatchNull<Id<Exercise>>,
        pub revision: Patch<RevisionNumber>,
        pub adult_id: PatchNull<Id<Person>>,
        pub starts_at: Patch<Instant>,
        pub ends_at: Patch<Instant>,
        pub places: Patch<Places>,
        pub note: PatchNull<Note>,
        /// `open` begins it, `closed` ends it, `cancelled` calls it off.
        pub status: Patch<SessionStatus>,
        /// A trainer's reason to pass soft limits when the session moves; the owners see it.
        pub override_reason: Patch<crate::wire::text::Reason>,
    }
}

/// A session as its reader may see it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SessionOut {
    pub id: Id<Session>,
    pub kind: SessionKind,
    pub status: SessionStatus,
    pub title: Title,
    pub arena_id: Option<Id<Arena>>,
    pub trainer_id: Option<Id<Person>>,
    pub fence_set_id: Option<Id<FenceSet>>,
    pub exercise_id: Option<Id<Exercise>>,
    #[schema(minimum = 1, maximum = 10000)]
    pub revision: Option<i32>,
    pub adult_id: Option<Id<Person>>,
    pub starts_at: Instant,
    pub ends_at: Instant,
    /// The barn's zone, in which its day is reckoned.
    #[schema(max_length = 60)]
    pub time_zone: String,
    #[schema(minimum = 0, maximum = 12)]
    pub places: i32,
    /// Places that nobody has taken yet.
    #[schema(minimum = 0, maximum = 12)]
    pub places_free: i32,
    /// For whoever may see the session: where it has places, every rider of the barn.
    pub note: Option<Note>,
    /// The entries that the reader may see.
    #[schema(max_items = 100)]
    pub entries: Vec<EntryOut>,
    /// What everybody should mind.
    #[schema(max_items = 20)]
    pub cautions: Vec<CautionText>,
    pub created_at: Instant,
}

/// A caution in words.
#[derive(Debug, Clone, Serialize, ToSchema)]
#[schema(example = "An approved helmet to the current standard, and never jump alone.", max_length = 300)]
pub struct CautionText(pub &'static str);

query! {
    /// Which sessions: those that begin in the span, in the order of their beginning.
    pub struct SessionQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
        /// Those that begin then or later.
        pub from: Option<Instant>,
        /// Those that begin before.
        pub to: Option<Instant>,
        /// Only those in this arena.
        pub arena_id: Option<Id<Arena>>,
        /// Only those with this horse.
        pub horse_id: Option<Id<Horse>>,
        /// Only those with this person.
        pub person_id: Option<Id<Person>>,
    }
}

query! {
    /// Which part of the calendar.
    pub struct CalendarQuery {
        /// Where the part begins.
        pub from: Instant,
        /// Where it ends.
        pub to: Instant,
    }
}

/// Taken time of an arena, without names.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct TakenOut {
    pub starts_at: Instant,
    pub ends_at: Instant,
    pub kind: SessionKind,
    /// The exercise that stands there.
    pub exercise_id: Option<Id<Exercise>>,
    pub exercise_name: Option<Name>,
    /// Where there are places: the session to join.
    pub session_id: Option<Id<Session>>,
    #[schema(minimum = 0, maximum = 12)]
    pub places_free: i32,
}

/// An arena's taken time.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CalendarOut {
    pub arena_id: Id<Arena>,
    #[schema(minimum = 1, maximum = 10)]
    pub sessions_at_once: i32,
    #[schema(max_items = 2000)]
    pub taken: Vec<TakenOut>,
}
