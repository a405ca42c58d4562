//! A barn as it crosses the wire.
use crate::people::wire::Role;
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::Patch;
use crate::wire::text::{Name, ZoneName};
use crate::{choice, input, query};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Id, Person};
use utoipa::ToSchema;

choice! {
    /// What lengths are shown in: metres, or feet and inches.
    pub enum Units { Metric, Imperial }
}
choice! {
    /// Whose words are shown where they differ: pole or rail, arena or ring.
    pub enum Labels { British, American }
}

input! {
    /// A new barn.
    pub struct BarnIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Barn>>,
        pub name: Name,
        pub time_zone: ZoneName,
        pub units: Units,
        pub labels: Labels,
        /// Whether riders may confirm a booking themselves where every rule is green; no where it is not said.
        pub riders_confirm: Option<bool>,
    }
}

input! {
    /// What to change of a barn.
    pub struct BarnPatch {
        pub name: Patch<Name>,
        pub time_zone: Patch<ZoneName>,
        pub units: Patch<Units>,
        pub labels: Patch<Labels>,
        pub riders_confirm: Patch<bool>,
    }
}

query! {
    /// Which page of the barns.
    pub struct BarnQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}

/// A barn.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct BarnOut {
    pub id: Id<Barn>,
    pub name: Name,
    pub time_zone: ZoneName,
    pub units: Units,
    pub labels: Labels,
    /// Whether riders may confirm a booking themselves where every rule is green.
    pub riders_confirm: bool,
    pub created_at: Instant,
}

/// A minor whose guardian the caller is.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct WardOut {
    pub person_id: Id<Person>,
    pub name: Name,
}

/// What an account is in one barn.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MembershipOut {
    pub barn_id: Id<Barn>,
    pub barn: BarnOut,
    pub person_id: Id<Person>,
    /// None where the account is there as a guardian only.
    #[schema(max_items = 3)]
    pub roles: Vec<Role>,
    #[schema(max_items = 50)]
    pub wards: Vec<WardOut>,
}
