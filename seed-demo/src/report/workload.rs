//! Counting and rest.
use super::text::{cautions, day, heading, items, jumps, reasons, text, whole, wrapped};
use crate::barn::Barn;
use crate::cast::{RETURNING, STEADY, STOOD_DOWN};
use crate::client::{Client, Failure};
use serde_json::Value;

pub fn of(barn: &Barn) -> Result<(), Failure> {
    heading(
        "5. Jumps of 28 days against the limits",
        "What was jumped and what is booked, how complete the log is, at most how many on each of the next days, and \
         when a horse may jump again.",
    );
    let efforts = barn.trainer.get(&barn.horse(STEADY, "efforts")?)?;
    let rest = barn.trainer.get(&barn.horse(STEADY, "rest?efforts=16&height_cm=80")?)?;
    println!("{STEADY}");
    series(&efforts);
    limits(&rest);
    ceilings(&rest, 10);
    again(&rest, 16);
    for (name, efforts) in [(RETURNING, 14), (STOOD_DOWN, 12)] {
        let rest = barn.trainer.get(&barn.horse(name, &format!("rest?efforts={efforts}&height_cm=75"))?)?;
        let why = if name == RETURNING { "back after a break of six weeks" } else { "stood down by the vet" };
        println!("\n{name}, {why}");
        for down in items(&rest["stand_downs"]) {
            wrapped("  ", &format!("{}: \"{}\"", text(&down["words"]), text(&down["reason"])));
        }
        ceilings(&rest, 7);
        again(&rest, efforts);
    }
    println!();
    let rest = &rest["caution"];
    cautions(&Value::Array(vec![rest.clone()]));
    Ok(())
}

/// The weeks of the last 28 days, and the sums.
pub fn series(efforts: &Value) {
    let days: Vec<&Value> = items(&efforts["days"]).collect();
    println!("  Jumps a day, the latest week last:");
    for week in days.chunks(7) {
        let from = week.first().map(|d| day(&d["day"])).unwrap_or_default();
        let cells: Vec<String> = week
            .iter()
            .map(|d| match (whole(&d["logged"]), whole(&d["planned"])) {
                (0, 0) => "  .".to_owned(),
                (logged, 0) => format!("{logged:>3}"),
                (logged, planned) => format!("{:>3}*", logged + planned),
            })
            .collect();
        let sum: i64 = week.iter().map(|d| whole(&d["logged"]) + whole(&d["planned"])).sum();
        println!("    from {from:<10} {:<30} week {sum:>3}", cells.join(" "));
    }
    let starred = days.iter().any(|d| whole(&d["planned"]) > 0);
    if starred {
        println!("    * with jumps that were planned and not answered for, or are still to come");
    }
    let sum = |of: &Value| {
        format!("{} logged, {} with what is planned", whole(&of["logged"]), whole(&of["logged_and_planned"]))
    };
    println!("  7 days: {}. 28 days: {}.", sum(&efforts["sum_7_days"]), sum(&efforts["sum_28_days"]));
    complete(&efforts["completeness"]);
}

pub fn complete(of: &Value) {
    let (closed, due) = (whole(&of["closed"]), whole(&of["due"]));
    let words = if closed == due {
        format!("The log is complete: {closed} of {due} sessions and outings are closed.")
    } else {
        format!(
            "The log is not complete: {closed} of {due} sessions and outings are closed; what was not logged was not rested."
        )
    };
    wrapped("  ", &words);
}

/// The limits in force.
pub fn limits(rest: &Value) {
    println!("  Limits in force:");
    for limit in items(&rest["limits"]) {
        let source = text(&limit["source"]).replace("barn_default", "barn");
        wrapped("    - ", &format!("{} ({source})", text(&limit["words"])));
    }
}

/// At most so many on each of the next days.
pub fn ceilings(rest: &Value, most: usize) {
    println!("  The next days:");
    for ceiling in items(&rest["next_14_days"]).take(most) {
        let because = ceiling["because"].as_str().map(|b| format!("  ({b})")).unwrap_or_default();
        wrapped(&format!("    {:<11} ", day(&ceiling["day"])), &format!("{}{because}", text(&ceiling["words"])));
    }
}

/// When the session asked about is allowed, and why not before.
fn again(rest: &Value, efforts: i64) {
    let asked = &rest["asked"];
    if asked["allowed_today"] == true {
        println!("  {} today: nothing stands against it.", jumps(efforts));
        return;
    }
    println!("  {} today: no, because", jumps(efforts));
    reasons(&asked["reasons_today"]);
    match asked["earliest_day"].as_str() {
        Some(_) => println!("  The first day for {}: {}.", jumps(efforts), day(&asked["earliest_day"])),
        None => println!("  No day of the next 400, as things stand."),
    }
}

/// What anybody who may asks of a horse.
pub fn asked_by(client: &Client, barn: &Barn, horse: &str) -> Result<(Value, Value), Failure> {
    Ok((client.get(&barn.horse(horse, "efforts")?)?, client.get(&barn.horse(horse, "rest")?)?))
}
