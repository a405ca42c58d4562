//! The addresses of sign-ins.
use super::wire::{RefreshIn, SignInIn, SignInOut};
use super::{accounts, guesses, tokens};
use crate::access::guard::Public;
use crate::access::reply::Reply;
use crate::db::pool::Scope;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::json::Json;

/// Sign in.
///
/// Answers an access token and a refresh token. After ten wrong guesses at one address within a quarter of
/// an hour, further ones are answered 429 until it is over, whether or not the address has an account.
#[utoipa::path(post, path = "/api/v1/sign-ins", request_body = SignInIn,
    responses((status = 200, description = "The tokens of a new sign-in.", body = SignInOut)))]
pub async fn create(public: Public, body: Json<SignInIn>) -> Result<Reply<SignInOut>, Problem> {
    let SignInIn { email, password } = body.value()?;
    let key = email.key();
    let found = public
        .write(Scope::Nothing, move |_, c, now| {
            guesses::count(c, &key, now)?;
            Ok(accounts::by_email(c, &key)?)
        })
        .await?;
    let stored = found.as_ref().map(|row| row.password_hash.clone());
    let checked = public.app().hasher.check(password.as_str().to_owned(), stored).await;
    let key = email.key();
    let (Ok(fits), row) = (&checked, found) else {
        // not tried, so not counted
        public.write(Scope::Nothing, move |_, c, _| Ok(guesses::take_back(c, &key)?)).await?;
        return Err(checked.err().unwrap_or_else(|| Problem::new(Kind::Internal)));
    };
    let wrong = || Problem::new(Kind::WrongPassword);
    let Some(row) = row.filter(|_| *fits) else { return Err(wrong()) };
    public
        .write(Scope::Account(row.id), move |app, c, now| {
            // unless the password was changed meanwhile
            let same = accounts::by_email(c, &key)?.is_some_and(|now| now.password_hash == row.password_hash);
            if !same {
                return Err(wrong());
            }
            guesses::take_back(c, &key)?;
            Ok(Reply::ok(&tokens::begin(app, c, row.id, now)?))
        })
        .await
}

/// Exchange a refresh token.
///
/// Each is good for one exchange. One that comes a second time ends the sign-in, with all its tokens.
#[utoipa::path(post, path = "/api/v1/sign-ins/refresh", request_body = RefreshIn,
    responses((status = 200, description = "New tokens of the same sign-in.", body = SignInOut)))]
pub async fn refresh(public: Public, body: Json<RefreshIn>) -> Result<Reply<SignInOut>, Problem> {
    let RefreshIn { refresh_token } = body.value()?;
    let refused = || Problem::new(Kind::Unauthenticated);
    let token = tokens::Presented::read(&refresh_token).ok_or_else(refused)?;
    public
        .write(Scope::Account(token.account), move |app, c, now| tokens::exchange(app, c, &token, now))
        .await?
        .map(|tokens| Reply::ok(&tokens))
}
