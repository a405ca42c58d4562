//! The audit log: one row a write, in the write's own transaction, each chained to the one before.
use super::guard::Head;
use crate::db::conn::AnyConn;
use crate::db::schema::audit;
use crate::on_each;
use crate::state::digest;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Id};
use uuid::Uuid;

/// The hash a row must have, given what it says and the hash before it.
#[allow(clippy::too_many_arguments, reason = "the columns of one row")]
pub fn chain(
    previous: &str,
    seq: i64,
    at: Instant,
    caller: &str,
    action: &str,
    resource: &str,
    resource_id: &str,
    status: i32,
    body_digest: &str,
) -> String {
    digest(&format!(
        "{previous}\n{seq}\n{}\n{caller}\n{action}\n{resource}\n{resource_id}\n{status}\n{body_digest}",
        at.micros()
    ))
}

/// Appends a row. A body with a secret in it is not to be handed in: its digest could be guessed at. Where no barn is concerned there is no chain to append to.
#[allow(clippy::too_many_arguments, reason = "the columns of one row")]
pub fn append(
    c: &mut AnyConn,
    barn: Id<Barn>,
    caller: Uuid,
    head: &Head,
    resource: &str,
    subject: &str,
    status: u16,
    body: &[u8],
    now: Instant,
) -> QueryResult<()> {
    if barn.uuid().is_nil() {
        return Ok(());
    }
    let last: Option<(i64, String)> = on_each!(c, |c| audit::table
        .filter(audit::barn_id.eq(barn))
        .order(audit::seq.desc())
        .select((audit::seq, audit::hash))
        .first(c)
        .optional())?;
    let (seq, previous) = last.map_or((1, String::new()), |(seq, hash)| (seq + 1, hash));
    let action = format!("{} {}", head.method, head.path);
    let (status, body_digest) = (i32::from(status), digest(&String::from_utf8_lossy(body)));
    let hash = chain(&previous, seq, now, &caller.to_string(), &action, resource, subject, status, &body_digest);
    on_each!(c, |c| diesel::insert_into(audit::table)
        .values((
            audit::barn_id.eq(barn),
            audit::seq.eq(seq),
            audit::at.eq(now),
            audit::caller_id.eq(Id::<Account>::new(caller)),
            audit::action.eq(&action),
            audit::resource.eq(resource),
            audit::resource_id.eq(subject),
            audit::status.eq(status),
            audit::digest.eq(&body_digest),
            audit::previous.eq(&previous),
            audit::hash.eq(&hash),
        ))
        .execute(c))?;
    Ok(())
}
