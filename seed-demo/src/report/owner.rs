//! What an owner sees.
use super::progress::trend;
use super::text::{heading, items, jumps, said, text, whole, wrapped};
use super::workload::{asked_by, ceilings, limits, series};
use crate::barn::Barn;
use crate::cast::{IMPROVING, STEADY};
use crate::client::Failure;
use crate::json::Fields;
use jiff::civil::Time;

pub const OWNER: &str = "Linnea Dovecote";

pub fn sees(barn: &Barn) -> Result<(), Failure> {
    heading(
        "9. What an owner sees",
        &format!("{OWNER} signs in: her own horse whole, with her own limits in force, and nothing of the others."),
    );
    let client = barn.client(OWNER)?;
    let horses = client.all(&barn.at("horses"))?;
    let names: Vec<&str> = horses.iter().map(|h| text(h.of("name"))).collect();
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
        let date = barn.local(session.of("starts_at")).map(|at| said(at.date())).unwrap_or_default();
        for entry in items(session.of("entries")) {
            let words = format!(
                "{}, {}: {}",
                text(session.of("title")),
                jumps(whole(entry.of("planned_efforts"))),
                text(entry.of("status"))
            );
            wrapped(&format!("    {date:<11} "), &words);
        }
    }
    let since = barn.day(-7).to_string();
    let rides = client.all(&barn.at(&format!("rides?horse_id={}&from={since}", barn.id(IMPROVING)?)))?;
    let outcome = |of: &str| {
        let fences = rides.iter().flat_map(|ride| items(ride.of("fences")));
        fences.filter(|fence| fence.of("outcome") == of).count()
    };
    let jumped: i64 = rides.iter().map(|ride| whole(ride.of("efforts"))).sum();
    let words = format!(
        "{} goes, {}; rails down {}, stops {}, run-outs {}.",
        rides.len(),
        jumps(jumped),
        outcome("rail"),
        outcome("refusal"),
        outcome("run_out")
    );
    wrapped("  His rides of the last 7 days: ", &words);
    let other = client.send("GET", &barn.horse(STEADY, "efforts")?, None, None)?;
    println!("  She asks for {STEADY}'s jumps: {} ({}), as if there were no such horse.", other.status, other.code());
    Ok(())
}
