//! The schedule.
use super::text::{heading, items, jumps, plain, said, text, whole, wrapped};
use crate::barn::Barn;
use crate::client::Failure;
use crate::json::Fields;
use jiff::civil::Time;
use serde_json::Value;
use std::collections::BTreeMap;

pub fn week(barn: &Barn) -> Result<(), Failure> {
    heading(
        "1. The seven days from today",
        &format!(
            "Every session by day and arena, by the barn's clock ({}). What is asked for holds no time yet.",
            crate::cast::ZONE
        ),
    );
    let (from, to) = (barn.moment(barn.today, Time::midnight())?, barn.moment(barn.day(7), Time::midnight())?);
    let sessions = barn.trainer.all(&barn.at(&format!("sessions?from={from}&to={to}")))?;
    let mut days: BTreeMap<_, BTreeMap<&str, Vec<&Value>>> = BTreeMap::new();
    for session in &sessions {
        let Some(start) = barn.local(session.of("starts_at")) else { continue };
        let arena = if session.of("arena_id").is_null() { "No arena" } else { barn.name(session.of("arena_id")) };
        days.entry(start.date()).or_default().entry(arena).or_default().push(session);
    }
    for (date, arenas) in &days {
        println!("{}", said(*date));
        for (arena, sessions) in arenas {
            println!("  {arena}");
            for session in sessions {
                show(barn, session);
            }
        }
    }
    Ok(())
}

/// One session with its entries.
pub fn show(barn: &Barn, session: &Value) {
    let time = |of: &Value| barn.local(of).map_or_else(String::new, |at| at.strftime("%H:%M").to_string());
    let exercise = match barn.name(session.of("exercise_id")) {
        "-" => String::new(),
        name => format!(" [{name}]"),
    };
    let trainer = match barn.name(session.of("trainer_id")) {
        "-" => String::new(),
        name => format!(", {name}"),
    };
    let status = match text(session.of("status")) {
        "requested" => " - ASKED FOR, not confirmed",
        _ => "",
    };
    let lead = format!("    {}-{}  ", time(session.of("starts_at")), time(session.of("ends_at")));
    wrapped(&lead, &format!("{}{exercise}{trainer}{status}", text(session.of("title"))));
    for entry in items(session.of("entries")) {
        wrapped("                   ", &self::entry(barn, entry));
    }
}

/// One entry in a line.
pub fn entry(barn: &Barn, entry: &Value) -> String {
    let pair = match (barn.name(entry.of("horse_id")), barn.name(entry.of("rider_id"))) {
        (horse, "-") => horse.to_owned(),
        (horse, rider) => format!("{horse} / {rider}"),
    };
    let mut plan = Vec::new();
    let (efforts, poles) = (whole(entry.of("planned_efforts")), whole(entry.of("planned_pole_passes")));
    if efforts > 0 {
        plan.push(format!("{} at {} cm", jumps(efforts), whole(entry.of("planned_height_cm"))));
    }
    if poles > 0 {
        plan.push(format!("{poles} poles"));
    }
    let plan = if plan.is_empty() { String::new() } else { format!(": {}", plan.join(", ")) };
    let flag =
        items(entry.of("flags")).next().map(|flag| format!(" - not confirmed: {}", plain(text(flag.of("message")))));
    let status = match text(entry.of("status")) {
        "requested" if flag.is_none() => " - asked for",
        _ => "",
    };
    format!("{pair}{plan}{status}{}", flag.unwrap_or_default())
}
