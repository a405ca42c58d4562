//! The service in this process, one for each database.
use crate::postgres::{self, Cluster};
use crate::temporary::Folder;
use std::net::TcpListener;
use std::sync::atomic::{AtomicI64, Ordering};
use std::sync::{Arc, OnceLock};
use stridewright_api::app;
use stridewright_api::db::migrate;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::state::{App, Clock, Random, Settings, SystemRandom};
use stridewright_core::calendar::Instant;

/// The two databases.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Database {
    Sqlite,
    Postgres,
}

/// When the tests' clocks start, and stand until they are moved: a Monday morning.
pub const START: &str = "2026-06-01T08:00:00Z";

/// A clock that a test moves.
#[derive(Clone)]
pub struct TestClock(Arc<AtomicI64>);

impl TestClock {
    fn new() -> Self {
        let clock = Self(Arc::new(AtomicI64::new(0)));
        clock.set(START);
        clock
    }

    /// Sets it to an instant such as `2026-06-01T08:00:00Z`.
    pub fn set(&self, text: &str) {
        let at: jiff::Timestamp = text.parse().expect("an instant");
        self.0.store(at.as_microsecond(), Ordering::SeqCst);
    }

    pub fn advance_seconds(&self, seconds: i64) {
        self.0.fetch_add(seconds * 1_000_000, Ordering::SeqCst);
    }

    pub fn micros(&self) -> i64 {
        self.0.load(Ordering::SeqCst)
    }
}

impl Clock for TestClock {
    fn now(&self) -> Instant {
        jiff::Timestamp::from_microsecond(self.micros()).expect("a time of this era").into()
    }
}

/// A running service.
pub struct Server {
    pub database: Database,
    /// `http://127.0.0.1:<port>`.
    pub base: String,
    /// `DATABASE_URL` of its data.
    pub url: String,
    pub clock: TestClock,
    _folder: Option<Arc<Folder>>,
}

impl Server {
    /// The process's service on the database, whose clock nobody moves; `None` where PostgreSQL is not installed.
    pub fn shared(database: Database) -> Option<&'static Self> {
        static SQLITE: OnceLock<Option<Server>> = OnceLock::new();
        static POSTGRES: OnceLock<Option<Server>> = OnceLock::new();
        let (cell, name) = match database {
            Database::Sqlite => (&SQLITE, "SQLite"),
            Database::Postgres => (&POSTGRES, "PostgreSQL"),
        };
        let server = cell.get_or_init(|| {
            let (url, folder) = empty(database)?;
            Some(Self::start(database, url, folder, settings(), Arc::new(SystemRandom)))
        });
        if server.is_none() {
            postgres::skipped();
        }
        server.as_ref().or_else(|| {
            assert!(database == Database::Postgres, "{name} is built in");
            None
        })
    }

    /// A service of one's own on an empty database, with these settings.
    pub fn alone(database: Database, settings: Settings) -> Option<Self> {
        Self::with_chance(database, settings, Arc::new(SystemRandom))
    }

    /// The same with a source of chance of one's own.
    pub fn with_chance(database: Database, settings: Settings, chance: Arc<dyn Random>) -> Option<Self> {
        let (url, folder) = empty(database)?;
        Some(Self::start(database, url, folder, settings, chance))
    }

    /// Another process, as it were, on the same data, with a clock of its own: for tests that move the clock.
    pub fn beside(&self) -> Self {
        Self::start(self.database, self.url.clone(), self._folder.clone(), settings(), Arc::new(SystemRandom))
    }

    fn start(
        database: Database,
        url: String,
        folder: Option<Arc<Folder>>,
        settings: Settings,
        chance: Arc<dyn Random>,
    ) -> Self {
        let clock = TestClock::new();
        let db = Db::open(&Location::parse(&url).unwrap()).unwrap();
        migrate::up(&mut db.conn().unwrap()).unwrap();
        let state = App::new(db, Arc::new(clock.clone()), chance, settings);
        let listener = TcpListener::bind("127.0.0.1:0").unwrap();
        let base = format!("http://{}", listener.local_addr().unwrap());
        std::thread::spawn(move || app::serve(state, listener, None).unwrap());
        Self { database, base, url, clock, _folder: folder }
    }
}

/// Settings that make tests fast: cheap password hashes, no bound on requests.
pub fn settings() -> Settings {
    Settings { password_memory_kib: 64, requests_per_second: 0, ..Settings::default() }
}

/// The URL of an empty database, and the folder it lies in.
pub fn empty(database: Database) -> Option<(String, Option<Arc<Folder>>)> {
    match database {
        Database::Sqlite => {
            let folder = Folder::new();
            let url = format!("sqlite://{}/barns.sqlite3", folder.path().display());
            Some((url, Some(Arc::new(folder))))
        }
        Database::Postgres => Some((Cluster::shared()?.database(), None)),
    }
}
