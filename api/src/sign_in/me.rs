//! The caller's own account.
use super::accounts::{self, AccountRow};
use super::guesses::{self, Guesser};
use super::handlers::OwnSignIns;
use super::tokens;
use super::wire::{AccountOut, AccountPatch, JoinIn, PasswordChange};
use crate::access::audit;
use crate::access::caller::Caller;
use crate::access::guard::{Change, Create, Entity, May, NoKey, Read};
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::barns::memberships::{self, Membership};
use crate::barns::wire::MembershipOut;
use crate::db::conn::AnyConn;
use crate::db::scope::enter_locked;
use crate::invitations::accept::{Presented, accept};
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::digest;
use crate::wire::json::Json;
use crate::wire::text::Name;
use diesel::QueryResult;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Id};
use stridewright_core::policy::{Relation, Resource};

/// The caller's account, and the barns it belongs to.
pub struct Me {
    row: AccountRow,
    memberships: Vec<Membership>,
}

impl Me {
    fn load(c: &mut AnyConn, account: Id<Account>, now: Instant) -> QueryResult<Option<Self>> {
        let Some(row) = accounts::find(c, account)? else { return Ok(None) };
        let memberships = memberships::of(c, account, now)?;
        Ok(Some(Self { row, memberships }))
    }

    fn reply(self) -> Result<Reply<AccountOut>, Problem> {
        let version = self.version().unwrap_or_default();
        Ok(Reply::ok(&accounts::show(self.row, self.memberships)?).version(version))
    }
}

impl Entity for Me {
    const NAME: &'static str = "me";
    const RESOURCE: Resource = Resource::Account;
    const VERSIONED: bool = true;
    type Key = NoKey;

    fn find(c: &mut AnyConn, who: &Standing, _: &NoKey) -> QueryResult<Option<Self>> {
        match who.caller {
            Caller::Account { account, .. } => Self::load(c, account, who.now),
            Caller::Rail { .. } => Ok(None),
        }
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation { own: true, ..Relation::default() }
    }

    /// It shows barns and people that have versions of their own, so its version is of all of them.
    fn version(&self) -> Option<i64> {
        let text = digest(&format!("{} {:?}", self.row.version, self.memberships));
        text.get(..15).and_then(|hex| i64::from_str_radix(hex, 16).ok())
    }

    fn subject(&self) -> String {
        self.row.id.to_string()
    }
}

/// One's own account.
///
/// With the barns it belongs to: the person it is there, the roles, and the minors it is guardian of.
#[utoipa::path(get, path = "/api/v1/me", responses((status = 200, description = "The account.", body = AccountOut)))]
pub async fn get_me(may: May<Me, Read>) -> Result<Reply<AccountOut>, Problem> {
    may.read(|_, me| me.reply()).await
}

/// Change one's own account.
///
/// The name of the account; the names of its people in the barns stay.
#[utoipa::path(patch, path = "/api/v1/me", request_body = AccountPatch,
    responses((status = 200, description = "The account as changed.", body = AccountOut)))]
pub async fn change_me(may: May<Me, Change>, body: Json<AccountPatch>) -> Result<Reply<AccountOut>, Problem> {
    may.write(body, |tx, Me { row, memberships }, patch| {
        let name = patch.name.into_option().map_or(row.name.clone(), Name::into_string);
        let row = accounts::update(tx.conn(), AccountRow { name, ..row })?;
        Me { row, memberships }.reply()
    })
    .await
}

/// Change one's password.
///
/// Ends every other sign-in of the account, and the rail links that it handed out. Wrong guesses at the old
/// password count as in signing in from a known device.
#[utoipa::path(post, path = "/api/v1/me/password", request_body = PasswordChange,
    responses((status = 204, description = "The new password holds.")))]
pub async fn change_password(may: May<OwnSignIns, Change>, body: Json<PasswordChange>) -> Result<Reply<()>, Problem> {
    let look = |c: &mut AnyConn, own: OwnSignIns| Ok((accounts::find(c, own.account)?, own.current));
    let (may, (row, current)) = may.without_key().read_first(look).await?;
    let row = row.ok_or_else(|| Problem::new(Kind::Unauthenticated))?;
    let guesser = Guesser::new(&row.email_key, Some(current));
    let PasswordChange { old_password, new_password } = body.value()?;
    let place = may.app().hasher.place()?;
    if !guesses::fits(may.app(), &guesser, place, &old_password, Some(row.password_hash.clone())).await? {
        crate::log::wrong_guess(&row.email_key);
        return Err(Problem::at_odds("/old_password", "is not the present password"));
    }
    let password_hash = may.app().hasher.hash(may.app().hasher.place()?, new_password.as_str().to_owned()).await?;
    may.write_empty(move |tx, own| {
        let now = tx.now;
        // unless it was changed meanwhile
        let present = accounts::find(tx.conn(), own.account)?.filter(|now| now.password_hash == row.password_hash);
        let present = present.ok_or_else(|| Problem::new(Kind::PreconditionFailed))?;
        guesses::forgive(tx.conn(), &guesser)?;
        accounts::update(tx.conn(), AccountRow { password_hash, ..present })?;
        tokens::end_all(tx.conn(), own.account, Some(own.current), now)?;
        crate::log::sign_in("password_changed", own.account);
        Ok(Reply::empty())
    })
    .await
}

/// The barns of the caller's account.
pub struct OwnMemberships {
    pub row: AccountRow,
}

impl Entity for OwnMemberships {
    const NAME: &'static str = "memberships";
    const RESOURCE: Resource = Resource::Account;
    type Key = NoKey;

    fn find(c: &mut AnyConn, who: &Standing, _: &NoKey) -> QueryResult<Option<Self>> {
        match who.caller {
            Caller::Account { account, .. } => Ok(accounts::find(c, account)?.map(|row| Self { row })),
            Caller::Rail { .. } => Ok(None),
        }
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation { own: true, ..Relation::default() }
    }
}

/// Accept an invitation.
///
/// Links the account to the person that the invitation names, adds its roles to the person that the account
/// has in the barn, or makes a person.
#[utoipa::path(post, path = "/api/v1/me/memberships", request_body = JoinIn,
    responses((status = 201, description = "The membership.", body = MembershipOut)))]
pub async fn join(may: May<OwnMemberships, Create>, body: Json<JoinIn>) -> Result<Reply<MembershipOut>, Problem> {
    may.write(body, |tx, OwnMemberships { row }, body| {
        let presented = Presented::read(&body.invitation)?;
        let (app, head, now, barn) = (tx.app, tx.head, tx.now, presented.barn_id);
        enter_locked(tx.conn(), barn)?;
        let (id, name) = (row.id, row.name);
        let person = accept(app, tx.conn(), &presented, (id, name), now)?;
        audit::append(tx.conn(), barn, id.uuid(), head, "membership", &person.id.to_string(), 201, b"", now)?;
        let membership = memberships::of(tx.conn(), id, now)?.into_iter().find(|m| m.barn.barn_id == barn);
        let shown = membership.ok_or_else(|| Problem::new(Kind::Internal))?.show()?;
        Ok(Reply::created(&shown, format!("/api/v1/barns/{barn}")))
    })
    .await
}
