//! Sign-ins and their tokens.
use super::wire::SignInOut;
use crate::access::caller::{join_secret, split_secret};
use crate::barns::memberships;
use crate::db::conn::AnyConn;
use crate::db::schema::{account, refresh_token, sign_in};
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::{App, digest};
use crate::wire::text::Secret;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Id, SignIn};
use uuid::Uuid;

const PREFIX: &str = "rt";

/// Begins a sign-in of the account.
pub fn begin(app: &App, c: &mut AnyConn, account: Id<Account>, now: Instant) -> Result<SignInOut, Problem> {
    let id: Id<SignIn> = app.new_id();
    on_each!(c, |c| diesel::insert_into(sign_in::table)
        .values((sign_in::account_id.eq(account), sign_in::id.eq(id), sign_in::created_at.eq(now)))
        .execute(c))?;
    grant(app, c, account, id, now)
}

/// New tokens of a live sign-in.
fn grant(
    app: &App,
    c: &mut AnyConn,
    account: Id<Account>,
    sign_in: Id<SignIn>,
    now: Instant,
) -> Result<SignInOut, Problem> {
    let (id, secret) = (app.new_id::<Uuid>(), app.new_secret());
    on_each!(c, |c| {
        diesel::delete(refresh_token::table)
            .filter(refresh_token::account_id.eq(account).and(refresh_token::expires_at.le(now)))
            .execute(c)?;
        diesel::insert_into(refresh_token::table)
            .values((
                refresh_token::account_id.eq(account),
                refresh_token::id.eq(id),
                refresh_token::sign_in_id.eq(sign_in),
                refresh_token::secret_hash.eq(digest(&secret)),
                refresh_token::expires_at.eq(now.plus_seconds(app.settings.refresh_seconds)),
            ))
            .execute(c)
    })?;
    Ok(SignInOut {
        access_token: app.keys.issue(app, c, account, sign_in, now)?,
        token_type: "Bearer",
        expires_in: app.settings.access_seconds,
        refresh_token: join_secret(PREFIX, account.uuid(), id.uuid(), &secret),
        account_id: account,
        memberships: memberships::show(c, account, now)?,
    })
}

/// A refresh token as somebody presents it.
pub struct Presented {
    pub account: Id<Account>,
    id: Id<Uuid>,
    secret_hash: String,
}

impl Presented {
    pub fn read(token: &Secret) -> Option<Self> {
        let rest = token.as_str().strip_prefix(PREFIX)?.strip_prefix('_')?;
        let (account, id, secret) = split_secret(rest)?;
        Some(Self { account: account.into(), id: id.into(), secret_hash: digest(secret) })
    }
}

/// Exchanges a refresh token. The inner refusal is to be committed: a token that comes a second time was
/// stolen from somebody, so its whole sign-in ends.
pub fn exchange(
    app: &App,
    c: &mut AnyConn,
    token: &Presented,
    now: Instant,
) -> Result<Result<SignInOut, Problem>, Problem> {
    let refused = || Ok(Err(Problem::new(Kind::Unauthenticated)));
    let row: Option<(Id<SignIn>, Instant)> = on_each!(c, |c| refresh_token::table
        .find((token.account, token.id))
        .inner_join(
            sign_in::table
                .on(sign_in::account_id.eq(refresh_token::account_id).and(sign_in::id.eq(refresh_token::sign_in_id)))
        )
        .inner_join(account::table.on(account::id.eq(refresh_token::account_id)))
        .filter(refresh_token::secret_hash.eq(&token.secret_hash))
        .filter(sign_in::ended_at.is_null().and(account::disabled_at.is_null()))
        .select((sign_in::id, refresh_token::expires_at))
        .first(c)
        .optional())?;
    let Some((sign_in, expires_at)) = row else { return refused() };
    if expires_at <= now {
        return refused();
    }
    let first = on_each!(c, |c| diesel::update(refresh_token::table.find((token.account, token.id)))
        .filter(refresh_token::used_at.is_null())
        .set(refresh_token::used_at.eq(now))
        .execute(c))?;
    if first == 0 {
        end(c, token.account, sign_in, now)?;
        crate::log::sign_in("refresh_token_presented_twice", token.account);
        return refused();
    }
    grant(app, c, token.account, sign_in, now).map(Ok)
}

/// The sign-in whose token this is or was: used up, or of a sign-in that ended, it still tells a device that
/// knew the password once from a stranger.
pub fn known_device(c: &mut AnyConn, token: &Presented) -> QueryResult<Option<Id<SignIn>>> {
    on_each!(c, |c| refresh_token::table
        .find((token.account, token.id))
        .filter(refresh_token::secret_hash.eq(&token.secret_hash))
        .select(refresh_token::sign_in_id)
        .first(c)
        .optional())
}

/// Ends one sign-in: its tokens are refused from the next request on.
pub fn end(c: &mut AnyConn, account: Id<Account>, id: Id<SignIn>, now: Instant) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(sign_in::table.find((account, id)))
        .filter(sign_in::ended_at.is_null())
        .set(sign_in::ended_at.eq(now))
        .execute(c))?;
    Ok(())
}

/// Ends all sign-ins of the account, but for the one to keep, and the rail links it handed out.
pub fn end_all(c: &mut AnyConn, of: Id<Account>, keep: Option<Id<SignIn>>, now: Instant) -> QueryResult<()> {
    let keep = keep.unwrap_or_else(|| Uuid::nil().into());
    on_each!(c, |c| diesel::update(sign_in::table)
        .filter(sign_in::account_id.eq(of).and(sign_in::id.ne(keep)).and(sign_in::ended_at.is_null()))
        .set(sign_in::ended_at.eq(now))
        .execute(c))?;
    on_each!(c, |c| diesel::update(account::table.find(of)).set(account::links_void_before.eq(now)).execute(c))?;
    Ok(())
}
