//! A pairing as it crosses the wire.
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::Patch;
use crate::{input, query};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Horse, Id, Pairing, Person};
use stridewright_core::stride::Pair as Level;
use stridewright_core::units::Centimetres;
use utoipa::ToSchema;

input! {
    /// A new pairing.
    pub struct PairingIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Pairing>>,
        /// Somebody with the role rider.
        pub rider_id: Id<Person>,
        pub level: Level,
        /// The greatest height at which the pair may book on its own.
        pub up_to_height_cm: Centimetres,
    }
}

input! {
    /// What to change of a pairing.
    pub struct PairingPatch {
        pub level: Patch<Level>,
        pub up_to_height_cm: Patch<Centimetres>,
    }
}

/// Who may ride a horse.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PairingOut {
    pub id: Id<Pairing>,
    pub horse_id: Id<Horse>,
    pub rider_id: Id<Person>,
    pub level: Level,
    pub up_to_height_cm: Centimetres,
    pub created_at: Instant,
}

query! {
    /// Which page of a horse's pairings.
    pub struct PairingQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}

query! {
    /// Which pairings of the barn.
    pub struct AllPairingQuery {
        /// Those of this rider only.
        pub rider_id: Option<Id<Person>>,
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
