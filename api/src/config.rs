//! Arguments, environment, and what each command does.
use crate::app;
use crate::db::migrate;
use crate::db::pool::{Db, Location};
use crate::routes::list;
use crate::sign_in::operator::{self, Deed};
use crate::state::{App, Settings, SystemClock, SystemRandom};
use clap::{Parser, Subcommand};
use std::path::PathBuf;
use std::sync::Arc;

type Outcome = Result<(), Box<dyn std::error::Error + Send + Sync>>;

/// Barn management for jumping schooling.
#[derive(Debug, Parser)]
#[command(version)]
pub struct Arguments {
    /// `sqlite://<file>` or `postgres://…`; without it a SQLite file in the folder `data`.
    #[arg(long, env = "DATABASE_URL", global = true, hide_env_values = true)]
    pub database_url: Option<String>,
    #[command(subcommand)]
    pub command: Command,
}

/// What to do.
#[derive(Debug, Subcommand)]
pub enum Command {
    /// Bring the database up to date and serve.
    Serve {
        /// Where to listen.
        #[arg(long, env = "STRIDEWRIGHT_LISTEN", default_value = "127.0.0.1:8080")]
        listen: String,
        /// Requests a second from one address before 429; 0 for no bound, as behind a proxy that has one.
        #[arg(long, env = "STRIDEWRIGHT_REQUESTS_PER_SECOND", default_value_t = Settings::default().requests_per_second)]
        requests_per_second: u32,
        /// Seconds a body may take, and one more for each KiB of it.
        #[arg(long, env = "STRIDEWRIGHT_BODY_SECONDS", default_value_t = Settings::default().body_seconds)]
        body_seconds: u64,
    },
    /// Bring the database up to date.
    Migrate {
        /// Take every migration back instead: all data is lost.
        #[arg(long)]
        down: bool,
    },
    /// Print the OpenAPI document.
    Openapi,
    /// Check the database: foreign keys, the audit chain, and that rides and days count as the log does.
    Check,
    /// Shut an account out at once: its sign-ins and the rail links it handed out are ended.
    DisableAccount {
        #[arg(long)]
        email: String,
    },
    /// Let a disabled account sign in again.
    EnableAccount {
        #[arg(long)]
        email: String,
    },
    /// Give an account a new password, which is printed; ends its sign-ins, and hears guesses again.
    ResetPassword {
        #[arg(long)]
        email: String,
    },
}

/// Where the data lives, when nobody says.
fn default_location() -> Location {
    Location::Sqlite(PathBuf::from("data/stridewright.sqlite3"))
}

fn open(url: Option<&str>) -> Result<Db, Box<dyn std::error::Error + Send + Sync>> {
    let location = url.map_or_else(|| Ok(default_location()), Location::parse)?;
    if let Location::Sqlite(path) = &location {
        eprintln!("data: SQLite file {}", path.display());
    } else {
        eprintln!("data: PostgreSQL");
    }
    Ok(Db::open(&location)?)
}

/// Runs the command.
pub fn run(arguments: Arguments) -> Outcome {
    let url = arguments.database_url.as_deref();
    match arguments.command {
        Command::Openapi => {
            println!("{}", serde_json::to_string_pretty(&list::all().document())?);
            Ok(())
        }
        Command::Migrate { down: true } => migrate::down(&mut open(url)?.conn()?),
        Command::Migrate { down: false } => {
            for name in migrate::up(&mut open(url)?.conn()?)? {
                println!("applied {name}");
            }
            Ok(())
        }
        Command::Check => {
            let faults = crate::db::check::faults(&mut open(url)?.conn()?).map_err(|p| p.to_string())?;
            for fault in &faults {
                println!("{fault}");
            }
            if faults.is_empty() {
                println!("sound: foreign keys, audit chains, and what rides and days count");
                Ok(())
            } else {
                Err(format!("{} faults", faults.len()).into())
            }
        }
        Command::DisableAccount { email } => act(url, &email, Deed::Disable),
        Command::EnableAccount { email } => act(url, &email, Deed::Enable),
        Command::ResetPassword { email } => act(url, &email, Deed::ResetPassword),
        Command::Serve { listen, requests_per_second, body_seconds } => {
            crate::log::begin();
            let db = open(url)?;
            migrate::up(&mut db.conn()?)?;
            let state = state(db, Settings { requests_per_second, body_seconds, ..Settings::default() });
            let listener = std::net::TcpListener::bind(&listen)?;
            eprintln!("listening on http://{}", listener.local_addr()?);
            Ok(app::serve(state, listener, None)?)
        }
    }
}

fn state(db: Db, settings: Settings) -> App {
    App::new(db, Arc::new(SystemClock), Arc::new(SystemRandom), settings)
}

fn act(url: Option<&str>, email: &str, deed: Deed) -> Outcome {
    let app = Arc::new(state(open(url)?, Settings::default()));
    let said = actix_web::rt::System::new().block_on(operator::act(&app, email, deed));
    println!("{}", said.map_err(|problem| problem.detail().to_owned())?);
    Ok(())
}
