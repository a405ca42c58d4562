//! Answers to requests that create: stored in the same transaction as the work, replayed to a repetition.
use super::guard::Head;
use super::reply::Sent;
use super::standing::Standing;
use crate::db::conn::AnyConn;
use crate::db::schema::{account_answer, barn_answer};
use crate::on_each;
use crate::problem::table::Kind;
use crate::problem::{FieldError, Problem};
use diesel::prelude::*;
use serde::{Deserialize, Serialize};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Id};
use stridewright_core::policy::Roles;
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
    roles: u8,
}

/// An answer as it is kept, with the roles it was given to, one bit each.
#[derive(Serialize, Deserialize)]
struct Kept {
    #[serde(flatten)]
    sent: Sent,
    #[serde(default)]
    roles: u8,
}

fn bits(Roles { trainer, rider, owner, rail }: Roles) -> u8 {
    [trainer, rider, owner, rail].into_iter().fold(0, |bits, held| bits << 1 | u8::from(held))
}

impl Ticket {
    /// Reads the header; a request that creates must have one.
    pub fn of(head: &Head, who: &Standing, body: &[u8]) -> Result<Self, Problem> {
        let key = head.idempotency_key.clone().ok_or_else(|| Problem::new(Kind::KeyRequired))?;
        let fits =
            (8..=80).contains(&key.len()) && key.bytes().all(|b| b.is_ascii_alphanumeric() || b"-_".contains(&b));
        if !fits {
            let error = FieldError::new("Idempotency-Key", "invalid", "must be 8 to 80 letters, digits, - or _");
            return Err(Problem::new(Kind::KeyRequired).with_errors(vec![error]));
        }
        let mut text = format!("{} {}\n", head.method, head.path).into_bytes();
        text.extend_from_slice(body);
        let fingerprint = crate::state::digest(&String::from_utf8_lossy(&text));
        Ok(Self { barn: who.barn_id, caller: who.caller.id(), key, fingerprint, roles: bits(who.roles) })
    }

    /// The stored answer, if the request came before. What was answered to a role goes to nobody who lost it.
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
        let kept: Kept = serde_json::from_str(&stored).map_err(|_| Problem::new(Kind::Internal))?;
        if kept.roles & !self.roles != 0 {
            let detail = "This was answered to you in a role that you have lost. It counted, and counts once.";
            return Err(Problem::new(Kind::Forbidden).with_detail(detail));
        }
        Ok(Some(kept.sent))
    }

    /// Stores the answer, and lets go of old ones.
    pub fn store(&self, c: &mut AnyConn, sent: &Sent, now: Instant) -> Result<(), Problem> {
        let kept = Kept { sent: sent.clone(), roles: self.roles };
        let stored = serde_json::to_string(&kept).map_err(|_| Problem::new(Kind::Internal))?;
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
