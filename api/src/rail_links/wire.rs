//! A rail link as it crosses the wire.
use crate::wire::page::{Cursor, PageSize};
use crate::wire::text::{Name, Secret};
use crate::{input, query};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Id, Person, RailLink, Session};
use utoipa::ToSchema;

input! {
    /// A new rail link.
    pub struct RailLinkIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<RailLink>>,
        /// Who or what it is for.
        pub label: Name,
        /// Two hours after the session's end where it is absent; a day after it at most.
        pub expires_at: Option<Instant>,
    }
}

/// A rail link; its secret is not kept.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RailLinkOut {
    pub id: Id<RailLink>,
    pub session_id: Id<Session>,
    pub label: Name,
    pub expires_at: Instant,
    pub revoked_at: Option<Instant>,
    /// Whose name the rides logged with it bear.
    pub created_by: Id<Person>,
    pub created_at: Instant,
}

/// A rail link just made.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct RailLinkMade {
    #[serde(flatten)]
    pub link: RailLinkOut,
    /// The bearer token of whoever holds the link: shown this once.
    #[schema(value_type = Secret, example = "rail_01890a5dac96774bbcceb302099a8057_01890a5dac96774bbcceb302099a8058_c2VjcmV0LXNlY3JldC1zZWNyZXQ")]
    pub secret: String,
}

query! {
    /// Which page of a session's rail links.
    pub struct RailLinkQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
