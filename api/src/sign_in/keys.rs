//! Signing keys and access tokens (JWT, RFC 7519, in the form of RFC 9068).
//!
//! Keys live in the database, so that any process can check any other's tokens; each signs for a month
//! and is accepted until the last of its tokens has expired.
use crate::db::conn::AnyConn;
use crate::db::pool::Db;
use crate::db::schema::signing_key;
use crate::db::scope::Scope;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::{App, digest};
use base64::Engine;
use base64::engine::general_purpose::URL_SAFE_NO_PAD;
use diesel::prelude::*;
use jsonwebtoken::{Algorithm, DecodingKey, EncodingKey, Header, Validation};
use serde::{Deserialize, Serialize};
use std::sync::{PoisonError, RwLock};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Id, SignIn};

const ISSUER: &str = "stridewright";
const AUDIENCE: &str = "stridewright-api";
/// The registered type of an access token.
const TYPE: &str = "at+jwt";
/// How long a key signs, and how long after that it is still accepted, in seconds.
const SIGNS: i64 = 30 * 24 * 3600;
const OVERLAP: i64 = 24 * 3600;

/// What an access token says.
#[derive(Debug, Clone, Serialize, Deserialize)]
pub struct Claims {
    pub iss: String,
    pub aud: String,
    /// The account.
    pub sub: Id<Account>,
    /// The sign-in, which may be ended at any time.
    pub sid: Id<SignIn>,
    pub iat: i64,
    pub nbf: i64,
    pub exp: i64,
}

impl Claims {
    /// Whether it has not expired yet.
    pub fn holds(&self, now: Instant) -> bool {
        now.micros().div_euclid(1_000_000) < self.exp
    }
}

#[derive(Debug, Clone)]
struct Key {
    kid: String,
    secret: Vec<u8>,
    created_at: Instant,
    retires_at: Instant,
}

/// The keys known to this process.
#[derive(Default)]
pub struct Keys(RwLock<Vec<Key>>);

impl Keys {
    fn known(&self) -> Vec<Key> {
        self.0.read().unwrap_or_else(PoisonError::into_inner).clone()
    }

    fn load(&self, c: &mut AnyConn) -> QueryResult<Vec<Key>> {
        let rows: Vec<(String, String, Instant, Instant)> =
            on_each!(c, |c| signing_key::table.order(signing_key::created_at.desc()).load(c))?;
        let keys: Vec<Key> = rows
            .into_iter()
            .filter_map(|(kid, secret, created_at, retires_at)| {
                URL_SAFE_NO_PAD.decode(secret).ok().map(|secret| Key { kid, secret, created_at, retires_at })
            })
            .collect();
        self.0.write().unwrap_or_else(PoisonError::into_inner).clone_from(&keys);
        Ok(keys)
    }

    /// The claims of a token that is ours, unaltered and of this hour; `None` for any other.
    pub fn verify(&self, db: &Db, token: &str, now: Instant) -> Result<Option<Claims>, Problem> {
        let Ok(header) = jsonwebtoken::decode_header(token) else { return Ok(None) };
        let (Some(kid), Some(TYPE)) = (header.kid, header.typ.as_deref()) else { return Ok(None) };
        let usable = |keys: Vec<Key>| keys.into_iter().find(|key| key.kid == kid && key.retires_at > now);
        let key = match usable(self.known()) {
            Some(key) => Some(key),
            // another process may have made it
            None => usable(db.read(&Scope::nobody(), |c| Ok::<_, Problem>(self.load(c)?))?),
        };
        Ok(key.and_then(|key| claims(token, &key, now)))
    }

    /// A new access token, signed with the newest key; makes one where there is none that still signs.
    /// Call it inside a write.
    pub fn issue(
        &self,
        app: &App,
        c: &mut AnyConn,
        account: Id<Account>,
        sign_in: Id<SignIn>,
        now: Instant,
    ) -> Result<String, Problem> {
        let signs =
            |keys: &[Key]| keys.iter().find(|k| k.created_at.plus_seconds(SIGNS) > now && k.created_at <= now).cloned();
        let key = match signs(&self.load(c)?) {
            Some(key) => key,
            None => self.make(app, c, now)?,
        };
        let seconds = now.micros().div_euclid(1_000_000);
        let claims = Claims {
            iss: ISSUER.to_owned(),
            aud: AUDIENCE.to_owned(),
            sub: account,
            sid: sign_in,
            iat: seconds,
            nbf: seconds,
            exp: seconds + app.settings.access_seconds,
        };
        let header = Header { typ: Some(TYPE.to_owned()), kid: Some(key.kid.clone()), ..Header::new(Algorithm::HS256) };
        jsonwebtoken::encode(&header, &claims, &EncodingKey::from_secret(&key.secret))
            .map_err(|_| Problem::new(Kind::Internal))
    }

    fn make(&self, app: &App, c: &mut AnyConn, now: Instant) -> Result<Key, Problem> {
        let text = app.new_secret();
        let kid: String = digest(&text).chars().take(16).collect();
        let secret = URL_SAFE_NO_PAD.decode(&text).map_err(|_| Problem::new(Kind::Internal))?;
        let key = Key { kid, secret, created_at: now, retires_at: now.plus_seconds(SIGNS + OVERLAP) };
        on_each!(c, |c| diesel::insert_into(signing_key::table)
            .values((
                signing_key::kid.eq(&key.kid),
                signing_key::secret.eq(&text),
                signing_key::created_at.eq(key.created_at),
                signing_key::retires_at.eq(key.retires_at),
            ))
            .execute(c))?;
        Ok(key)
    }
}

fn claims(token: &str, key: &Key, now: Instant) -> Option<Claims> {
    let mut rules = Validation::new(Algorithm::HS256);
    rules.set_issuer(&[ISSUER]);
    rules.set_audience(&[AUDIENCE]);
    rules.set_required_spec_claims(&["exp", "nbf", "iss", "aud", "sub"]);
    // the clock comes from outside: the two times are compared below
    rules.validate_exp = false;
    rules.validate_nbf = false;
    let claims = jsonwebtoken::decode::<Claims>(token, &DecodingKey::from_secret(&key.secret), &rules).ok()?.claims;
    let seconds = now.micros().div_euclid(1_000_000);
    (claims.nbf <= seconds && claims.holds(now)).then_some(claims)
}
