//! Answers to requests that create: stored in the same transaction as the work, replayed to a repetition.
use super::guard::Head;
use super::reply::Sent;
use crate::db::conn::AnyConn;
use crate::db::schema::{account_answer, barn_answer};
use crate::on_each;
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use diesel::prelude::*;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Id};
use uuid::Uuid;

/// How long an answer is kept, in seconds.
const KEPT: i64 = 24 * 3600;

/// Whose key it is, and for which request.
pub struct Ticket {
    /// Nil where no barn is concerned.
    barn: Id<Barn>,
    caller: Uuid,
    key: String,
    fingerprint: String,
}

impl Ticket {
    /// Reads the header; a request that creates must have one.
    pub fn of(head: &Head, barn: Id<Barn>, caller: Uuid, body: &[u8]) -> Result<Self, Problem> {
        let key = head.idempotency_key.clone().ok_or_else(|| Problem::new(Kind::KeyRequired))?;
        let fits =
            (8..=80).contains(&key.len()) && key.bytes().all(|b| b.is_ascii_alphanumeric() || b"-_".contains(&b));
        if !fits {
            let error = FieldError::new("Idempotency-Key", "invalid", "must be 8 to 80 letters, digits, - or _");
            return Err(Problem::new(Kind::KeyRequired).with_errors(vec![error]));
        }
        let mut text = format!("{} {}\n", head.method, head.path).into_bytes();
        text.extend_from_slice(body);
        Ok(Self { barn, caller, key, fingerprint: crate::state::digest(&String::from_utf8_lossy(&text)) })
    }

    /// The stored answer, if the request came before.
    pub fn replay(&self, c: &mut AnyConn, now: Instant) -> Result<Option<Sent>, Problem> {
        let since = now.plus_seconds(-KEPT);
        let row: Option<(String, String)> = if self.barn.uuid().is_nil() {
            on_each!(c, |c| account_answer::table
                .find((Id::<Account>::new(self.caller), &self.key))
                .filter(account_answer::created_at.gt(since))
                .select((account_answer::fingerprint, account_answer::body))
                .first(c)
                .optional())?
        } else {
            on_each!(c, |c| barn_answer::table
                .find((self.barn, Id::<Account>::new(self.caller), &self.key))
                .filter(barn_answer::created_at.gt(since))
                .select((barn_answer::fingerprint, barn_answer::body))
                .first(c)
                .optional())?
        };
        let Some((fingerprint, stored)) = row else { return Ok(None) };
        if fingerprint != self.fingerprint {
            return Err(Problem::new(Kind::KeyReused));
        }
        serde_json::from_str(&stored).map(Some).map_err(|_| Problem::new(Kind::Internal))
    }

    /// Stores the answer, and lets go of old ones.
    pub fn store(&self, c: &mut AnyConn, sent: &Sent, now: Instant) -> Result<(), Problem> {
        let stored = serde_json::to_string(sent).map_err(|_| Problem::new(Kind::Internal))?;
        let (since, caller) = (now.plus_seconds(-KEPT), Id::<Account>::new(self.caller));
        if self.barn.uuid().is_nil() {
            on_each!(c, |c| {
                diesel::delete(account_answer::table)
                    .filter(account_answer::account_id.eq(caller).and(account_answer::created_at.le(since)))
                    .execute(c)?;
                diesel::insert_into(account_answer::table)
                    .values((
                        account_answer::account_id.eq(caller),
                        account_answer::key.eq(&self.key),
                        account_answer::fingerprint.eq(&self.fingerprint),
                        account_answer::body.eq(&stored),
                        account_answer::created_at.eq(now),
                    ))
                    .execute(c)
            })?;
        } else {
            on_each!(c, |c| {
                diesel::delete(barn_answer::table)
                    .filter(barn_answer::barn_id.eq(self.barn).and(barn_answer::created_at.le(since)))
                    .execute(c)?;
                diesel::insert_into(barn_answer::table)
                    .values((
                        barn_answer::barn_id.eq(self.barn),
                        barn_answer::caller_id.eq(caller),
                        barn_answer::key.eq(&self.key),
                        barn_answer::fingerprint.eq(&self.fingerprint),
                        barn_answer::body.eq(&stored),
                        barn_answer::created_at.eq(now),
                    ))
                    .execute(c)
            })?;
        }
        Ok(())
    }
}
