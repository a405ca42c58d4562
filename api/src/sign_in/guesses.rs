//! How many guesses at an address's password reach the hash. Five are free; each wrong one after that doubles
//! the wait for the next, from a second to an hour; after 50 within 30 days none is heard until those days are
//! over or the operator resets the password. Addresses without an account are counted alike, so that nobody
//! can tell them apart. A device that was signed in before has a count of its own: strangers cannot use it up.
use super::hashing::Place;
use crate::access::write::write_unjudged;
use crate::db::conn::AnyConn;
use crate::db::schema::guess;
use crate::db::scope::Scope;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::{App, digest};
use crate::wire::text::Password;
use diesel::prelude::*;
use std::sync::Arc;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Id, SignIn};

const FREE: i32 = 5;
const MOST: i32 = 50;
/// How long a count is kept after its first guess, in seconds.
const KEPT: i64 = 30 * 24 * 3600;
const LONGEST_WAIT: i64 = 3600;

/// Whose guesses are counted together.
#[derive(Debug, Clone)]
pub struct Guesser {
    digest: String,
    known: bool,
}

impl Guesser {
    /// Anybody at the address, or the one device that held this sign-in of its account.
    pub fn new(email_key: &str, device: Option<Id<SignIn>>) -> Self {
        // no address has a space in it
        let text = device.map_or_else(|| email_key.to_owned(), |device| format!("{email_key} {device}"));
        Self { digest: digest(&text), known: device.is_some() }
    }
}

/// When the next guess is heard.
fn next_at(guesses: i32, since: Instant, last: Instant) -> Instant {
    if guesses >= MOST {
        return since.plus_seconds(KEPT);
    }
    match u32::try_from(guesses - FREE) {
        Ok(wrong) => last.plus_seconds(2_i64.saturating_pow(wrong).min(LONGEST_WAIT)),
        Err(_) => last,
    }
}

/// Counts a guess before it is tried, so that guesses sent all at once are counted too; refuses one too early.
fn count(c: &mut AnyConn, by: &Guesser, now: Instant) -> Result<(), Problem> {
    let (guesses, since, last): (i32, Instant, Instant) = on_each!(c, |c| {
        diesel::delete(guess::table).filter(guess::since.le(now.plus_seconds(-KEPT))).execute(c)?;
        diesel::insert_into(guess::table)
            .values((
                guess::email_digest.eq(&by.digest),
                guess::guesses.eq(0),
                guess::since.eq(now),
                guess::last.eq(now),
            ))
            .on_conflict_do_nothing()
            .execute(c)?;
        // takes the row's lock, so that what is read below stays true
        diesel::update(guess::table.find(&by.digest)).set(guess::guesses.eq(guess::guesses)).execute(c)?;
        guess::table.find(&by.digest).select((guess::guesses, guess::since, guess::last)).first(c)
    })?;
    let wait = next_at(guesses, since, last).micros() - now.micros();
    if guesses >= FREE && wait > 0 {
        let seconds = u32::try_from(wait.saturating_add(999_999) / 1_000_000).unwrap_or(u32::MAX);
        let detail = "Too many wrong guesses at this address's password. Wait as long as Retry-After says.";
        return Err(Problem::new(Kind::TooManyRequests).with_detail(detail).retry_after(seconds));
    }
    on_each!(c, |c| diesel::update(guess::table.find(&by.digest))
        .set((guess::guesses.eq(guess::guesses + 1), guess::last.eq(now)))
        .execute(c))?;
    Ok(())
}

/// Whether the password is the stored one, if a guess is heard now. One that is right is to be forgiven in the
/// write that it is for.
pub async fn fits(
    app: &Arc<App>,
    by: &Guesser,
    place: Place,
    password: &Password,
    stored: Option<String>,
) -> Result<bool, Problem> {
    let key = by.clone();
    write_unjudged(app, Scope::nobody(), move |_, c, now| count(c, &key, now)).await?;
    let checked = app.hasher.check(place, password.as_str().to_owned(), stored).await;
    if checked.is_err() {
        let key = by.clone();
        write_unjudged(app, Scope::nobody(), move |_, c, _| Ok(take_back(c, &key)?)).await?;
    }
    checked
}

/// Takes one back that was never tried.
fn take_back(c: &mut AnyConn, by: &Guesser) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(guess::table.find(&by.digest))
        .filter(guess::guesses.gt(0))
        .set(guess::guesses.eq(guess::guesses - 1))
        .execute(c))?;
    Ok(())
}

/// It was right: a known device begins anew; of strangers' guesses only the right one is taken back.
pub fn forgive(c: &mut AnyConn, by: &Guesser) -> QueryResult<()> {
    if by.known { forget(c, by) } else { take_back(c, by) }
}

/// Begins anew.
pub fn forget(c: &mut AnyConn, by: &Guesser) -> QueryResult<()> {
    on_each!(c, |c| diesel::delete(guess::table.find(&by.digest)).execute(c))?;
    Ok(())
}
