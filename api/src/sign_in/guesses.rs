//! How many guesses at an address's password reach the hash: ten in a quarter of an hour, so at most 50 in
//! any hour. Addresses without an account are counted alike, so that nobody can tell them apart.
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

const MOST: i32 = 10;
const WINDOW: i64 = 15 * 60;

/// Counts a guess before it is tried, so that guesses sent all at once are counted too; refuses one too many.
fn count(c: &mut AnyConn, email_key: &str, now: Instant) -> Result<(), Problem> {
    let key = digest(email_key);
    let counted = on_each!(c, |c| {
        diesel::delete(guess::table).filter(guess::since.le(now.plus_seconds(-WINDOW))).execute(c)?;
        diesel::insert_into(guess::table)
            .values((guess::email_digest.eq(&key), guess::guesses.eq(0), guess::since.eq(now)))
            .on_conflict_do_nothing()
            .execute(c)?;
        diesel::update(guess::table.find(&key))
            .filter(guess::guesses.lt(MOST))
            .set(guess::guesses.eq(guess::guesses + 1))
            .execute(c)
    })?;
    if counted == 1 {
        return Ok(());
    }
    let since: Option<Instant> = on_each!(c, |c| guess::table.find(&key).select(guess::since).first(c).optional())?;
    let micros = since.map_or(0, |since| since.plus_seconds(WINDOW).micros() - now.micros());
    let seconds = u32::try_from(micros.max(0) / 1_000_000 + 1).unwrap_or(60);
    let detail = "Too many wrong guesses at this address's password. Wait as long as Retry-After says.";
    Err(Problem::new(Kind::TooManyRequests).with_detail(detail).retry_after(seconds))
}

/// Whether the password is the stored one, if a guess is still free. One that is right is to be taken back
/// in the write that it is for.
pub async fn fits(
    app: &Arc<App>,
    email_key: &str,
    password: &Password,
    stored: Option<String>,
) -> Result<bool, Problem> {
    let key = email_key.to_owned();
    write_unjudged(app, Scope::nobody(), move |_, c, now| count(c, &key, now)).await?;
    let checked = app.hasher.check(password.as_str().to_owned(), stored).await;
    if checked.is_err() {
        let key = email_key.to_owned();
        write_unjudged(app, Scope::nobody(), move |_, c, _| Ok(take_back(c, &key)?)).await?;
    }
    checked
}

/// Takes one back: it was right, or was never tried.
pub fn take_back(c: &mut AnyConn, email_key: &str) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(guess::table.find(digest(email_key)))
        .filter(guess::guesses.gt(0))
        .set(guess::guesses.eq(guess::guesses - 1))
        .execute(c))?;
    Ok(())
}
