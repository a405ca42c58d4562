//! A throw-away PostgreSQL for one test process.
use crate::temporary::Watched;
use diesel::connection::SimpleConnection;
use diesel::{Connection, PgConnection};
use std::net::TcpListener;
use std::path::{Path, PathBuf};
use std::process::Command;
use std::sync::OnceLock;
use std::sync::atomic::{AtomicUsize, Ordering};

/// Says where a running PostgreSQL may be used instead; its user must be allowed to make databases.
const OVERRIDE: &str = "STRIDEWRIGHT_TEST_POSTGRES_URL";

/// Makes a cluster, starts it, prints its folder, and waits; then stops and removes it.
const SCRIPT: &str = r#"
bin=$1 port=$2 fsync=$3
d=$(mktemp -d "${TMPDIR:-/tmp}/stridewright-pg.XXXXXX") || exit 1
if "$bin/initdb" -D "$d/data" -U stridewright -A trust -E UTF8 --locale=C --no-sync >"$d/log" 2>&1 &&
   "$bin/pg_ctl" -D "$d/data" -w -t 60 -l "$d/log" -o "-p $port -k $d -c listen_addresses=127.0.0.1 \
     -c max_connections=300 -c fsync=$fsync -c full_page_writes=$fsync -c jit=off" start >/dev/null 2>&1 </dev/null
then echo "$d"; else cat "$d/log" >&2; echo; fi
cat >/dev/null
"$bin/pg_ctl" -D "$d/data" -m immediate -w stop >/dev/null 2>&1
rm -rf "$d"
"#;

/// A running cluster; it ends with this value, or with the process.
pub struct Cluster {
    url: String,
    _watched: Option<Watched>,
}

/// Databases made so far by this process, for their names.
static MADE: AtomicUsize = AtomicUsize::new(0);

impl Cluster {
    /// The process's own cluster; `None` where PostgreSQL is not installed. Its writes are not forced to disk.
    pub fn shared() -> Option<&'static Self> {
        static SHARED: OnceLock<Option<Cluster>> = OnceLock::new();
        SHARED.get_or_init(|| Self::start(false)).as_ref()
    }

    /// Another cluster; with `durable` its acknowledged writes are on the disk.
    pub fn start(durable: bool) -> Option<Self> {
        if let Ok(url) = std::env::var(OVERRIDE) {
            return Some(Self { url: url.trim_end_matches('/').to_owned(), _watched: None });
        }
        let Some(programs) = programs() else {
            assert!(std::env::var_os("CI").is_none(), "no PostgreSQL programs found, and CI is set");
            return None;
        };
        let user = user();
        let runner: Vec<&str> = user.iter().map(String::as_str).collect();
        for _ in 0..5 {
            let port = TcpListener::bind("127.0.0.1:0").unwrap().local_addr().unwrap().port().to_string();
            let arguments = [programs.to_str().unwrap(), &port, if durable { "on" } else { "off" }];
            let watched = Watched::start(&runner, SCRIPT, &arguments).expect("sh");
            if !watched.said.is_empty() {
                let url = format!("postgres://stridewright@127.0.0.1:{port}");
                return Some(Self { url, _watched: Some(watched) });
            }
        }
        panic!("PostgreSQL is installed, but could not be started");
    }

    /// The process that all of its others come from; `None` where it is not ours.
    pub fn main_process(&self) -> Option<u32> {
        let folder = PathBuf::from(&self._watched.as_ref()?.said);
        let text = std::fs::read_to_string(folder.join("data/postmaster.pid")).ok()?;
        text.lines().next()?.trim().parse().ok()
    }

    /// Makes an empty database and answers its URL.
    pub fn database(&self) -> String {
        let name = format!("test_{}_{}", std::process::id(), MADE.fetch_add(1, Ordering::Relaxed));
        let mut conn = PgConnection::establish(&format!("{}/postgres", self.url)).expect("PostgreSQL answers");
        conn.batch_execute(&format!("CREATE DATABASE {name}")).expect("a new database");
        format!("{}/{name}", self.url)
    }
}

/// Says so where a test of PostgreSQL cannot run here.
pub fn skipped() {
    println!("skipped: no PostgreSQL programs found");
}

/// The folder of `initdb` and `pg_ctl`.
fn programs() -> Option<PathBuf> {
    let has_all = |folder: &Path| folder.join("initdb").is_file() && folder.join("pg_ctl").is_file();
    let path = std::env::var_os("PATH").unwrap_or_default();
    let mut folders: Vec<PathBuf> = std::env::split_paths(&path).collect();
    if let Ok(output) = Command::new("pg_config").arg("--bindir").output() {
        folders.push(String::from_utf8_lossy(&output.stdout).trim().into());
    }
    let mut installed: Vec<PathBuf> = std::fs::read_dir("/usr/lib/postgresql")
        .map(|entries| entries.filter_map(|e| Some(e.ok()?.path().join("bin"))).collect())
        .unwrap_or_default();
    installed.sort();
    folders.extend(installed.into_iter().rev());
    // links are followed: the programs look for their neighbours
    folders.iter().find(|f| has_all(f)).and_then(|f| Some(f.join("initdb").canonicalize().ok()?.parent()?.to_owned()))
}

/// What runs a program as somebody else: the root user may not make a cluster.
fn user() -> Vec<String> {
    let output = |program: &str, arguments: &[&str]| {
        Command::new(program).args(arguments).output().ok().filter(|o| o.status.success())
    };
    let root = output("id", &["-u"]).is_some_and(|o| o.stdout.trim_ascii() == b"0");
    if !root {
        return Vec::new();
    }
    let name = if output("id", &["-u", "postgres"]).is_some() { "postgres" } else { "nobody" };
    let group = output("id", &["-g", name]).map(|o| String::from_utf8_lossy(&o.stdout).trim().to_owned());
    let words: Vec<String> = match group {
        Some(group) if output("setpriv", &["--version"]).is_some() => {
            vec!["setpriv".into(), format!("--reuid={name}"), format!("--regid={group}"), "--clear-groups".into()]
        }
        _ => vec!["runuser".into(), "-u".into(), name.into(), "--".into()],
    };
    // the folder for temporary files of root may be closed to others
    words.into_iter().chain(["env".into(), "TMPDIR=/tmp".into()]).collect()
}
