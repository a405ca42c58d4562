//! Invitations as they cross the wire.
use crate::people::wire::Role;
use crate::wire::list::List;
use crate::wire::page::{Cursor, PageSize};
use crate::wire::text::{Name, Secret};
use crate::{input, query, whole};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Id, Invitation, Person};
use utoipa::ToSchema;

whole! {
    /// How many days an invitation is good for.
    pub struct InvitationDays(1 ..= 90), example 14
}

input! {
    /// A new invitation.
    pub struct InvitationIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Invitation>>,
        /// Whom it is for, as a note to the trainers.
        pub name: Name,
        /// The roles that accepting it gives.
        pub roles: List<Role>,
        /// The person to link the account to, one without a sign-in; without it a person is made.
        pub person_id: Option<Id<Person>>,
        /// The minor whose guardian the account becomes.
        pub guardian_of: Option<Id<Person>>,
        /// 14 where it is not said.
        pub expires_in_days: Option<InvitationDays>,
    }
}

/// An invitation.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct InvitationOut {
    pub id: Id<Invitation>,
    pub name: Name,
    #[schema(max_items = 3)]
    pub roles: Vec<Role>,
    pub person_id: Option<Id<Person>>,
    pub guardian_of: Option<Id<Person>>,
    pub expires_at: Instant,
    pub accepted_at: Option<Instant>,
    /// The person who came of it.
    pub accepted_by: Option<Id<Person>>,
    pub revoked_at: Option<Instant>,
    /// The trainer who made it.
    pub created_by: Id<Person>,
    pub created_at: Instant,
    /// What to hand to the one who is invited; only in the answer to its creation.
    #[serde(skip_serializing_if = "Option::is_none")]
    #[schema(value_type = Option<Secret>)]
    pub secret: Option<String>,
}

query! {
    /// Which page of the invitations.
    pub struct InvitationQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
