//! How much room words take: a guess that holds for the fonts of a page.
use super::svg::Type;

/// A letter is about so wide, for its height.
const LETTER: f64 = 0.56;

/// How wide the words are about.
pub(super) fn wide(words: &str, how: Type) -> f64 {
    let letters = u16::try_from(words.chars().count()).unwrap_or(u16::MAX);
    f64::from(letters) * how.size * if how.bold { LETTER * 1.07 } else { LETTER }
}

/// Words broken into lines that fit.
pub(super) fn lines(words: &str, how: Type, room: f64) -> Vec<String> {
    let mut all = Vec::new();
    let mut line = String::new();
    for word in words.split_whitespace() {
        let longer = if line.is_empty() { word.to_owned() } else { format!("{line} {word}") };
        if wide(&longer, how) > room && !line.is_empty() {
            all.push(std::mem::replace(&mut line, word.to_owned()));
        } else {
            line = longer;
        }
    }
    all.push(line);
    all
}
