//! The addresses of sign-ins.
use super::guesses::{self, Guesser};
use super::wire::{RefreshIn, SignInIn, SignInOut};
use super::{accounts, tokens};
use crate::access::caller::Caller;
use crate::access::guard::{Entity, May, NoKey, Public, Remove};
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::db::scope::Scope;
use crate::log;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::json::Json;
use diesel::QueryResult;
use stridewright_core::ids::{Account, Id, SignIn};
use stridewright_core::policy::{Relation, Resource};

/// Sign in.
///
/// Answers an access token and a refresh token. After five wrong guesses at one address each further one is
/// answered 429 for a while, from a second up to an hour, and after fifty until 30 days are over or the password
/// was reset, whether or not the address has an account. A device that was signed in before shows a refresh
/// token in `known_by`: its guesses are counted apart, so that strangers cannot keep it out.
#[utoipa::path(post, path = "/api/v1/sign-ins", request_body = SignInIn,
    responses((status = 201, description = "The tokens of a new sign-in.", body = SignInOut),
        (status = 401, description = "Not this address with this password.")))]
pub async fn create(public: Public, body: Json<SignInIn>) -> Result<Reply<SignInOut>, Problem> {
    let SignInIn { email, password, known_by } = body.value()?;
    let (key, wrong) = (email.key(), || Problem::new(Kind::WrongPassword));
    // in a flood a refusal costs next to nothing
    let place = public.app().hasher.place()?;
    let found = {
        let key = key.clone();
        public.read(Scope::email(&key), move |_, c| Ok(accounts::by_email(c, &key)?)).await?
    };
    let mut device = None;
    if let Some(token) = known_by.as_ref().and_then(tokens::Presented::read) {
        let of = token.account;
        let known = public.read(Scope::account(of), move |_, c| Ok(tokens::known_device(c, &token)?)).await?;
        device = known.filter(|_| found.as_ref().is_some_and(|row| row.id == of));
    }
    let guesser = Guesser::new(&key, device);
    let stored = found.as_ref().map(|row| row.password_hash.clone());
    let fits = guesses::fits(public.app(), &guesser, place, &password, stored).await?;
    let Some(row) = found.filter(|_| fits) else {
        log::wrong_guess(&key);
        return Err(wrong());
    };
    let account = row.id;
    let reply = public
        .write(Scope::account(account), move |app, c, now| {
            // unless the password was changed meanwhile
            let same = accounts::by_email(c, &key)?.is_some_and(|now| now.password_hash == row.password_hash);
            if !same {
                return Err(wrong());
            }
            guesses::forgive(c, &guesser)?;
            Ok(Reply::created(&tokens::begin(app, c, row.id, now)?, "/api/v1/me".to_owned()))
        })
        .await?;
    log::sign_in("signed_in", account);
    Ok(reply)
}

/// Exchange a refresh token.
///
/// Each is good for one exchange. One that comes a second time ends the sign-in, with all its tokens.
#[utoipa::path(post, path = "/api/v1/sign-ins/refresh", request_body = RefreshIn,
    responses((status = 200, description = "New tokens of the same sign-in.", body = SignInOut),
        (status = 401, description = "Not a token that can be exchanged.")))]
pub async fn refresh(public: Public, body: Json<RefreshIn>) -> Result<Reply<SignInOut>, Problem> {
    let RefreshIn { refresh_token } = body.value()?;
    let refused = || Problem::new(Kind::Unauthenticated);
    let token = tokens::Presented::read(&refresh_token).ok_or_else(refused)?;
    public
        .write(Scope::account(token.account), move |app, c, now| tokens::exchange(app, c, &token, now))
        .await?
        .map(|tokens| Reply::ok(&tokens))
}

/// The sign-ins of the caller, and which of them sends the request.
pub struct OwnSignIns {
    pub account: Id<Account>,
    pub current: Id<SignIn>,
}

impl Entity for OwnSignIns {
    const NAME: &'static str = "sign_ins";
    const RESOURCE: Resource = Resource::Account;
    type Key = NoKey;

    fn find(_: &mut AnyConn, who: &Standing, _: &NoKey) -> QueryResult<Option<Self>> {
        Ok(match who.caller {
            Caller::Account { account, sign_in } => Some(Self { account, current: sign_in }),
            Caller::Rail { .. } => None,
        })
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation { own: true, ..Relation::default() }
    }
}

/// Sign out.
///
/// Ends the sign-in that sends the request: its tokens are refused from the next request on. Rail links stay: they
/// act by a trainer's right, and that is not lost with one device.
#[utoipa::path(delete, path = "/api/v1/sign-ins/current", responses((status = 204, description = "Signed out.")))]
pub async fn sign_out(may: May<OwnSignIns, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, own| {
        let now = tx.now;
        tokens::end(tx.conn(), own.account, own.current, now)?;
        log::sign_in("signed_out", own.account);
        Ok(Reply::empty())
    })
    .await
}

/// Sign out everywhere.
///
/// Ends every sign-in of the account, this one included, and the rail links that it handed out.
#[utoipa::path(delete, path = "/api/v1/sign-ins",
    responses((status = 204, description = "Signed out everywhere.")))]
pub async fn sign_out_everywhere(may: May<OwnSignIns, Remove>) -> Result<Reply<()>, Problem> {
    may.write_empty(|tx, own| {
        let now = tx.now;
        tokens::end_all(tx.conn(), own.account, None, now)?;
        log::sign_in("signed_out_everywhere", own.account);
        Ok(Reply::empty())
    })
    .await
}
