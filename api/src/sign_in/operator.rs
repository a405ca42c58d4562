//! What whoever runs the service does to an account, from the command line.
use super::accounts::{self, AccountRow};
use super::guesses::{Guesser, forget};
use super::tokens;
use crate::access::write::write_unjudged;
use crate::db::conn::AnyConn;
use crate::db::schema::account;
use crate::db::scope::Scope;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::state::App;
use diesel::prelude::*;
use std::sync::Arc;
use stridewright_core::calendar::Instant;

/// What is done.
pub enum Deed {
    /// Shut out at once: its tokens and the rail links it handed out are dead from the next request on.
    Disable,
    /// May sign in again.
    Enable,
    /// A new password, made here; ends every sign-in and hears guesses again.
    ResetPassword,
}

/// Does it; answers what there is to say.
pub async fn act(app: &Arc<App>, email: &str, deed: Deed) -> Result<String, Problem> {
    let key = email.trim().to_lowercase();
    let found = {
        let (app, key) = (Arc::clone(app), key.clone());
        let read = move || app.db.read(&Scope::email(&key), |c| Ok::<_, Problem>(accounts::by_address(c, &key)?));
        crate::access::read::off_the_async_threads(read).await?
    };
    let row = found.ok_or_else(|| Problem::new(Kind::NotFound).with_detail("no account has this e-mail address"))?;
    let made = match deed {
        Deed::ResetPassword => {
            let password = app.new_secret();
            Some((app.hasher.hash(app.hasher.place()?, password.clone()).await?, password))
        }
        Deed::Disable | Deed::Enable => None,
    };
    write_unjudged(app, Scope::account(row.id), move |_, c, now| match (deed, made) {
        (Deed::Enable, _) => {
            set_disabled(c, &row, None)?;
            Ok("enabled".to_owned())
        }
        (Deed::ResetPassword, Some((password_hash, password))) => {
            forget(c, &Guesser::new(&key, None))?;
            tokens::end_all(c, row.id, None, now)?;
            accounts::update(c, AccountRow { password_hash, ..row })?;
            Ok(password)
        }
        _ => {
            set_disabled(c, &row, Some(now))?;
            tokens::end_all(c, row.id, None, now)?;
            Ok("disabled".to_owned())
        }
    })
    .await
}

fn set_disabled(c: &mut AnyConn, row: &AccountRow, at: Option<Instant>) -> QueryResult<()> {
    on_each!(c, |c| diesel::update(account::table.find(row.id))
        .set((account::disabled_at.eq(at), account::version.eq(row.version + 1)))
        .execute(c))?;
    Ok(())
}
