//! Plain text of at most 96 columns.
use crate::json::Fields;
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
    for word in text.split([' ', '\n']).filter(|word| !word.is_empty()) {
        if line.chars().count() > indent && line.chars().count() + word.chars().count() + 1 > WIDTH {
            print(&line);
            line = " ".repeat(indent);
        }
        if line.chars().count() > indent {
            line.push(' ');
        }
        line.push_str(word);
    }
    print(&line);
}

/// A space that no line is broken at is a plain one on paper.
fn print(line: &str) {
    println!("{}", line.trim_end().replace('\u{a0}', " "));
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

/// The words of an answer with their dates as people say them.
pub fn plain(words: &str) -> String {
    let word = |word: &str| {
        let bare = word.trim_matches(['(', ')', ';', ',', '.']);
        bare.parse().map_or_else(|_| word.to_owned(), |date| word.replace(bare, &said(date)))
    };
    words.split(' ').map(word).collect::<Vec<_>>().join(" ")
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
        let who = match reason.of("source").as_str() {
            Some("barn_default") => "the barn's limit",
            Some("trainer") => "a trainer's limit",
            Some("owner") => "the owner's limit",
            Some("vet") => "the vet's word",
            _ => "",
        };
        let binding = if reason.of("binding") == true { "nobody may pass it" } else { "a trainer may, with a reason" };
        let who = if who.is_empty() { binding.to_owned() } else { format!("{who}; {binding}") };
        wrapped("  - ", &format!("{} ({who})", plain(text(reason.of("message")))));
    }
}
