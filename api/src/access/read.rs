//! The one way to read.
use super::caller::Claim;
use super::guard::{Act, Entity, Key, May, Public};
use super::query::Query;
use super::refusal::Asked;
use super::standing::Standing;
use crate::db::conn::AnyConn;
use crate::db::scope::Scope;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::App;
use crate::wire::input::Input;
use crate::wire::json::Json;
use actix_web::web;
use std::sync::Arc;
use stridewright_core::calendar::Instant;

/// What a read has at hand.
pub struct Look<'a> {
    pub(super) conn: &'a mut AnyConn,
    pub app: &'a App,
    pub who: &'a Standing,
    pub now: Instant,
}

impl Look<'_> {
    pub fn conn(&mut self) -> &mut AnyConn {
        self.conn
    }
}

impl<E: Entity, A: Act> May<E, A> {
    /// Judges, and reads.
    pub async fn read<T, F>(self, work: F) -> Result<T, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&mut Look<'_>, E) -> Result<T, Problem> + Send + 'static,
    {
        let Self { key, bearer, app, head, .. } = self;
        let (asked, state) = (Asked::default(), Arc::clone(&app));
        let seen = asked.clone();
        let result = off_the_async_threads(move || {
            let claim = Claim::of(&state, &bearer)?;
            state.db.read(&claim.scope(key.barn()), |conn| {
                let (who, entity) = Self::judge(&state, conn, &claim, &key, &seen)?;
                let now = state.clock.now();
                work(&mut Look { conn, app: &state, who: &who, now }, entity)
            })
        })
        .await;
        asked.keep(&app, head, E::NAME, result).await
    }

    /// Judges, reads the body, and reads: for what is computed and not stored.
    pub async fn read_body<B, T, F>(self, body: Json<B>, work: F) -> Result<T, Problem>
    where
        B: Input + Send + 'static,
        T: Send + 'static,
        F: FnOnce(&mut Look<'_>, E, B) -> Result<T, Problem> + Send + 'static,
    {
        self.read(move |look, entity| work(look, entity, Json::<B>::read(body.syntax()?)?)).await
    }

    /// Judges, reads the query, and reads.
    pub async fn read_with<Q, T, F>(self, query: Query<Q>, work: F) -> Result<T, Problem>
    where
        Q: Input + Send + 'static,
        T: Send + 'static,
        F: FnOnce(&mut Look<'_>, E, Q) -> Result<T, Problem> + Send + 'static,
    {
        self.read(move |look, entity| work(look, entity, query.read()?)).await
    }
}

impl<E: Entity, A: Act> May<E, A> {
    /// Judges and reads what must be known before the write begins: a password is hashed outside of it.
    pub async fn read_first<T, F>(self, work: F) -> Result<(Self, T), Problem>
    where
        T: Send + 'static,
        F: FnOnce(&mut AnyConn, E) -> Result<T, Problem> + Send + 'static,
    {
        let (asked, app, head) = (Asked::default(), Arc::clone(&self.app), self.head.clone());
        let seen = asked.clone();
        let result = off_the_async_threads(move || {
            let claim = Claim::of(&self.app, &self.bearer)?;
            let found = self.app.db.read(&claim.scope(self.key.barn()), |conn| {
                let (_, entity) = Self::judge(&self.app, conn, &claim, &self.key, &seen)?;
                work(conn, entity)
            })?;
            Ok((self, found))
        })
        .await;
        asked.keep(&app, head, E::NAME, result).await
    }
}

impl Public {
    /// Reads without a caller.
    pub async fn read<T, F>(&self, scope: Scope, work: F) -> Result<T, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&App, &mut AnyConn) -> Result<T, Problem> + Send + 'static,
    {
        let app = Arc::clone(&self.app);
        off_the_async_threads(move || app.db.read(&scope, |conn| work(&app, conn))).await
    }
}

/// Runs blocking work on the thread pool; a panic there is an internal error, not a lost answer.
pub(crate) async fn off_the_async_threads<T: Send + 'static>(
    work: impl FnOnce() -> Result<T, Problem> + Send + 'static,
) -> Result<T, Problem> {
    web::block(work).await.unwrap_or_else(|_| Err(Problem::new(Kind::Internal)))
}
