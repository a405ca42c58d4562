//! What happens when an invitation is accepted.
use super::rows::InvitationRow;
use crate::access::caller::split_secret;
use crate::barns::memberships;
use crate::db::conn::AnyConn;
use crate::db::schema::invitation;
use crate::on_each;
use crate::people::guardian_rows;
use crate::people::rows::{self as people, PersonRow};
use crate::problem::Problem;
use crate::state::{App, digest};
use crate::wire::text::Secret;
use diesel::prelude::*;
use stridewright_core::calendar::{Instant, Zone};
use stridewright_core::ids::{Account, Barn, Id, Invitation};

/// The kind of secret, which begins with it.
pub const PREFIX: &str = "inv";

/// An invitation's secret as somebody presents it.
#[derive(Debug, Clone)]
pub struct Presented {
    pub barn_id: Id<Barn>,
    id: Id<Invitation>,
    secret_hash: String,
}

/// One answer for all that is wrong with an invitation: it tells nothing about the barn.
fn refused() -> Problem {
    Problem::at_odds("/invitation", "cannot be accepted: it is mistyped, used, revoked or expired")
}

impl Presented {
    pub fn read(secret: &Secret) -> Result<Self, Problem> {
        let rest = secret.as_str().strip_prefix(PREFIX).and_then(|rest| rest.strip_prefix('_'));
        let (barn, id, secret) = rest.and_then(split_secret).ok_or_else(refused)?;
        Ok(Self { barn_id: barn.into(), id: id.into(), secret_hash: digest(secret) })
    }

    /// The invitation, if it can be accepted now.
    pub fn open(&self, c: &mut AnyConn, now: Instant) -> Result<InvitationRow, Problem> {
        let row: Option<InvitationRow> = on_each!(c, |c| invitation::table
            .find((self.barn_id, self.id))
            .filter(invitation::secret_hash.eq(&self.secret_hash))
            .filter(invitation::accepted_at.is_null().and(invitation::revoked_at.is_null()))
            .filter(invitation::expires_at.gt(now))
            .select(InvitationRow::as_select())
            .first(c)
            .optional())?;
        row.ok_or_else(refused)
    }
}

/// Accepts it for the account: links the person it names, adds to the person the account has there, or
/// makes one. The barn's lock must be held.
pub fn accept(
    app: &App,
    c: &mut AnyConn,
    presented: &Presented,
    account: (Id<Account>, String),
    now: Instant,
) -> Result<PersonRow, Problem> {
    let row = presented.open(c, now)?;
    let (account, name) = account;
    let own = people::of_account(c, row.barn_id, account)?;
    let person = match (row.person_id, own) {
        (Some(_), Some(_)) => {
            let message = "is for somebody who has no account in the barn yet; you have one";
            return Err(Problem::at_odds("/invitation", message));
        }
        (Some(person), None) => {
            memberships::require_room(c, account)?;
            let person = people::find(c, row.barn_id, person)?.filter(|p| p.account_id.is_none());
            add(c, person.ok_or_else(refused)?, Some(account), &row)?
        }
        (None, Some(own)) => add(c, own, Some(account), &row)?,
        (None, None) => {
            memberships::require_room(c, account)?;
            let person = PersonRow::new(row.barn_id, app.new_id(), Some(account), name, row.roles(), now);
            people::insert(c, &person)?;
            person
        }
    };
    if let Some(minor) = row.guardian_of {
        let zone = crate::barns::rows::find(c, row.barn_id)?.and_then(|barn| Zone::new(&barn.time_zone).ok());
        let today = now.day(&zone.unwrap_or_else(Zone::utc));
        let minor = people::find(c, row.barn_id, minor)?.filter(|p| p.is_minor(today)).ok_or_else(refused)?;
        if person.is_minor(today) || person.id == minor.id {
            return Err(refused());
        }
        guardian_rows::add(c, &minor, &person, now)?;
    }
    on_each!(c, |c| diesel::update(invitation::table.find((row.barn_id, row.id)))
        .set((
            invitation::accepted_at.eq(now),
            invitation::accepted_by.eq(person.id),
            invitation::version.eq(row.version + 1),
        ))
        .execute(c))?;
    Ok(person)
}

fn add(
    c: &mut AnyConn,
    person: PersonRow,
    account_id: Option<Id<Account>>,
    row: &InvitationRow,
) -> QueryResult<PersonRow> {
    let person = PersonRow {
        account_id,
        trainer: person.trainer || row.trainer,
        rider: person.rider || row.rider,
        owner: person.owner || row.owner,
        ..person
    };
    people::update(c, person)
}
