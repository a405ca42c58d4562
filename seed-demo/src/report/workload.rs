//! Counting and rest.
use super::text::{cautions, day, heading, items, jumps, plain, reasons, text, whole, wrapped};
use crate::barn::Barn;
use crate::cast::{RETURNING, STEADY, STOOD_DOWN};
use crate::client::{Client, Failure};
use crate::json::Fields;
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
        for down in items(rest.of("stand_downs")) {
            wrapped("  ", &format!("{}: \"{}\"", plain(text(down.of("words"))), text(down.of("reason"))));
        }
        ceilings(&rest, 7);
        again(&rest, efforts);
    }
    println!();
    let rest = rest.of("caution");
    cautions(&Value::Array(vec![rest.clone()]));
    Ok(())
}

/// The weeks of the last 28 days, and the sums.
pub fn series(efforts: &Value) {
    let days: Vec<&Value> = items(efforts.of("days")).collect();
    println!("  Jumps a day, the latest week last:");
    for week in days.chunks(7) {
        let from = week.first().map(|d| day(d.of("day"))).unwrap_or_default();
        let cells: Vec<String> = week
            .iter()
            .map(|d| match (whole(d.of("logged")), whole(d.of("planned"))) {
                (0, 0) => "  .".to_owned(),
                (logged, 0) => format!("{logged:>3}"),
                (logged, planned) => format!("{:>3}*", logged + planned),
            })
            .collect();
        let sum: i64 = week.iter().map(|d| whole(d.of("logged")) + whole(d.of("planned"))).sum();
        println!("    from {from:<10} {:<30} week {sum:>3}", cells.join(" "));
    }
    let starred = days.iter().any(|d| whole(d.of("planned")) > 0);
    if starred {
        println!("    * with jumps that were planned and not answered for, or are still to come");
    }
    let sum = |of: &Value| {
        format!("{} logged, {} with what is planned", whole(of.of("logged")), whole(of.of("logged_and_planned")))
    };
    println!("  7 days: {}. 28 days: {}.", sum(efforts.of("sum_7_days")), sum(efforts.of("sum_28_days")));
    complete(efforts.of("completeness"));
}

pub fn complete(of: &Value) {
    let (closed, due) = (whole(of.of("closed")), whole(of.of("due")));
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
    let mut limits: Vec<&Value> = items(rest.of("limits")).collect();
    limits.sort_by_key(|limit| (text(limit.of("kind")), text(limit.of("words"))));
    for limit in limits {
        let source = text(limit.of("source")).replace("barn_default", "barn");
        wrapped("    - ", &format!("{} ({source})", text(limit.of("words"))));
    }
}

/// At most so many on each of the next days; days that are alike stand in one line.
pub fn ceilings(rest: &Value, most: usize) {
    println!("  The next days:");
    let days: Vec<&Value> = items(rest.of("next_14_days")).take(most).collect();
    for alike in days.chunk_by(|a, b| (a.of("words"), a.of("because")) == (b.of("words"), b.of("because"))) {
        let (Some(first), Some(last)) = (alike.first(), alike.last()) else { continue };
        let because = first.of("because").as_str().map(|b| format!("  ({})", plain(b))).unwrap_or_default();
        let to = if alike.len() > 1 { format!(" to {}", day(last.of("day"))) } else { String::new() };
        let lead = format!("    {:<25} ", format!("{}{to}", day(first.of("day"))));
        wrapped(&lead, &format!("{}{because}", text(first.of("words"))));
    }
}

/// When the session asked about is allowed, and why not before.
fn again(rest: &Value, efforts: i64) {
    let asked = rest.of("asked");
    if asked.of("allowed_today") == true {
        println!("  {} today: nothing stands against it.", jumps(efforts));
        return;
    }
    println!("  {} today: no, because", jumps(efforts));
    reasons(asked.of("reasons_today"));
    match asked.of("earliest_day").as_str() {
        Some(_) => println!("  The first day for {}: {}.", jumps(efforts), day(asked.of("earliest_day"))),
        None => println!("  No first day can be named as things stand."),
    }
}

/// What anybody who may asks of a horse.
pub fn asked_by(client: &Client, barn: &Barn, horse: &str) -> Result<(Value, Value), Failure> {
    Ok((client.get(&barn.horse(horse, "efforts")?)?, client.get(&barn.horse(horse, "rest")?)?))
}
