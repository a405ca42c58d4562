//! The guard of a handler: what it acts on, and what it does, in its signature.
use super::caller::{Bearer, Claim};
use super::refusal::Asked;
use super::standing::Standing;
use crate::db::conn::AnyConn;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::App;
use actix_web::http::header;
use actix_web::{FromRequest, HttpRequest, dev::Payload, web};
use serde::Deserialize;
use serde::de::DeserializeOwned;
use std::future::{Ready, ready};
use std::marker::PhantomData;
use std::sync::Arc;
use stridewright_core::ids::{Barn, Id};
use stridewright_core::policy::{Action, Relation, Resource, Verdict};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

/// The ids in an address.
pub trait Key: DeserializeOwned + Send + 'static {
    fn barn(&self) -> Option<Id<Barn>>;
}

/// An address without ids.
#[derive(Debug, Clone, Copy, Deserialize)]
pub struct NoKey {}

impl Key for NoKey {
    fn barn(&self) -> Option<Id<Barn>> {
        None
    }
}

/// Declares the ids in an address of a barn, `barn_id` first.
#[macro_export]
macro_rules! key {
    ($(#[$meta:meta])* pub struct $name:ident { $($(#[$fmeta:meta])* pub $field:ident : $ty:ty),* $(,)? }) => {
        $(#[$meta])*
        #[derive(Debug, Clone, serde::Deserialize, utoipa::IntoParams)]
        #[into_params(parameter_in = Path)]
        pub struct $name { $($(#[$fmeta])* pub $field: $ty),* }

        impl $crate::access::guard::Key for $name {
            fn barn(&self) -> Option<stridewright_core::ids::Id<stridewright_core::ids::Barn>> {
                Some(self.barn_id)
            }
        }
    };
}

/// What an address can name: how to find it, and how the caller stands to it.
pub trait Entity: Sized + Send + 'static {
    /// For `x-access` and the audit log.
    const NAME: &'static str;
    const RESOURCE: Resource;
    type Key: Key;
    /// Looks it up; `None` where there is none.
    fn find(c: &mut AnyConn, who: &Standing, key: &Self::Key) -> diesel::QueryResult<Option<Self>>;
    fn relation(&self, who: &Standing) -> Relation;
    /// What the policy is asked about; only a thing of several kinds needs another.
    fn resource(&self) -> Resource {
        Self::RESOURCE
    }
    /// The version that If-Match must name before a change.
    fn version(&self) -> Option<i64> {
        None
    }
    /// Whether it has versions: an answer that shows it carries one, and a change needs If-Match. The document asks
    /// without having one.
    const VERSIONED: bool = false;
    /// Its id, for the audit log.
    fn subject(&self) -> String {
        String::new()
    }
}

/// What a handler does.
pub trait Act: 'static {
    const ACTION: Action;
}

macro_rules! acts {
    ($($name:ident),*) => { $(
        pub struct $name;
        impl Act for $name {
            const ACTION: Action = Action::$name;
        }
    )* };
}
acts!(Read, Create, Change, Remove, Decide, Override, Clear);

/// A claim, not yet judged: `read` and `write` judge it and only then touch data.
#[must_use]
pub struct May<E: Entity, A: Act> {
    pub(super) key: E::Key,
    pub(super) bearer: Bearer,
    pub(super) app: Arc<App>,
    pub(super) head: Head,
    marker: PhantomData<fn() -> A>,
}

/// What the guard keeps of the request's head.
#[derive(Debug, Clone)]
pub struct Head {
    pub method: String,
    pub path: String,
    pub if_match: Option<String>,
    pub idempotency_key: Option<String>,
}

impl Head {
    pub fn of(request: &HttpRequest) -> Self {
        // a field that comes in several lines is one list
        let text = |name: header::HeaderName| {
            let lines: Vec<&str> = request.headers().get_all(name).map(|v| v.to_str().unwrap_or("")).collect();
            (!lines.is_empty()).then(|| lines.join(", "))
        };
        Self {
            method: request.method().to_string(),
            path: request.path().to_owned(),
            if_match: text(header::IF_MATCH),
            idempotency_key: text(header::HeaderName::from_static("idempotency-key")),
        }
    }
}

/// The state, of which every worker has a handle.
pub fn app_of(request: &HttpRequest) -> Result<Arc<App>, Problem> {
    request.app_data::<web::Data<App>>().map(|d| Arc::clone(d)).ok_or_else(|| Problem::new(Kind::Internal))
}

impl<E: Entity, A: Act> FromRequest for May<E, A> {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready((|| {
            let bearer = Bearer::of(request)?;
            let key = E::Key::deserialize(actix_router::PathDeserializer::new(request.match_info()))
                .map_err(|_| Problem::new(Kind::NotFound))?;
            Ok(Self { key, bearer, app: app_of(request)?, head: Head::of(request), marker: PhantomData })
        })())
    }
}

impl<E: Entity, A: Act> May<E, A> {
    pub fn app(&self) -> &Arc<App> {
        &self.app
    }

    /// Forgets the Idempotency-Key: the digest of a body with a password in it is not to be stored.
    pub fn without_key(mut self) -> Self {
        self.head.idempotency_key = None;
        self
    }

    /// 401, then 404, then 403.
    pub(super) fn judge(
        app: &App,
        c: &mut AnyConn,
        claim: &Claim,
        key: &E::Key,
        asked: &Asked,
    ) -> Result<(Standing, E), Problem> {
        let now = app.clock.now();
        let caller = claim.prove(c, now)?;
        let hidden = || Problem::new(Kind::NotFound);
        let who = match key.barn() {
            Some(barn) => Standing::load(c, caller, barn, now)?.ok_or_else(hidden)?,
            None => Standing::without_barn(caller, now),
        };
        let entity = E::find(c, &who, key)?.ok_or_else(hidden)?;
        let verdict = who.may(entity.resource(), A::ACTION, entity.relation(&who));
        if verdict == Verdict::Hide {
            return Err(hidden());
        }
        asked.by(who.barn_id, who.caller.id(), entity.subject());
        if verdict == Verdict::Forbid { Err(Problem::new(Kind::Forbidden)) } else { Ok((who, entity)) }
    }
}

/// Said aloud: nobody needs to be known.
#[must_use]
pub struct Public {
    pub(super) app: Arc<App>,
    pub(super) head: Head,
}

impl FromRequest for Public {
    type Error = Problem;
    type Future = Ready<Result<Self, Problem>>;

    fn from_request(request: &HttpRequest, _: &mut Payload) -> Self::Future {
        ready(app_of(request).map(|app| Self { app, head: Head::of(request) }))
    }
}

impl Public {
    pub fn app(&self) -> &Arc<App> {
        &self.app
    }

    pub fn head(&self) -> &Head {
        &self.head
    }
}

/// What the document needs to know of a guard.
pub struct Access {
    pub name: String,
    pub public: bool,
    pub action: Option<Action>,
    /// Whether it needs If-Match.
    pub versioned: bool,
    /// Whether a good answer carries the version of what it shows.
    pub tagged: bool,
    pub in_barn: bool,
}

/// What the first argument of every handler must be.
pub trait Guard {
    fn access() -> Access;
}

impl Guard for Public {
    fn access() -> Access {
        Access {
            name: "public".to_owned(),
            public: true,
            action: None,
            versioned: false,
            tagged: false,
            in_barn: false,
        }
    }
}

impl<E: Entity, A: Act> Guard for May<E, A> {
    fn access() -> Access {
        Access {
            name: format!("{}:{:?}", E::NAME, A::ACTION),
            public: false,
            action: Some(A::ACTION),
            versioned: E::VERSIONED && matches!(A::ACTION, Action::Change | Action::Remove | Action::Clear),
            tagged: E::VERSIONED && A::ACTION != Action::Remove,
            in_barn: std::any::TypeId::of::<E::Key>() != std::any::TypeId::of::<NoKey>(),
        }
    }
}

/// The arguments of a handler: a guard, and then only what cannot answer before it.
///
/// ```
/// # use stridewright_api::access::guard::{Guarded, Public};
/// # use stridewright_api::wire::json::Json;
/// fn registered<A: Guarded, H: actix_web::Handler<A>>(_: H) where A: actix_web::FromRequest {}
/// async fn said_aloud(_: Public, _: Json<u8>) -> &'static str { "" }
/// registered(said_aloud);
/// ```
/// Without a guard it does not compile:
/// ```compile_fail,E0277
/// # use stridewright_api::access::guard::{Guarded, Public};
/// # fn registered<A: Guarded, H: actix_web::Handler<A>>(_: H) where A: actix_web::FromRequest {}
/// async fn unguarded() -> &'static str { "" }
/// registered(unguarded);
/// ```
/// Nor with a body that could answer before the guard does:
/// ```compile_fail,E0277
/// # use stridewright_api::access::guard::{Guarded, Public};
/// # fn registered<A: Guarded, H: actix_web::Handler<A>>(_: H) where A: actix_web::FromRequest {}
/// async fn early(_: Public, _: actix_web::web::Json<u8>) -> &'static str { "" }
/// registered(early);
/// ```
#[diagnostic::on_unimplemented(
    message = "the first argument of a handler must be `May<Entity, Act>` or `Public`",
    label = "this handler has no guard"
)]
pub trait Guarded {
    fn access() -> Access;
    /// Types that only the parameters of its query name.
    fn schemas(into: &mut Schemas);
}

/// Schemas by name.
pub type Schemas = Vec<(String, RefOr<Schema>)>;

#[diagnostic::on_unimplemented(
    message = "`{Self}` could answer before the guard does; use `Json<T>` or `Query<T>` of this crate"
)]
pub trait AfterGuard {
    fn schemas(_: &mut Schemas) {}
}
impl<T> AfterGuard for crate::wire::json::Json<T> {}
impl<T: ToSchema> AfterGuard for super::query::Query<T> {
    fn schemas(into: &mut Schemas) {
        T::schemas(into);
    }
}

macro_rules! guarded {
    ($($t:ident)*) => {
        impl<G: Guard, $($t: AfterGuard),*> Guarded for (G, $($t,)*) {
            fn access() -> Access {
                G::access()
            }
            fn schemas(_into: &mut Schemas) {
                $($t::schemas(_into);)*
            }
        }
    };
}
guarded!();
guarded!(B);
guarded!(B C);
