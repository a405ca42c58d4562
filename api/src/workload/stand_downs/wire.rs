//! A stand-down as it crosses the wire.
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::{Note, Reason};
use crate::{input, query};
use serde::Serialize;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Horse, Id, Person, StandDown};
use stridewright_core::rest::{Scope, StandDownSource};
use utoipa::ToSchema;

input! {
    /// A new stand-down.
    pub struct StandDownIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<StandDown>>,
        /// Whence it comes. A vet's, and every rider's, ends only with a recorded clearance.
        pub source: StandDownSource,
        pub scope: Scope,
        /// Its first day.
        pub from_date: Day,
        /// The earliest first day free of it; open where absent.
        pub free_from_date: Option<Day>,
        pub reason: Reason,
    }
}

input! {
    /// What to change of a stand-down that is not cleared.
    pub struct StandDownPatch {
        pub scope: Patch<Scope>,
        pub from_date: Patch<Day>,
        pub free_from_date: PatchNull<Day>,
    }
}

input! {
    /// The clearance of a stand-down.
    pub struct ClearanceIn {
        /// The day it was given.
        pub cleared_on: Day,
        /// By whom, and with which advice.
        pub note: Option<Note>,
    }
}

/// A period without jumping, without jumping and poles, or without riding.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct StandDownOut {
    pub id: Id<StandDown>,
    /// The horse that stands down, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub horse_id: Option<Id<Horse>>,
    /// The rider who stands down, where it is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub rider_id: Option<Id<Person>>,
    pub source: StandDownSource,
    pub scope: Scope,
    pub from_date: Day,
    pub free_from_date: Option<Day>,
    /// Whether it ends only with a recorded clearance.
    pub needs_clearance: bool,
    pub cleared_on: Option<Day>,
    pub clearance_note: Option<Note>,
    /// The first day free of it, as things stand; null while it is open.
    pub free_from: Option<Day>,
    pub reason: Reason,
    pub recorded_by: Id<Person>,
    pub created_at: Instant,
}

query! {
    /// Which page of the stand-downs.
    pub struct StandDownQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
