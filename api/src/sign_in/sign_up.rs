//! Signing up: by founding a barn, or by an invitation.
use super::accounts::{self, AccountRow};
use super::wire::{AccountIn, AccountOut};
use crate::access::audit;
use crate::access::guard::{Head, Public};
use crate::access::reply::Reply;
use crate::barns::memberships;
use crate::barns::rows::found;
use crate::barns::wire::BarnIn;
use crate::db::conn::AnyConn;
use crate::db::scope::{self, Scope};
use crate::invitations::accept::{Presented, accept};
use crate::problem::Problem;
use crate::state::App;
use crate::wire::either::{Either, either};
use crate::wire::json::Json;
use crate::wire::patch::Patch;
use crate::wire::text::{Email, Name, Secret};
use stridewright_core::calendar::Instant;

/// How the account comes to its first barn.
enum Way {
    Found(BarnIn),
    Join(Presented),
}

impl Way {
    fn of(barn: Patch<BarnIn>, invitation: Patch<Secret>) -> Result<Self, Problem> {
        match either("", ("barn", barn), ("invitation", invitation))? {
            Either::First(barn) => Ok(Self::Found(barn)),
            Either::Second(secret) => Presented::read(&secret).map(Self::Join),
        }
    }
}

/// Sign up.
///
/// Founds a barn, or accepts an invitation; then sign in with the same e-mail address and password. The
/// request has no Idempotency-Key: a repetition of one that arrived is answered 409 at `/email`, and the
/// account is there to sign in with.
#[utoipa::path(post, path = "/api/v1/accounts", request_body = AccountIn,
    responses((status = 201, description = "The new account.", body = AccountOut)))]
pub async fn sign_up(public: Public, body: Json<AccountIn>) -> Result<Reply<AccountOut>, Problem> {
    let AccountIn { email, name, password, barn, invitation } = body.value()?;
    let way = Way::of(barn, invitation)?;
    let (key, presented) = (email.key(), if let Way::Join(presented) = &way { Some(presented.clone()) } else { None });
    let barn = presented.as_ref().map(|presented| presented.barn_id);
    let place = public.app().hasher.place()?;
    // what is refused anyway costs no hash
    public
        .read(Scope::email(&key).in_barn(barn), move |app, c| {
            accounts::require_free(c, &key)?;
            presented.map_or(Ok(()), |presented| presented.open(c, app.clock.now()).map(|_| ()))
        })
        .await?;
    let hash = public.app().hasher.hash(place, password.as_str().to_owned()).await?;
    let head = public.head().clone();
    public
        .write(Scope::nobody().in_barn(barn), move |app, c, now| create(app, c, &head, (email, name, hash), way, now))
        .await
}

fn create(
    app: &App,
    c: &mut AnyConn,
    head: &Head,
    (email, name, password_hash): (Email, Name, String),
    way: Way,
    now: Instant,
) -> Result<Reply<AccountOut>, Problem> {
    let row = AccountRow {
        id: app.new_id(),
        email_key: email.key(),
        email: email.as_str().to_owned(),
        name: name.into_string(),
        password_hash,
        disabled_at: None,
        version: 1,
        created_at: now,
    };
    scope::become_account(c, row.id)?;
    accounts::insert(c, &row)?;
    let founder = (row.id, row.name.clone());
    let person = match way {
        Way::Found(barn) => found(app, c, founder, barn, "/barn", now)?.1,
        Way::Join(presented) => accept(app, c, &presented, founder, now)?,
    };
    // the body holds a password: its digest is not kept
    audit::append(c, person.barn_id, row.id.uuid(), head, "account", &row.id.to_string(), 201, b"", now)?;
    let memberships = memberships::of(c, row.id, now)?;
    Ok(Reply::created(&accounts::show(row, memberships)?, "/api/v1/me".to_owned()))
}
