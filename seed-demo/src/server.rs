//! The service in this process, on a fresh SQLite file.
use crate::client::Failure;
use std::io::ErrorKind;
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::sync::Arc;
use std::thread::JoinHandle;
use stridewright_api::app;
use stridewright_api::db::migrate;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::state::{App, Clock, Settings, SystemClock, SystemRandom};
use stridewright_core::calendar::Instant;

/// The machine's clock, set forward or back.
struct ShiftedClock {
    seconds: i64,
}

impl Clock for ShiftedClock {
    fn now(&self) -> Instant {
        SystemClock.now().plus_seconds(self.seconds)
    }
}

/// A running service.
pub struct Server {
    pub base: String,
    pub file: PathBuf,
    thread: JoinHandle<std::io::Result<()>>,
}

impl Server {
    /// Starts it; its clock runs `shift` seconds ahead of the machine's.
    pub fn start(listen: &str, folder: &Path, shift: i64) -> Result<Self, Failure> {
        let plain = |what: &str, e: &dyn std::fmt::Display| Failure::Plain(format!("{what}: {e}"));
        std::fs::create_dir_all(folder).map_err(|e| plain(&folder.display().to_string(), &e))?;
        let file = unused(folder);
        let db = Db::open(&Location::Sqlite(file.clone())).map_err(|e| plain("the database", &e))?;
        let mut conn = db.conn().map_err(|_| Failure::Plain("the database is busy".to_owned()))?;
        migrate::up(&mut conn).map_err(|e| plain("the migrations", &e))?;
        drop(conn);
        let listener = match TcpListener::bind(listen) {
            Err(e) if e.kind() == ErrorKind::AddrInUse => {
                eprintln!("{listen} is taken: a free port is used instead");
                TcpListener::bind("127.0.0.1:0")
            }
            bound => bound,
        };
        let listener = listener.map_err(|e| plain(listen, &e))?;
        let base = format!("http://{}", listener.local_addr().map_err(|e| plain(listen, &e))?);
        let clock = Arc::new(ShiftedClock { seconds: shift });
        let state = App::new(db, clock, Arc::new(SystemRandom), Settings::default());
        let thread = std::thread::spawn(move || app::serve(state, listener, None));
        Ok(Self { base, file, thread })
    }

    /// Serves until it is stopped by a signal.
    pub fn serve(self) -> Result<(), Failure> {
        let ended = self.thread.join().map_err(|_| Failure::Plain("the service ended badly".to_owned()))?;
        ended.map_err(|e| Failure::Plain(format!("the service: {e}")))
    }
}

/// A file that is not there yet: an earlier demonstration may still be open.
fn unused(folder: &Path) -> PathBuf {
    let name = |n: u32| folder.join(format!("quernstone-{n}.sqlite3"));
    let taken = (1..).take_while(|n| name(*n).exists()).count();
    name(u32::try_from(taken).unwrap_or(0) + 1)
}
