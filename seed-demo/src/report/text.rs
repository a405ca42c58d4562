//! Plain text of at most 96 columns.
use serde_json::Value;

const WIDTH: usize = 96;

/// A heading, and a sentence of what is to be seen.
pub fn heading(title: &str, sentence: &str) {
    println!("\n{title}\n{}", "-".repeat(title.chars().count()));
    wrapped("", sentence);
    println!();
}

/// The text in lines, the first after the lead, the others below its beginning.
pub fn wrapped(lead: &str, text: &str) {
    let indent = lead.chars().count();
    let mut line = lead.to_owned();
    for word in text.split_whitespace() {
        if line.chars().count() > indent && line.chars().count() + word.chars().count() + 1 > WIDTH {
            println!("{}", line.trim_end());
            line = " ".repeat(indent);
        }
        if line.chars().count() > indent {
            line.push(' ');
        }
        line.push_str(word);
    }
    println!("{}", line.trim_end());
}

/// A text of an answer.
pub fn text(value: &Value) -> &str {
    value.as_str().unwrap_or("-")
}

/// A whole number of an answer.
pub fn whole(value: &Value) -> i64 {
    value.as_i64().unwrap_or_default()
}

/// A number of an answer.
pub fn number(value: &Value) -> f64 {
    value.as_f64().unwrap_or_default()
}

pub fn items(value: &Value) -> impl Iterator<Item = &Value> {
    value.as_array().into_iter().flatten()
}

/// A date as people say it: `Wed 25 Nov`.
pub fn day(value: &Value) -> String {
    let date: Option<jiff::civil::Date> = value.as_str().and_then(|d| d.parse().ok());
    date.map_or_else(|| "-".to_owned(), said)
}

pub fn said(date: jiff::civil::Date) -> String {
    date.strftime("%a %-d %b").to_string()
}

/// `1 jump`, `2 jumps`.
pub fn jumps(n: i64) -> String {
    if n == 1 { "1 jump".to_owned() } else { format!("{n} jumps") }
}

/// The cautions of an answer.
pub fn cautions(of: &Value) {
    for caution in items(of) {
        wrapped("  ! ", text(caution));
    }
}

/// The reasons of a refusal, one a line.
pub fn reasons(of: &Value) {
    for reason in items(of) {
        let who = match reason["source"].as_str() {
            Some("barn_default") => "the barn's limit",
            Some("trainer") => "a trainer's limit",
            Some("owner") => "the owner's limit",
            Some("vet") => "the vet's word",
            _ => "",
        };
        let binding = if reason["binding"] == true { "nobody may pass it" } else { "a trainer may, with a reason" };
        let who = if who.is_empty() { binding.to_owned() } else { format!("{who}; {binding}") };
        wrapped("  - ", &format!("{} ({who})", text(&reason["message"])));
    }
}
