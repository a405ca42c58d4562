//! People as they cross the wire.
use crate::wire::list::{List, Member};
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::Name;
use crate::{bounded, choice, input, query};
use serde::Serialize;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Id, Person};
use stridewright_core::policy::Roles;
use stridewright_core::units::Metres;
use utoipa::ToSchema;

choice! {
    /// What somebody is in a barn; one may be several.
    pub enum Role { Trainer, Rider, Owner }
}

impl Member for Role {
    const MOST: usize = 3;
}

/// The roles as the policy takes them.
pub fn to_roles(list: &[Role]) -> Roles {
    let has = |role| list.contains(&role);
    Roles { trainer: has(Role::Trainer), rider: has(Role::Rider), owner: has(Role::Owner), rail: false }
}

/// The roles as a list, in a fixed order.
pub fn from_roles(roles: Roles) -> Vec<Role> {
    let all = [(roles.trainer, Role::Trainer), (roles.rider, Role::Rider), (roles.owner, Role::Owner)];
    all.into_iter().filter(|(has, _)| *has).map(|(_, role)| role).collect()
}

bounded! {
    /// The length of somebody's own step, in metres.
    pub struct OwnStep(Metres, 0.3 ..= 1.5), example 0.9
}

input! {
    /// A new person.
    pub struct PersonIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Person>>,
        pub name: Name,
        pub roles: List<Role>,
        pub birth_date: Option<Day>,
        /// Whether they are under 18, where the birth date is not known; no where it is not said.
        pub minor: Option<bool>,
        /// The length of their own step, for walking distances.
        pub step_m: Option<OwnStep>,
    }
}

input! {
    /// What to change of a person.
    pub struct PersonPatch {
        pub name: Patch<Name>,
        pub roles: Patch<List<Role>>,
        pub birth_date: PatchNull<Day>,
        /// Only where there is no birth date.
        pub minor: Patch<bool>,
        /// The length of their own step.
        pub step_m: PatchNull<OwnStep>,
    }
}

/// A person, as far as the reader may know them: of a trainer, others see the name and that role.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct PersonOut {
    pub id: Id<Person>,
    pub name: Name,
    #[schema(max_items = 3)]
    pub roles: Vec<Role>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub birth_date: Option<Day>,
    /// Whether they are under 18 today: by the birth date where there is one.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub minor: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub step_m: Option<Metres>,
    /// Whether they have a sign-in.
    #[serde(skip_serializing_if = "Option::is_none")]
    pub linked: Option<bool>,
    #[serde(skip_serializing_if = "Option::is_none")]
    pub created_at: Option<Instant>,
}

query! {
    /// Which page of the people.
    pub struct PersonQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
        /// Only those who hold this role.
        pub role: Option<Role>,
    }
}

input! {
    /// Who becomes a minor's guardian.
    pub struct GuardianIn {
        /// An adult of the barn.
        pub guardian_id: Id<Person>,
    }
}

/// A guardian of a minor.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct GuardianOut {
    /// The guardian, a person of the barn.
    pub guardian_id: Id<Person>,
    pub name: Name,
    pub created_at: Instant,
}

query! {
    /// Which page of the guardians.
    pub struct GuardianQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
