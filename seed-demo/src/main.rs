//! Fills an invented barn through the HTTP API with a fixed seed, shows the main job, and goes on serving.
mod barn;
mod cast;
mod client;
mod events;
mod exercises;
mod json;
mod model;
mod people;
mod places;
mod random;
mod report;
mod rides;
mod server;
mod timetable;
mod weeks;

use barn::Barn;
use clap::Parser;
use client::{Client, Failure};
use jiff::civil::{Date, time};
use jiff::tz::TimeZone;
use jiff::{Timestamp, Unit};
use random::Random;
use server::Server;
use std::path::PathBuf;
use std::process::ExitCode;

/// Fills an invented barn through the HTTP API, and shows the main job.
#[derive(Debug, Parser)]
#[command(version)]
struct Arguments {
    /// Print the report and end.
    #[arg(long)]
    once: bool,
    /// Fill the service at this address, `http://…`, instead of starting one.
    #[arg(long, conflicts_with = "today")]
    url: Option<String>,
    /// Where to listen; a free port where that is taken.
    #[arg(long, env = "STRIDEWRIGHT_LISTEN", default_value = "127.0.0.1:8080")]
    listen: String,
    /// Where the new SQLite file goes.
    #[arg(long, default_value = "data/demo")]
    folder: PathBuf,
    /// Another date to begin on, at 11 in the morning there: the service's clock is set to it.
    #[arg(long)]
    today: Option<Date>,
    /// A word for the e-mail addresses, to fill one service twice.
    #[arg(long, default_value = "")]
    mark: String,
}

fn main() -> ExitCode {
    match run(&Arguments::parse()) {
        Ok(()) => ExitCode::SUCCESS,
        Err(failure) => {
            eprintln!("seed-demo: {failure}");
            ExitCode::FAILURE
        }
    }
}

#[allow(clippy::disallowed_methods, reason = "the one look at the clock: all dates follow from it")]
fn run(arguments: &Arguments) -> Result<(), Failure> {
    let plain = |e: jiff::Error| Failure::Plain(e.to_string());
    let zone = TimeZone::get(cast::ZONE).map_err(plain)?;
    let mut now = Timestamp::now();
    let mut shift = 0;
    if let Some(today) = arguments.today {
        let wanted = today.to_datetime(time(11, 0, 0, 0)).to_zoned_datetime(zone.clone()).map_err(plain)?.timestamp();
        shift = wanted.as_second() - now.round(Unit::Second).map_err(plain)?.as_second();
        now = wanted;
    }
    let today = now.to_zoned_datetime(zone.clone()).date();
    let server = match arguments.url {
        Some(_) => None,
        None => Some(Server::start(&arguments.listen, &arguments.folder, shift)?),
    };
    let base = server.as_ref().map_or_else(|| arguments.url.clone().unwrap_or_default(), |s| s.base.clone());
    if let Some(server) = &server {
        println!("data: SQLite file {}; listening on {}", server.file.display(), server.base);
    }
    let client = Client::new(&base);
    let barn = fill(&client, &arguments.mark, today, zone)?;
    report::print(&barn, &arguments.mark)?;
    match server {
        Some(server) if !arguments.once => {
            println!("\nServing at {base}: Ctrl-C ends it.");
            server.serve()
        }
        _ => Ok(()),
    }
}

/// The same choices every time.
const SEED: u64 = 2026;

fn fill(client: &Client, mark: &str, today: Date, zone: TimeZone) -> Result<Barn, Failure> {
    let stage = |what: &str, done: &str| println!("  {what:<10} {done}");
    println!("Filling {}, as of {today}:", cast::BARN);
    let mut barn = people::found(client, mark, today, zone)?;
    stage("people", &people::people(&mut barn, client, mark)?);
    stage("sign-ins", &people::sign_in(&mut barn, client, mark, &people::AT_WORK)?);
    stage("places", &places::fill(&mut barn)?);
    stage("exercises", &exercises::fill(&mut barn)?);
    stage("horses", &people::horses(&mut barn)?);
    stage("limits", &people::owners_limits(&barn)?);
    stage("outings", &events::show(&barn)?);
    let mut random = Random::new(SEED);
    for weeks in (0..model::WEEKS).step_by(7) {
        let from = 7 * (weeks - model::WEEKS);
        let tally = weeks::fill(&barn, &mut random, from, from + 49)?;
        let words = format!(
            "from {}: {} sessions, {} entries, {} rides; {} lowered, {} answered, {} open",
            barn.day(from),
            tally.sessions,
            tally.entries,
            tally.rides,
            tally.lowered,
            tally.answered,
            tally.unresolved
        );
        stage("weeks", &words);
    }
    stage("farrier", &events::farrier(&barn)?);
    let ahead = weeks::fill(&barn, &mut random, 0, 14)?;
    stage("ahead", &format!("{} sessions, {} entries booked", ahead.sessions, ahead.entries));
    stage("vet", &events::vet(&barn)?);
    stage("requests", &events::requests(&barn)?);
    println!("  {} requests in all.", client.sent());
    Ok(barn)
}
