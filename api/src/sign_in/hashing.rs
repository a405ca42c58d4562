//! Password hashes: argon2id, off the async threads, few at a time.
use crate::access::read::off_the_async_threads;
use crate::db::errors::Busy;
use crate::problem::Problem;
use crate::problem::table::Kind;
use argon2::password_hash::phc::PasswordHash;
use argon2::password_hash::{PasswordHasher, PasswordVerifier};
use argon2::{Algorithm, Argon2, Params, Version};
use std::sync::Arc;
use std::sync::OnceLock;
use tokio::sync::Semaphore;

/// Hashes and checks passwords.
#[derive(Clone)]
pub struct Hasher {
    memory_kib: u32,
    /// As many at once as there are processors to do them, so that a flood of sign-ins leaves room for others.
    places: Arc<Semaphore>,
    /// What an unknown account is checked against, so that it costs the same time.
    decoy: Arc<OnceLock<String>>,
}

impl Hasher {
    pub fn new(memory_kib: u32) -> Self {
        let places = std::thread::available_parallelism().map_or(1, |n| n.get().div_ceil(2));
        Self { memory_kib, places: Arc::new(Semaphore::new(places)), decoy: Arc::new(OnceLock::new()) }
    }

    fn argon2(&self) -> Result<Argon2<'static>, Problem> {
        let params = Params::new(self.memory_kib, 2, 1, None).map_err(|_| Problem::new(Kind::Internal))?;
        Ok(Argon2::new(Algorithm::Argon2id, Version::V0x13, params))
    }

    fn hash_now(&self, password: &str) -> Result<String, Problem> {
        let hash = self.argon2()?.hash_password(password.as_bytes()).map_err(|_| Problem::new(Kind::Internal))?;
        Ok(hash.to_string())
    }

    async fn in_turn<T: Send + 'static>(
        &self,
        work: impl FnOnce(&Self) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let waiting = Arc::clone(&self.places).acquire_owned();
        let Ok(Ok(place)) = tokio::time::timeout(crate::db::pool::PATIENCE, waiting).await else {
            return Err(Busy.into());
        };
        let hasher = self.clone();
        off_the_async_threads(move || {
            let _place = place;
            work(&hasher)
        })
        .await
    }

    /// The PHC string of a new password.
    pub async fn hash(&self, password: String) -> Result<String, Problem> {
        self.in_turn(move |hasher| hasher.hash_now(&password)).await
    }

    /// Whether the password fits the stored hash; without one, the same work for a no.
    pub async fn check(&self, password: String, stored: Option<String>) -> Result<bool, Problem> {
        self.in_turn(move |hasher| {
            let known = stored.is_some();
            let stored = match stored {
                Some(stored) => stored,
                None => match hasher.decoy.get() {
                    Some(decoy) => decoy.clone(),
                    None => {
                        let decoy = hasher.hash_now("no account has this password")?;
                        hasher.decoy.get_or_init(|| decoy).clone()
                    }
                },
            };
            let parsed = PasswordHash::new(&stored).map_err(|_| Problem::new(Kind::Internal))?;
            Ok(hasher.argon2()?.verify_password(password.as_bytes(), &parsed).is_ok() && known)
        })
        .await
    }
}
