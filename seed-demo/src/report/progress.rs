//! Adjustability, and what to ask next.
use super::text::{cautions, day, heading, items, number, text, whole, wrapped};
use crate::barn::Barn;
use crate::cast::{DECLINING, IMPROVING, MOUNTS};
use crate::client::Failure;
use crate::json::Fields;
use serde_json::Value;

pub fn trends(barn: &Barn) -> Result<(), Failure> {
    heading(
        "6. Becoming more adjustable, or less",
        "The shortest and the longest stride that succeed 8 times in 10, with their 80 % bands, week by week; long over \
         short is the ratio. The verdict is about the change, and says how sure it is.",
    );
    for (n, name) in [IMPROVING, DECLINING].into_iter().enumerate() {
        if n > 0 {
            println!();
        }
        let seen = barn.trainer.get(&barn.horse(name, "adjustability")?)?;
        println!("{name}");
        trend(&seen);
        if n > 0 {
            cautions(seen.of("cautions"));
        }
    }
    println!("\nThe others today");
    for mount in MOUNTS.iter().filter(|m| m.name != IMPROVING && m.name != DECLINING) {
        let seen = barn.trainer.get(&barn.horse(mount.name, "adjustability")?)?;
        println!("  {:<11} {}\n  {:<11}   {}", mount.name, range(&seen), "", text(seen.of("verdict_words")));
    }
    Ok(())
}

/// The trend of a horse.
pub fn trend(seen: &Value) {
    let stride = seen.of("normal_stride");
    let words = format!(
        "normal stride {:.2} m ({}); {} lines ridden as asked on {} days",
        number(stride.of("stride_m")),
        text(stride.of("source")),
        whole(seen.of("attempts")),
        whole(seen.of("days"))
    );
    println!("  {words}");
    println!("  {:<11} {:>22} {:>22} {:>20}", "Monday", "short end, m", "long end, m", "ratio");
    let weeks: Vec<&Value> = items(seen.of("weeks")).collect();
    let last = weeks.len().saturating_sub(1);
    for (_, week) in weeks.iter().enumerate().filter(|(n, _)| (last - n).is_multiple_of(3)) {
        println!("  {:<11} {}", day(week.of("as_of")), range(week));
    }
    println!("  {:<11} {}", "today", range(seen));
    if weeks.iter().any(|w| w.of("ratio").of("assumed") == true) {
        println!("  ~ assumed: the rides say next to nothing about that end yet");
    }
    let change = seen.of("change_per_week");
    let words = format!(
        "{}: it shortens and lengthens {:+.1}\u{a0}% further each week (80\u{a0}% band {:+.1} to {:+.1}\u{a0}%)",
        text(seen.of("verdict_words")),
        number(change.of("percent")),
        number(change.of("low_percent")),
        number(change.of("high_percent"))
    );
    wrapped("  Verdict: ", &words);
}

fn range(of: &Value) -> String {
    let end = |end: &Value| {
        let mark = if end.of("assumed") == true { "~" } else { " " };
        format!(
            "{:.2}{mark} ({:.2} to {:.2})",
            number(end.of("stride_m")),
            number(end.of("low_m")),
            number(end.of("high_m"))
        )
    };
    let ratio = of.of("ratio");
    let ratio =
        format!("{:.2} ({:.2} to {:.2})", number(ratio.of("value")), number(ratio.of("low")), number(ratio.of("high")));
    format!("{:>22} {:>22} {:>20}", end(of.of("short_end")), end(of.of("long_end")), ratio)
}

pub fn next_ask(barn: &Barn) -> Result<(), Failure> {
    heading(
        "7. What to ask next",
        "For this pair on this line: the count that is likely enough to succeed, and the way there.",
    );
    let pairing = barn.id(&format!("{IMPROVING} / Oskar Pellow"))?;
    for (distance, height) in [("21.0312", 70), ("25.6032", 70)] {
        let rest = format!(
            "pairings/{pairing}/next-ask?distance_m={distance}&first_height_cm={height}&second_height_cm={height}"
        );
        let next = barn.trainer.get(&barn.horse(IMPROVING, &rest)?)?;
        let words = format!("two fences at {height} cm, {}", text(next.of("distance_text")));
        println!("{IMPROVING} / Oskar Pellow, {words}");
        println!("  The normal count: {}. {}.", whole(next.of("natural")), capital(text(next.of("status_words"))));
        if let Some(reason) = next.of("reason_words").as_str() {
            println!("  Why: {reason}.");
        }
        let ask = next.of("ask");
        if !ask.is_null() {
            let words = format!(
                "{} strides at {}, each of {}; the chance that it succeeds is {:.0}\u{a0}%, at the least {:.0}\u{a0}%.",
                whole(ask.of("count")),
                text(ask.of("distance_text")),
                text(ask.of("stride_text")),
                100.0 * number(ask.of("chance")),
                100.0 * number(ask.of("cautious_chance"))
            );
            wrapped("  Ask: ", &words);
            if let Some(words) = ask.of("approach_words").as_str() {
                println!("  {}.", capital(words));
            }
        }
        let ladder: Vec<String> = items(next.of("ladder")).map(Value::to_string).collect();
        println!("  Go by go: {} ({} jumps).", ladder.join(", "), whole(next.of("efforts")));
        let rungs: Vec<&str> = items(next.of("rungs")).map(|r| text(r.of("distance_text"))).collect();
        if !rungs.is_empty() {
            wrapped("  ", &format!("Roll the second fence out, go by go: {}.", rungs.join("; ")));
        }
        if let Some(longer) = next.of("next_line_text").as_str() {
            println!("  Next time the line may be set at {longer}.");
        }
        if distance == "25.6032" {
            cautions(next.of("cautions"));
        }
    }
    Ok(())
}

fn capital(words: &str) -> String {
    let mut letters = words.chars();
    letters.next().map_or_else(String::new, |first| first.to_uppercase().chain(letters).collect())
}
