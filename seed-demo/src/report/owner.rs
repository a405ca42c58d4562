//! What an owner sees.
use super::progress::trend;
use super::text::{day, heading, items, said, text, whole, wrapped};
use super::workload::{asked_by, ceilings, limits, series};
use crate::barn::Barn;
use crate::cast::{IMPROVING, STEADY};
use crate::client::Failure;
use jiff::civil::Time;

pub const OWNER: &str = "Linnea Dovecote";

pub fn sees(barn: &Barn) -> Result<(), Failure> {
    heading(
        "9. What an owner sees",
        &format!("{OWNER} signs in: her own horse whole, with her own limits in force, and nothing of the others."),
    );
    let client = barn.client(OWNER)?;
    let horses = client.all(&barn.at("horses"))?;
    let names: Vec<&str> = horses.iter().map(|h| text(&h["name"])).collect();
    println!("Her horses: {}.", names.join(", "));
    let (efforts, rest) = asked_by(client, barn, IMPROVING)?;
    series(&efforts);
    limits(&rest);
    ceilings(&rest, 5);
    trend(&client.get(&barn.horse(IMPROVING, "adjustability")?)?);
    let from = barn.moment(barn.today, Time::midnight())?;
    let sessions = client.all(&barn.at(&format!("sessions?from={from}")))?;
    println!("  His sessions ahead:");
    for session in &sessions {
        let date = barn.local(&session["starts_at"]).map(|at| said(at.date())).unwrap_or_default();
        for entry in items(&session["entries"]) {
            let words = format!("{}, {}: {}", text(&session["title"]), jumps_of(entry), text(&entry["status"]));
            wrapped(&format!("    {date:<11} "), &words);
        }
    }
    let since = barn.day(-7).to_string();
    let rides = client.all(&barn.at(&format!("rides?horse_id={}&from={since}", barn.id(IMPROVING)?)))?;
    println!("  His rides of the last 7 days: {} goes, the first on {}.", rides.len(), first(barn, &rides));
    let other = client.send("GET", &barn.horse(STEADY, "efforts")?, None, None)?;
    println!("  She asks for {STEADY}'s jumps: {} ({}), as if there were no such horse.", other.status, other.code());
    Ok(())
}

fn jumps_of(entry: &serde_json::Value) -> String {
    super::text::jumps(whole(&entry["planned_efforts"]))
}

fn first(barn: &Barn, rides: &[serde_json::Value]) -> String {
    let days = rides.iter().filter_map(|ride| ride["day"].as_str());
    days.min().map_or_else(|| said(barn.today), |d| day(&d.into()))
}
