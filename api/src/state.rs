//! What every request shares: the database, the clock, the random source, the settings.
use crate::db::pool::Db;
use crate::health::counts::Counts;
use crate::sign_in::hashing::Hasher;
use crate::sign_in::keys::Keys;
use jiff::Timestamp;
use std::sync::Arc;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::Id;
use uuid::Uuid;

/// Where time comes from.
pub trait Clock: Send + Sync {
    fn now(&self) -> Instant;
}

/// Where chance comes from.
pub trait Random: Send + Sync {
    fn fill(&self, bytes: &mut [u8]);
}

/// The machine's clock.
pub struct SystemClock;

impl Clock for SystemClock {
    #[allow(clippy::disallowed_methods, reason = "this is the Clock that everything else asks")]
    fn now(&self) -> Instant {
        Timestamp::now().into()
    }
}

/// The machine's random source.
pub struct SystemRandom;

impl Random for SystemRandom {
    #[allow(clippy::expect_used, reason = "without the machine's random source no secret may be made")]
    fn fill(&self, bytes: &mut [u8]) {
        getrandom::fill(bytes).expect("the machine's random source");
    }
}

/// Settings that are not where the data lives.
#[derive(Debug, Clone)]
pub struct Settings {
    /// Memory of one password hash, in KiB.
    pub password_memory_kib: u32,
    /// Seconds an access token is good for.
    pub access_seconds: i64,
    /// Seconds a refresh token is good for.
    pub refresh_seconds: i64,
    /// Requests a second and address before 429; 0 for no bound.
    pub requests_per_second: u32,
    /// Seconds a body may take, and one more for each KiB of it.
    pub body_seconds: u64,
}

impl Default for Settings {
    fn default() -> Self {
        Self {
            password_memory_kib: 19 * 1024,
            access_seconds: 15 * 60,
            refresh_seconds: 30 * 24 * 3600,
            requests_per_second: 200,
            body_seconds: 10,
        }
    }
}

/// The state of one process.
pub struct App {
    pub db: Db,
    pub clock: Arc<dyn Clock>,
    pub random: Arc<dyn Random>,
    pub keys: Keys,
    pub hasher: Hasher,
    pub settings: Settings,
    pub counts: Counts,
}

impl App {
    pub fn new(db: Db, clock: Arc<dyn Clock>, random: Arc<dyn Random>, settings: Settings) -> Self {
        let hasher = Hasher::new(settings.password_memory_kib);
        Self { db, clock, random, keys: Keys::default(), hasher, settings, counts: Counts::default() }
    }

    /// A new UUIDv7.
    pub fn new_id<T>(&self) -> Id<T> {
        let mut random = [0; 10];
        self.random.fill(&mut random);
        let millis = u64::try_from(self.clock.now().micros() / 1000).unwrap_or(0);
        Id::new(uuid::Builder::from_unix_timestamp_millis(millis, &random).into_uuid())
    }

    /// A new secret: 32 random bytes, as text.
    pub fn new_secret(&self) -> String {
        use base64::Engine;
        let mut bytes = [0; 32];
        self.random.fill(&mut bytes);
        base64::engine::general_purpose::URL_SAFE_NO_PAD.encode(bytes)
    }
}

/// What is stored of a secret: its SHA-256, as hex.
pub fn digest(secret: &str) -> String {
    use sha2::Digest;
    sha2::Sha256::digest(secret.as_bytes()).iter().map(|b| format!("{b:02x}")).collect()
}

/// The id inside, for look-ups.
pub fn uuid_of(text: &str) -> Option<Uuid> {
    Uuid::try_parse(text).ok()
}
