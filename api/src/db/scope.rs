//! Whose rows a unit of work sees: on PostgreSQL row-level security holds to what is said here, so that a query
//! that forgets its barn finds nothing of another's. On SQLite the queries and the keys alone keep them apart.
use super::conn::AnyConn;
use super::role::SERVICE;
use crate::state::digest;
use diesel::QueryResult;
use stridewright_core::ids::{Account, Barn, Id};

/// A barn, an account and an address asked about, as far as they are known when the work begins.
#[derive(Debug, Clone, Default, PartialEq, Eq)]
pub struct Scope {
    barn: Option<Id<Barn>>,
    account: Option<Id<Account>>,
    /// The digest of an e-mail address.
    email: Option<String>,
}

impl Scope {
    /// Before anybody is known.
    pub fn nobody() -> Self {
        Self::default()
    }

    pub fn barn(id: Id<Barn>) -> Self {
        Self { barn: Some(id), ..Self::default() }
    }

    /// The account's own rows, and its memberships in every barn.
    pub fn account(id: Id<Account>) -> Self {
        Self { account: Some(id), ..Self::default() }
    }

    /// The one account of an address: of one who signs in or up and is not known yet.
    pub fn email(key: &str) -> Self {
        Self { email: Some(digest(key)), ..Self::default() }
    }

    #[must_use]
    pub fn in_barn(mut self, id: Option<Id<Barn>>) -> Self {
        self.barn = id;
        self
    }

    /// One statement, so that it costs one round trip, with what begins the transaction and what it locks. Ids and
    /// digests only: nothing in it needs quoting.
    pub(super) fn begin(&self, begin: &str, locks: bool) -> String {
        let text = |id: Option<String>| id.unwrap_or_default();
        let (barn, account) = (self.barn.map(|id| id.to_string()), self.account.map(|id| id.to_string()));
        let lock = match (locks, &barn, &account) {
            (true, Some(barn), _) => lock_barn(barn),
            (true, None, Some(account)) => format!("SELECT 1 FROM account WHERE id = '{account}' FOR NO KEY UPDATE"),
            _ => String::new(),
        };
        format!(
            "{begin}; SELECT set_config('role', '{SERVICE}', true), set_config('stridewright.barn', '{}', true), \
             set_config('stridewright.account', '{}', true), set_config('stridewright.email', '{}', true); {lock}",
            text(barn),
            text(account),
            text(self.email.clone()),
        )
    }
}

fn lock_barn(barn: &str) -> String {
    format!("SELECT 1 FROM barn WHERE barn_id = '{barn}' FOR NO KEY UPDATE")
}

/// Goes on in a barn that became known only now; the account stays.
pub fn enter(c: &mut AnyConn, barn: Id<Barn>) -> QueryResult<()> {
    set(c, "barn", &barn.to_string(), "")
}

/// The same, and takes the barn's lock.
pub fn enter_locked(c: &mut AnyConn, barn: Id<Barn>) -> QueryResult<()> {
    set(c, "barn", &barn.to_string(), &lock_barn(&barn.to_string()))
}

/// Goes on in no barn.
pub fn leave(c: &mut AnyConn) -> QueryResult<()> {
    set(c, "barn", "", "")
}

/// Goes on as an account that became known only now: one that is being made.
pub fn become_account(c: &mut AnyConn, account: Id<Account>) -> QueryResult<()> {
    set(c, "account", &account.to_string(), "")
}

fn set(c: &mut AnyConn, name: &str, value: &str, then: &str) -> QueryResult<()> {
    if c.is_sqlite() {
        return Ok(()); // and BEGIN IMMEDIATE holds the whole file
    }
    c.batch(&format!("SELECT set_config('stridewright.{name}', '{value}', true); {then}"))
}
