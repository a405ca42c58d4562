//! The rows of invitations.
use super::accept::PREFIX;
use super::wire::{InvitationIn, InvitationOut, InvitationQuery};
use crate::access::caller::join_secret;
use crate::access::read::Look;
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::db::schema::invitation;
use crate::on_each;
use crate::people::rows as people;
use crate::people::wire::{from_roles, to_roles};
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::digest;
use crate::wire::page::{Cursor, Page, Rows};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Barn, Id, Invitation, Person};
use stridewright_core::policy::Roles;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = invitation, treat_none_as_default_value = false)]
pub struct InvitationRow {
    pub barn_id: Id<Barn>,
    pub id: Id<Invitation>,
    pub secret_hash: String,
    pub name: String,
    pub trainer: bool,
    pub rider: bool,
    pub owner: bool,
    pub person_id: Option<Id<Person>>,
    pub guardian_of: Option<Id<Person>>,
    pub expires_at: Instant,
    pub accepted_at: Option<Instant>,
    pub accepted_by: Option<Id<Person>>,
    pub revoked_at: Option<Instant>,
    pub created_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

impl InvitationRow {
    pub const fn roles(&self) -> Roles {
        Roles { trainer: self.trainer, rider: self.rider, owner: self.owner, rail: false }
    }

    /// The invitation as a trainer sees it; with its secret only once.
    pub fn show(self, secret: Option<String>) -> Result<InvitationOut, Problem> {
        Ok(InvitationOut {
            id: self.id,
            roles: from_roles(self.roles()),
            name: self.name.try_into().map_err(|_| Problem::new(Kind::Internal))?,
            person_id: self.person_id,
            guardian_of: self.guardian_of,
            expires_at: self.expires_at,
            accepted_at: self.accepted_at,
            accepted_by: self.accepted_by,
            revoked_at: self.revoked_at,
            created_by: self.created_by,
            created_at: self.created_at,
            secret,
        })
    }
}

pub fn find(c: &mut AnyConn, barn: Id<Barn>, id: Id<Invitation>) -> QueryResult<Option<InvitationRow>> {
    on_each!(c, |c| invitation::table.find((barn, id)).select(InvitationRow::as_select()).first(c).optional())
}

/// A page of the invitations, in the order of their ids.
pub fn page(look: &mut Look<'_>, query: &InvitationQuery) -> Result<Page<InvitationOut>, Problem> {
    let (barn, size) = (look.who.barn_id, query.limit.unwrap_or_default());
    let after: Option<Id<Invitation>> = query.cursor.as_ref().map(Cursor::key).transpose()?;
    let rows: Vec<InvitationRow> = on_each!(look.conn(), |c| {
        let mut rows = invitation::table
            .filter(invitation::barn_id.eq(barn))
            .select(InvitationRow::as_select())
            .order(invitation::id)
            .limit(size.one_more())
            .into_boxed();
        if let Some(after) = after {
            rows = rows.filter(invitation::id.gt(after));
        }
        rows.load(c)
    })?;
    Rows::cut(rows, size, |row| row.id).show(|row| row.show(None))
}

/// How long an invitation is good for where it is not said, in days.
const DAYS: i64 = 14;

/// Stores a new invitation; answers its row and its secret.
pub fn create(tx: &mut Tx<'_>, new: InvitationIn) -> Result<(InvitationRow, String), Problem> {
    let (barn_id, today, now) = (tx.who.barn_id, tx.who.today(tx.now), tx.now);
    let roles = to_roles(&new.roles.0);
    match (new.person_id, new.guardian_of) {
        (None, None) if !roles.member() => {
            return Err(Problem::at_odds("/roles", "must name a role, unless person_id or guardian_of is given"));
        }
        (Some(_), Some(_)) => return Err(Problem::at_odds("/guardian_of", "cannot stand beside person_id")),
        _ => {}
    }
    if let Some(person) = new.person_id {
        let found = people::find(tx.conn(), barn_id, person)?;
        let person = found.ok_or_else(|| Problem::unknown_reference("/person_id", "person"))?;
        if person.account_id.is_some() {
            return Err(Problem::at_odds("/person_id", "has a sign-in already"));
        }
    }
    if let Some(minor) = new.guardian_of {
        let found = people::find(tx.conn(), barn_id, minor)?;
        let minor = found.ok_or_else(|| Problem::unknown_reference("/guardian_of", "person"))?;
        if !minor.is_minor(today) {
            return Err(Problem::at_odds("/guardian_of", "must be a minor"));
        }
    }
    let (id, secret) = (new.id.unwrap_or_else(|| tx.app.new_id()), tx.app.new_secret());
    let days = new.expires_in_days.map_or(DAYS, |days| i64::from(days.get()));
    let row = InvitationRow {
        barn_id,
        id,
        secret_hash: digest(&secret),
        name: new.name.into_string(),
        trainer: roles.trainer,
        rider: roles.rider,
        owner: roles.owner,
        person_id: new.person_id,
        guardian_of: new.guardian_of,
        expires_at: now.plus_seconds(days * 24 * 3600),
        accepted_at: None,
        accepted_by: None,
        revoked_at: None,
        created_by: tx.who.person_id,
        version: 1,
        created_at: now,
    };
    on_each!(tx.conn(), |c| diesel::insert_into(invitation::table).values(&row).execute(c))?;
    Ok((row, join_secret(PREFIX, barn_id.uuid(), id.uuid(), &secret)))
}

/// Takes it back, as long as nobody accepted it.
pub fn revoke(tx: &mut Tx<'_>, row: &InvitationRow) -> Result<(), Problem> {
    if row.accepted_at.is_some() || row.revoked_at.is_some() {
        let detail = "The invitation was accepted or revoked before.";
        return Err(Problem::new(Kind::WrongState).with_detail(detail));
    }
    let now = tx.now;
    on_each!(tx.conn(), |c| diesel::update(invitation::table.find((row.barn_id, row.id)))
        .set((invitation::revoked_at.eq(now), invitation::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}
