//! Accounts and sign-ins as they cross the wire.
use crate::barns::wire::{BarnIn, MembershipOut};
use crate::input;
use crate::wire::patch::Patch;
use crate::wire::text::{Email, Name, Password, Secret};
use serde::Serialize;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Id};
use utoipa::ToSchema;

input! {
    /// A new account, and the barn it comes with: exactly one of `barn` and `invitation`.
    pub struct AccountIn {
        pub email: Email,
        pub name: Name,
        pub password: Password,
        /// The barn to found; the account becomes its trainer.
        pub barn: Patch<BarnIn>,
        /// The secret of the invitation to accept.
        pub invitation: Patch<Secret>,
    }
}

/// An account.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct AccountOut {
    pub id: Id<Account>,
    pub email: Email,
    pub name: Name,
    pub created_at: Instant,
    /// The barns it belongs to, and as what.
    #[schema(max_items = 100)]
    pub memberships: Vec<MembershipOut>,
}

input! {
    /// What to change of one's account.
    pub struct AccountPatch {
        pub name: Patch<Name>,
    }
}

input! {
    /// A new password, and the present one.
    pub struct PasswordChange {
        pub old_password: Password,
        pub new_password: Password,
    }
}

input! {
    /// The invitation to accept.
    pub struct JoinIn {
        pub invitation: Secret,
    }
}

input! {
    /// Who signs in.
    pub struct SignInIn {
        pub email: Email,
        pub password: Password,
        /// A refresh token that this device was given before, even one that is used up: its guesses are then
        /// counted apart from those of strangers.
        pub known_by: Option<Secret>,
    }
}

input! {
    /// The token to exchange.
    pub struct RefreshIn {
        pub refresh_token: Secret,
    }
}

/// The tokens of a sign-in.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SignInOut {
    /// Goes into `Authorization: Bearer …` of every request.
    #[schema(max_length = 2048)]
    pub access_token: String,
    /// Always `Bearer`.
    #[schema(max_length = 6, value_type = String, example = "Bearer")]
    pub token_type: &'static str,
    /// Seconds until the access token expires.
    #[schema(minimum = 1, maximum = 31536000)]
    pub expires_in: i64,
    /// Good for one exchange; presented a second time it ends the sign-in.
    #[schema(value_type = Secret)]
    pub refresh_token: String,
    pub account_id: Id<Account>,
    /// The barns the account belongs to, and as what.
    #[schema(max_items = 100)]
    pub memberships: Vec<MembershipOut>,
}
