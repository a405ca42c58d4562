//! Sheets of A4, filled from the top: sections, rows with boxes to tick, columns side by side, and a plan at the end.
use super::plan::{self, Format, Plan};
use super::sheet::{BothWays, TEXT};
use super::svg::{Stroke, Svg, Type};
use super::words::{lines, wide};

/// A4 at 96 units to the inch, and its margins of 10 mm.
const PAGE: (f64, f64) = (794.0, 1123.0);
const MARGIN: f64 = 38.0;
const WIDE: f64 = PAGE.0 - 2.0 * MARGIN;
/// Where the foot begins.
const FOOT: f64 = PAGE.1 - 34.0;
const ROW: f64 = 22.0;
/// How much smaller a plan is upon a sheet.
const SMALLER: f64 = 0.8;
/// A plan is not drawn lower than this, nor smaller: what stands in it would hide it.
const LEAST_PLAN: f64 = 240.0;
const LEAST_SCALE: f64 = 6.0;
/// Above and below the arena.
const AROUND_PLAN: f64 = 110.0;

/// What stands in one row, each at its share of the width.
pub(super) struct Row<'a> {
    boxed: bool,
    cells: Vec<(f64, Cell<'a>)>,
}

enum Cell<'a> {
    Plain(&'a str),
    Strong(&'a str),
    Both(&'a BothWays),
    Label(Option<&'a str>, &'a str),
}

impl<'a> Row<'a> {
    /// With a box to tick.
    pub const fn boxed() -> Self {
        Self { boxed: true, cells: Vec::new() }
    }

    pub const fn open() -> Self {
        Self { boxed: false, cells: Vec::new() }
    }

    pub fn plain(&mut self, at: f64, words: &'a str) -> &mut Self {
        self.cells.push((at, Cell::Plain(words)));
        self
    }

    pub fn strong(&mut self, at: f64, words: &'a str) -> &mut Self {
        self.cells.push((at, Cell::Strong(words)));
        self
    }

    pub fn both(&mut self, at: f64, both: &'a BothWays) -> &mut Self {
        self.cells.push((at, Cell::Both(both)));
        self
    }

    /// A number on a disc, where there is one, and words.
    pub fn label(&mut self, at: f64, number: Option<&'a str>, words: &'a str) -> &mut Self {
        self.cells.push((at, Cell::Label(number, words)));
        self
    }
}

pub(super) struct Paper<'a> {
    pages: Vec<Svg>,
    svg: Svg,
    down: f64,
    caution: &'a str,
    barn: &'a str,
}

const fn x(share: f64) -> f64 {
    MARGIN + share * WIDE
}

/// As much of it as fits, and an ellipsis.
fn fitted(words: &str, how: Type, room: f64) -> String {
    if wide(words, how) <= room {
        return words.to_owned();
    }
    let mut short: String = words.to_owned();
    while !short.is_empty() && wide(&short, how) > room - how.size {
        short.pop();
    }
    format!("{}…", short.trim_end())
}

impl<'a> Paper<'a> {
    pub fn new(caution: &'a str, barn: &'a str) -> Self {
        Self { pages: Vec::new(), svg: Svg::default(), down: MARGIN, caution, barn }
    }

    /// Goes on upon another page where so much does not fit upon this one.
    fn need(&mut self, height: f64) {
        if self.down + height > FOOT - 8.0 && self.down > MARGIN {
            self.turn();
        }
    }

    fn turn(&mut self) {
        let mut full = std::mem::take(&mut self.svg);
        self.foot(&mut full);
        self.pages.push(full);
        self.down = MARGIN;
    }

    fn foot(&self, svg: &mut Svg) {
        svg.line((MARGIN, FOOT), (PAGE.0 - MARGIN, FOOT), Stroke::full(1.0));
        svg.text((MARGIN, FOOT + 17.0), Type { size: 12.0, ..TEXT }, self.caution);
        svg.text((PAGE.0 - MARGIN, FOOT + 17.0), Type { size: 12.0, ..TEXT }.bold().end(), self.barn);
    }

    /// The title, and place and time at the right of it.
    pub fn head(&mut self, title: &str, arena: &BothWays, [day, hour]: &[String; 2]) {
        let how = Type { size: 25.0, ..TEXT }.bold();
        self.svg.text((MARGIN, self.down + 27.0), how, &fitted(title, how, WIDE * 0.66));
        let (how, right) = (Type { size: 14.0, ..TEXT }.end(), PAGE.0 - MARGIN);
        let mut pair = |down: f64, (left, left_how): (&str, Type), (last, last_how): (&str, Type)| {
            self.svg.text((right, down), last_how, last);
            self.svg.text((right - wide(last, last_how) - 6.0, down), left_how, left);
        };
        pair(self.down + 10.0, (&arena.own, how.bold()), (&arena.other, how));
        pair(self.down + 29.0, (day, how), (hour, how.bold()));
        self.svg.line((MARGIN, self.down + 42.0), (right, self.down + 42.0), Stroke::full(2.0));
        self.down += 66.0;
    }

    /// Facts in a row; one without a value is for a pen.
    pub fn facts(&mut self, facts: &[(&str, &String)]) {
        let count = u16::try_from(facts.len()).unwrap_or(1).max(1);
        for (n, (name, value)) in (0u16..).zip(facts) {
            let left = x(f64::from(n) / f64::from(count));
            self.svg.text((left, self.down), TEXT, name);
            let after = left + wide(name, TEXT) + 10.0;
            if value.is_empty() {
                self.svg.line((after, self.down + 2.0), (after + 110.0, self.down + 2.0), Stroke::full(1.0));
            } else {
                self.svg.text((after, self.down), TEXT.bold(), value);
            }
        }
        self.down += 12.0;
    }

    /// A heading with a rule, and a note at its right end.
    pub fn section(&mut self, name: &str, note: &str, from: f64, to: f64) {
        self.need(3.0 * ROW);
        self.down += 18.0;
        self.svg.text((x(from), self.down), Type { size: 14.5, ..TEXT }.bold(), name);
        let left = wide(name, Type { size: 14.5, ..TEXT }.bold()) + 16.0;
        let note = fitted(note, TEXT, (to - from) * WIDE - left);
        self.svg.text((x(to), self.down), TEXT.end(), &note);
        self.svg.line((x(from), self.down + 6.0), (x(to), self.down + 6.0), Stroke::full(1.0));
        self.down += 6.0;
    }

    /// What columns hold.
    pub fn heads(&mut self, names: &[String], columns: &[f64]) {
        self.down += 16.0;
        for (name, at) in names.iter().zip(columns) {
            self.svg.text((x(*at), self.down), Type { size: 12.0, ..TEXT }, name);
        }
        self.down += 4.0;
    }

    pub fn row(&mut self, row: Row<'_>, from: f64, to: f64) {
        self.need(ROW);
        let base = self.down + 15.5;
        self.svg.line((x(from), self.down), (x(to), self.down), Stroke::full(0.5));
        if row.boxed {
            self.tick(x(from), base);
        }
        for (at, cell) in row.cells {
            // the first column stands behind the box
            let left = x(at) + if row.boxed && at == 0.0 { 19.0 } else { 0.0 };
            match cell {
                Cell::Plain(words) => self.svg.text((left, base), TEXT, words),
                Cell::Strong(words) => self.svg.text((left, base), TEXT.bold(), words),
                Cell::Both(both) => self.both(left, base, both),
                Cell::Label(number, words) => {
                    let mut left = left;
                    if let Some(number) = number {
                        self.svg.disc((left + 8.0, base - 4.5), 9.0);
                        let how = Type { size: 11.5, ..TEXT }.bold().middle();
                        self.svg.text_on_ink((left + 8.0, base - 0.5), how, number);
                        left += 23.0;
                    }
                    self.svg.text((left, base), TEXT, words);
                }
            }
        }
        self.down += ROW;
    }

    fn both(&mut self, left: f64, base: f64, both: &BothWays) {
        self.svg.text((left, base), TEXT.bold(), &both.own);
        let after = if both.own.is_empty() { left } else { left + wide(&both.own, TEXT.bold()) + 5.0 };
        self.svg.text((after, base), TEXT, &both.other);
    }

    fn tick(&mut self, left: f64, base: f64) {
        let (top, side) = (base - 10.5, 11.0);
        let corners = [(left, top), (left + side, top), (left + side, top + side), (left, top + side)];
        self.svg.shape(&corners, false, 1.25);
    }

    /// Sentences with a box to tick each, in so many columns.
    pub fn boxes(&mut self, sentences: &[String], columns: usize, from: f64, to: f64) {
        let columns = columns.max(1);
        let share = (to - from) / f64::from(u16::try_from(columns).unwrap_or(1));
        for several in sentences.chunks(columns) {
            let room = share * WIDE - 26.0;
            let broken: Vec<Vec<String>> = several.iter().map(|words| lines(words, TEXT, room)).collect();
            let most = broken.iter().map(Vec::len).max().unwrap_or(1).max(1);
            let height = 4.0 + 16.0 * f64::from(u16::try_from(most).unwrap_or(1));
            self.need(height);
            for (n, sentence) in (0u16..).zip(&broken) {
                let left = x(from + share * f64::from(n));
                self.tick(left, self.down + 15.5);
                for (m, line) in (0u16..).zip(sentence) {
                    self.svg.text((left + 19.0, self.down + 15.5 + 16.0 * f64::from(m)), TEXT, line);
                }
            }
            self.down += height;
        }
    }

    pub fn prose(&mut self, words: &str, from: f64, to: f64) {
        for line in lines(words, TEXT, (to - from) * WIDE) {
            self.need(16.0);
            self.down += 16.0;
            self.svg.text((x(from), self.down), TEXT, &line);
        }
        self.down += 4.0;
    }

    /// Two parts side by side; what follows begins below both.
    pub fn beside(&mut self, left: impl FnOnce(&mut Self), right: impl FnOnce(&mut Self)) {
        // neither begins at the foot of a page and ends at the head of the next
        self.need(8.0 * ROW);
        let (top, page) = (self.down, self.pages.len());
        left(self);
        let below = self.down;
        if self.pages.len() == page {
            self.down = top;
        }
        right(self);
        self.down = self.down.max(below);
    }

    /// The plan in what is left of the page, or on one of its own.
    pub fn plan(&mut self, drawn: &Plan) {
        self.need(LEAST_PLAN.max(drawn.arena.width.get() * LEAST_SCALE + AROUND_PLAN));
        self.down += 14.0;
        // drawn larger than it is put down, so that its text is that of a page
        let room = (WIDE / SMALLER, (FOOT - 8.0 - self.down) / SMALLER);
        let (inner, (_, high)) = plan::upon(drawn, Format { width: room.0, height: room.1, margin: 54.0 });
        self.svg.nest(inner, (MARGIN, self.down), SMALLER);
        self.down += high * SMALLER;
    }

    /// The pages as documents.
    pub fn finish(mut self, title: &str, words: &str) -> Vec<String> {
        self.turn();
        self.pages.into_iter().map(|svg| svg.finish(PAGE.0, PAGE.1, title, words)).collect()
    }
}
