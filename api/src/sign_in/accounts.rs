//! The rows of accounts.
use super::wire::AccountOut;
use crate::barns::memberships::Membership;
use crate::db::conn::AnyConn;
use crate::db::schema::account;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Id};

/// One row.
#[derive(Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = account, treat_none_as_default_value = false)]
pub struct AccountRow {
    pub id: Id<Account>,
    pub email: String,
    pub email_key: String,
    pub name: String,
    pub password_hash: String,
    pub disabled_at: Option<Instant>,
    pub version: i64,
    pub created_at: Instant,
}

pub fn find(c: &mut AnyConn, id: Id<Account>) -> QueryResult<Option<AccountRow>> {
    on_each!(c, |c| account::table.find(id).select(AccountRow::as_select()).first(c).optional())
}

/// Stores a changed row, as its next version.
pub fn update(c: &mut AnyConn, row: AccountRow) -> QueryResult<AccountRow> {
    let row = AccountRow { version: row.version + 1, ..row };
    on_each!(c, |c| diesel::update(account::table.find(row.id))
        .set((
            account::name.eq(&row.name),
            account::password_hash.eq(&row.password_hash),
            account::version.eq(row.version),
        ))
        .execute(c))?;
    Ok(row)
}

/// The account with the address, unless it is disabled.
pub fn by_email(c: &mut AnyConn, key: &str) -> QueryResult<Option<AccountRow>> {
    Ok(by_address(c, key)?.filter(|row| row.disabled_at.is_none()))
}

/// The account with the address, disabled or not.
pub fn by_address(c: &mut AnyConn, key: &str) -> QueryResult<Option<AccountRow>> {
    on_each!(c, |c| account::table
        .filter(account::email_key.eq(key))
        .select(AccountRow::as_select())
        .first(c)
        .optional())
}

/// Refuses an address that has an account already.
pub fn require_free(c: &mut AnyConn, key: &str) -> Result<(), Problem> {
    let found: Option<Id<Account>> =
        on_each!(c, |c| account::table.filter(account::email_key.eq(key)).select(account::id).first(c).optional())?;
    if found.is_some() { Err(taken()) } else { Ok(()) }
}

fn taken() -> Problem {
    Problem::field(Kind::Conflict, "/email", "conflict", "has an account already; sign in with it")
}

pub fn insert(c: &mut AnyConn, row: &AccountRow) -> Result<(), Problem> {
    match on_each!(c, |c| diesel::insert_into(account::table).values(row).execute(c)) {
        Ok(_) => Ok(()),
        Err(error) if crate::db::errors::is_unique(&error) => Err(taken()),
        Err(error) => Err(error.into()),
    }
}

/// The account as it sees itself.
pub fn show(row: AccountRow, memberships: Vec<Membership>) -> Result<AccountOut, Problem> {
    let internal = |_| Problem::new(Kind::Internal);
    Ok(AccountOut {
        id: row.id,
        email: row.email.try_into().map_err(internal)?,
        name: row.name.try_into().map_err(internal)?,
        created_at: row.created_at,
        memberships: memberships.into_iter().map(Membership::show).collect::<Result<_, Problem>>()?,
    })
}
