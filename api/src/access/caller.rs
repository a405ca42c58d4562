//! Who sends the request, as far as their credentials say.
use crate::db::conn::AnyConn;
use crate::db::schema::{account, person, rail_link, sign_in};
use crate::db::scope::Scope;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::sign_in::keys::Claims;
use crate::state::{App, digest, uuid_of};
use actix_web::HttpRequest;
use actix_web::http::header;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Id, Person, RailLink, Session, SignIn};
use uuid::Uuid;

/// A bearer token, not yet looked at.
#[derive(Debug, Clone)]
pub struct Bearer(String);

/// The most characters a token may have.
const LONGEST: usize = 2048;

impl Bearer {
    pub fn of(request: &HttpRequest) -> Result<Self, Problem> {
        let refused = || Problem::new(Kind::Unauthenticated);
        let mut headers = request.headers().get_all(header::AUTHORIZATION);
        let (Some(value), None) = (headers.next(), headers.next()) else { return Err(refused()) };
        let (scheme, token) = value.to_str().ok().and_then(|v| v.split_once(' ')).ok_or_else(refused)?;
        if scheme.eq_ignore_ascii_case("bearer") && !token.is_empty() && token.len() <= LONGEST {
            Ok(Self(token.to_owned()))
        } else {
            Err(refused())
        }
    }
}

/// Somebody whose credentials hold.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Caller {
    Account {
        account: Id<Account>,
        sign_in: Id<SignIn>,
    },
    /// A helper with a link to one session; `by` handed it out.
    Rail {
        barn: Id<Barn>,
        link: Id<RailLink>,
        session: Id<Session>,
        by: Id<Person>,
    },
}

impl Caller {
    /// For the audit log, and to tell callers' keys apart.
    pub const fn id(&self) -> Uuid {
        match self {
            Self::Account { account, .. } => account.uuid(),
            Self::Rail { link, .. } => link.uuid(),
        }
    }
}

/// What a bearer claims, as far as that can be told without the tables.
#[derive(Debug, Clone)]
pub enum Claim {
    /// A token that we signed.
    Token(Claims),
    /// `<barn>_<link>_<secret>`: the barn comes first, so that the look-up is scoped.
    Rail { barn: Id<Barn>, link: Id<RailLink>, secret_hash: String },
}

impl Claim {
    pub fn of(app: &App, bearer: &Bearer) -> Result<Self, Problem> {
        let claim = match bearer.0.strip_prefix("rail_") {
            Some(rest) => split_secret(rest).map(|(barn, link, secret)| Self::Rail {
                barn: barn.into(),
                link: link.into(),
                secret_hash: digest(secret),
            }),
            None => app.keys.verify(&app.db, &bearer.0, app.clock.now())?.map(Self::Token),
        };
        claim.ok_or_else(|| Problem::new(Kind::Unauthenticated))
    }

    /// What the work on an address of the barn may see. A rail link opens nothing outside of its own barn.
    pub fn scope(&self, barn: Option<Id<Barn>>) -> Scope {
        match self {
            Self::Token(claims) => Scope::account(claims.sub).in_barn(barn),
            Self::Rail { barn, .. } => Scope::barn(*barn),
        }
    }

    /// Asks the database whether it still holds: a revocation bites at once.
    pub fn prove(&self, c: &mut AnyConn, now: Instant) -> Result<Caller, Problem> {
        let caller = match self {
            Self::Token(claims) if claims.holds(now) => signed_in(c, claims)?,
            Self::Token(_) => None,
            Self::Rail { barn, link, secret_hash } => rail(c, *barn, *link, secret_hash, now)?,
        };
        caller.ok_or_else(|| Problem::new(Kind::Unauthenticated))
    }
}

fn signed_in(c: &mut AnyConn, claims: &Claims) -> QueryResult<Option<Caller>> {
    let (account, sign_in) = (claims.sub, claims.sid);
    let live: Option<Id<SignIn>> = on_each!(c, |c| sign_in::table
        .find((account, sign_in))
        .inner_join(account::table.on(account::id.eq(sign_in::account_id)))
        .filter(sign_in::ended_at.is_null().and(account::disabled_at.is_null()))
        .select(sign_in::id)
        .first(c)
        .optional())?;
    Ok(live.map(|_| Caller::Account { account, sign_in }))
}

/// A helper acts by the right of the trainer who handed the link out: without that right it opens nothing.
fn rail(
    c: &mut AnyConn,
    barn: Id<Barn>,
    link: Id<RailLink>,
    secret_hash: &str,
    now: Instant,
) -> QueryResult<Option<Caller>> {
    let row: Option<(Id<Session>, Id<Person>)> = on_each!(c, |c| rail_link::table
        .find((barn, link))
        .inner_join(person::table.on(person::barn_id.eq(rail_link::barn_id).and(person::id.eq(rail_link::created_by))))
        .inner_join(account::table.on(person::account_id.eq(account::id.nullable())))
        .filter(rail_link::secret_hash.eq(secret_hash))
        .filter(rail_link::revoked_at.is_null().and(rail_link::expires_at.gt(now)))
        .filter(person::trainer.and(person::removed_at.is_null()).and(account::disabled_at.is_null()))
        .filter(
            account::links_void_before.is_null().or(account::links_void_before.lt(rail_link::created_at.nullable()))
        )
        .select((rail_link::session_id, rail_link::created_by))
        .first(c)
        .optional())?;
    Ok(row.map(|(session, by)| Caller::Rail { barn, link, session, by }))
}

/// Takes a secret of the form `<barn>_<row>_<secret>` apart.
pub fn split_secret(text: &str) -> Option<(Uuid, Uuid, &str)> {
    let (barn, rest) = text.split_once('_')?;
    let (row, secret) = rest.split_once('_')?;
    Some((uuid_of(barn)?, uuid_of(row)?, secret))
}

/// Puts such a secret together.
pub fn join_secret(prefix: &str, barn: Uuid, row: Uuid, secret: &str) -> String {
    format!("{prefix}_{}_{}_{secret}", barn.simple(), row.simple())
}
