//! The one way to write: judge, lock, judge again, replay, If-Match, body, version, work, audit, commit.
use super::answer::Ticket;
use super::audit;
use super::caller::Claim;
use super::guard::{Act, Entity, Head, Key, May, Public};
use super::read::{Look, off_the_async_threads};
use super::refusal::Asked;
use super::reply::{Reply, named_version};
use crate::db::conn::AnyConn;
use crate::db::scope::Scope;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::App;
use crate::wire::input::Input;
use crate::wire::json::Json;
use std::ops::{Deref, DerefMut};
use std::sync::Arc;
use stridewright_core::calendar::Instant;
use stridewright_core::policy::Action;

/// An open transaction under the barn's lock; it cannot open another.
pub struct Tx<'a> {
    look: Look<'a>,
    pub head: &'a Head,
}

/// Who writes may read.
impl<'a> Deref for Tx<'a> {
    type Target = Look<'a>;
    fn deref(&self) -> &Look<'a> {
        &self.look
    }
}

impl DerefMut for Tx<'_> {
    fn deref_mut(&mut self) -> &mut Self::Target {
        &mut self.look
    }
}

impl<E: Entity, A: Act> May<E, A> {
    /// Judges and writes; the closure's answer is stored and audited in the same transaction.
    pub async fn write<B, T, F>(self, body: Json<B>, work: F) -> Result<Reply<T>, Problem>
    where
        B: Input + Send + 'static,
        T: Send + 'static,
        F: FnOnce(&mut Tx<'_>, E, B) -> Result<Reply<T>, Problem> + Send + 'static,
    {
        let bytes = body.bytes.as_ref().map(|b| b.to_vec()).unwrap_or_default();
        self.run(bytes, move || body.syntax(), Json::<B>::read, work).await
    }

    /// The same without a body.
    pub async fn write_empty<T, F>(self, work: F) -> Result<Reply<T>, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&mut Tx<'_>, E) -> Result<Reply<T>, Problem> + Send + 'static,
    {
        let null = || Ok(serde_json::Value::Null);
        self.run(Vec::new(), null, |_| Ok(()), move |tx, entity, ()| work(tx, entity)).await
    }

    async fn run<B, T, S, R, F>(self, bytes: Vec<u8>, syntax: S, read: R, work: F) -> Result<Reply<T>, Problem>
    where
        B: Send + 'static,
        T: Send + 'static,
        S: FnOnce() -> Result<serde_json::Value, Problem> + Send + 'static,
        R: FnOnce(serde_json::Value) -> Result<B, Problem> + Send + 'static,
        F: FnOnce(&mut Tx<'_>, E, B) -> Result<Reply<T>, Problem> + Send + 'static,
    {
        let (asked, app, head) = (Asked::default(), Arc::clone(&self.app), self.head.clone());
        let result = self.attempt(&asked, bytes, syntax, read, work).await;
        asked.keep(&app, head, E::NAME, result).await
    }

    async fn attempt<B, T, S, R, F>(
        self,
        asked: &Asked,
        bytes: Vec<u8>,
        syntax: S,
        read: R,
        work: F,
    ) -> Result<Reply<T>, Problem>
    where
        B: Send + 'static,
        T: Send + 'static,
        S: FnOnce() -> Result<serde_json::Value, Problem> + Send + 'static,
        R: FnOnce(serde_json::Value) -> Result<B, Problem> + Send + 'static,
        F: FnOnce(&mut Tx<'_>, E, B) -> Result<Reply<T>, Problem> + Send + 'static,
    {
        let Self { key, bearer, app, head, .. } = self;
        // before the lock, or strangers could hold another barn's
        let (claim, key) = {
            let (app, asked) = (Arc::clone(&app), asked.clone());
            off_the_async_threads(move || {
                let claim = Claim::of(&app, &bearer)?;
                app.db.read(&claim.scope(key.barn()), |conn| Self::judge(&app, conn, &claim, &key, &asked))?;
                Ok((claim, key))
            })
            .await?
        };
        let turn = app.db.turn().await?;
        let asked = asked.clone();
        off_the_async_threads(move || {
            let _turn = turn;
            app.db.write(&claim.scope(key.barn()), |conn| {
                let (who, entity) = Self::judge(&app, conn, &claim, &key, &asked)?;
                let now = app.clock.now();
                let value = syntax()?;
                let ticket = if A::ACTION == Action::Create || head.idempotency_key.is_some() {
                    Some(Ticket::of(&head, &who, &bytes)?)
                } else {
                    None
                };
                if let Some(sent) = ticket.as_ref().map(|t| t.replay(conn, now)).transpose()?.flatten() {
                    return Ok(Reply::from_sent(sent));
                }
                let named = named_versions::<E>(&head, &entity, A::ACTION)?;
                let body = read(value)?;
                if named.is_some_and(|(tags, present)| !tags.contains(&present)) {
                    return Err(Problem::new(Kind::PreconditionFailed));
                }
                let subject = entity.subject();
                let mut tx = Tx { look: Look { conn: &mut *conn, app: &app, who: &who, now }, head: &head };
                let reply = work(&mut tx, entity, body)?;
                if let Some(ticket) = ticket {
                    ticket.store(conn, &reply.sent, now)?;
                }
                let subject = if reply.sent.subject.is_empty() { &subject } else { &reply.sent.subject };
                let (barn, caller) = (who.barn_id, who.caller.id());
                audit::append(conn, barn, caller, &head, E::NAME, subject, reply.sent.status, &bytes, now)?;
                Ok(reply)
            })
        })
        .await
    }
}

/// A change names the version it was decided on: what it names, and the present one. Whether they agree is said
/// after what the body itself breaks.
fn named_versions<E: Entity>(
    head: &Head,
    entity: &E,
    action: Action,
) -> Result<Option<(Vec<String>, String)>, Problem> {
    let (true, Some(version)) = (matches!(action, Action::Change | Action::Remove | Action::Clear), entity.version())
    else {
        return Ok(None);
    };
    let Some(tags) = head.if_match.as_deref() else { return Err(Problem::new(Kind::PreconditionRequired)) };
    let named = tags.split(',').map(|tag| named_version(tag.trim_matches(' ')).map(str::to_owned));
    if let Some(named) = named.collect() {
        return Ok(Some((named, version.to_string())));
    }
    let rule = "must be an ETag as it was given out, such as \"v3\", or several with commas between them";
    Err(Problem::field(Kind::BadRequest, "If-Match", "invalid", rule))
}

impl Public {
    /// Writes without a caller: signing up, signing in. What the work answers is committed, a refusal that it
    /// answers as a value (not as an error) too.
    pub async fn write<T, F>(&self, scope: Scope, work: F) -> Result<T, Problem>
    where
        T: Send + 'static,
        F: FnOnce(&App, &mut AnyConn, Instant) -> Result<T, Problem> + Send + 'static,
    {
        write_unjudged(&self.app, scope, work).await
    }
}

/// Writes what no policy is asked about.
pub async fn write_unjudged<T, F>(app: &Arc<App>, scope: Scope, work: F) -> Result<T, Problem>
where
    T: Send + 'static,
    F: FnOnce(&App, &mut AnyConn, Instant) -> Result<T, Problem> + Send + 'static,
{
    let app = Arc::clone(app);
    let turn = app.db.turn().await?;
    off_the_async_threads(move || {
        let _turn = turn;
        app.db.write(&scope, |conn| work(&app, conn, app.clock.now()))
    })
    .await
}
