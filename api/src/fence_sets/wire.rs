//! A fence set as it crosses the wire.
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::Patch;
use crate::wire::text::Name;
use crate::{input, query, whole};
use serde::{Deserialize, Serialize};
use stridewright_core::calendar::Instant;
use stridewright_core::equipment::Equipment;
use stridewright_core::ids::{FenceSet, Id};
use utoipa::ToSchema;

whole! {
    /// How many of one kind there are.
    pub struct Pieces(0 ..= 2000), example 12
}

input! {
    /// What is there, piece by piece.
    #[derive(PartialEq, Eq, Serialize, Deserialize)]
    pub struct FenceItems {
        /// Pairs of wings or standards.
        pub wings_pairs: Pieces,
        pub poles: Pieces,
        pub planks: Pieces,
        pub fillers: Pieces,
        pub cups: Pieces,
        /// Cups that let the pole fall, for the back rail of a spread.
        pub safety_cups: Pieces,
    }
}

impl From<Equipment> for FenceItems {
    fn from(of: Equipment) -> Self {
        let pieces = |n: u32| Pieces(i32::try_from(n).unwrap_or(i32::MAX).min(2000));
        Self {
            wings_pairs: pieces(of.wings_pairs),
            poles: pieces(of.poles),
            planks: pieces(of.planks),
            fillers: pieces(of.fillers),
            cups: pieces(of.cups),
            safety_cups: pieces(of.safety_cups),
        }
    }
}

impl From<&FenceItems> for Equipment {
    fn from(of: &FenceItems) -> Self {
        let number = |pieces: Pieces| u32::try_from(pieces.get()).unwrap_or(0);
        Self {
            wings_pairs: number(of.wings_pairs),
            poles: number(of.poles),
            planks: number(of.planks),
            fillers: number(of.fillers),
            cups: number(of.cups),
            safety_cups: number(of.safety_cups),
        }
    }
}

input! {
    /// A new fence set.
    pub struct FenceSetIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<FenceSet>>,
        pub name: Name,
        pub items: FenceItems,
    }
}

input! {
    /// What to change of a fence set.
    pub struct FenceSetPatch {
        pub name: Patch<Name>,
        pub items: Patch<FenceItems>,
    }
}

/// A fence set.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct FenceSetOut {
    pub id: Id<FenceSet>,
    pub name: Name,
    pub items: FenceItems,
    /// Since when it is no longer used.
    pub removed_at: Option<Instant>,
    pub created_at: Instant,
}

query! {
    /// Which page of the fence sets.
    pub struct FenceSetQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
