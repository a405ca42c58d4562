//! An ownership as it crosses the wire.
use crate::wire::page::{Cursor, PageSize};
use crate::{choice, input, query};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Horse, Id, Ownership, Person};
use utoipa::ToSchema;

choice! {
    /// How a horse is somebody's. A lessee sees and sets what an owner does.
    pub enum OwnershipKind { Owner, Lessee }
}

input! {
    /// A new ownership.
    pub struct OwnershipIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Ownership>>,
        /// Somebody with the role owner.
        pub person_id: Id<Person>,
        pub kind: OwnershipKind,
    }
}

/// Whose a horse is.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct OwnershipOut {
    pub id: Id<Ownership>,
    pub horse_id: Id<Horse>,
    pub person_id: Id<Person>,
    pub kind: OwnershipKind,
    pub created_at: Instant,
}

query! {
    /// Which page of the ownerships.
    pub struct OwnershipQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
