//! Writing SVG: shapes in the ink of the page, and text with a halo of its ground.
use std::fmt::Write as _;

/// A place on the page.
pub(super) type At = (f64, f64);

/// Shapes in the order of drawing.
#[derive(Debug, Default)]
pub(super) struct Svg {
    body: String,
}

/// How a line is drawn.
#[derive(Debug, Clone, Copy)]
pub(super) struct Stroke {
    pub width: f64,
    pub dashes: &'static str,
}

impl Stroke {
    pub const fn full(width: f64) -> Self {
        Self { width, dashes: "" }
    }

    pub const fn dashed(width: f64) -> Self {
        Self { width, dashes: "6 5" }
    }
}

/// How text is set.
#[derive(Debug, Clone, Copy)]
pub(super) struct Type {
    pub size: f64,
    pub bold: bool,
    pub anchor: &'static str,
    pub turned: f64,
}

impl Type {
    pub const LABEL: Self = Self { size: 15.0, bold: false, anchor: "start", turned: 0.0 };

    pub const fn bold(self) -> Self {
        Self { bold: true, ..self }
    }

    pub const fn middle(self) -> Self {
        Self { anchor: "middle", ..self }
    }

    pub const fn end(self) -> Self {
        Self { anchor: "end", ..self }
    }
}

/// With as many digits as can be seen.
pub(super) fn number(value: f64) -> String {
    let text = format!("{:.2}", value + 0.0);
    let text = text.trim_end_matches('0').trim_end_matches('.');
    if text == "-0" { "0".to_owned() } else { text.to_owned() }
}

pub(super) fn escaped(text: &str) -> String {
    text.chars().fold(String::with_capacity(text.len()), |mut out, c| {
        match c {
            '&' => out.push_str("&amp;"),
            '<' => out.push_str("&lt;"),
            '>' => out.push_str("&gt;"),
            '"' => out.push_str("&quot;"),
            // what XML does not allow at all
            c if c.is_control() && !matches!(c, '\t' | '\n' | '\r') => out.push('\u{fffd}'),
            c => out.push(c),
        }
        out
    })
}

impl Svg {
    fn put(&mut self, what: std::fmt::Arguments<'_>) {
        // writing to a String cannot fail
        let _ = self.body.write_fmt(what);
        self.body.push('\n');
    }

    pub fn path(&mut self, d: &str, stroke: Stroke) {
        let dashes =
            if stroke.dashes.is_empty() { String::new() } else { format!(" stroke-dasharray=\"{}\"", stroke.dashes) };
        let width = number(stroke.width);
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{width}\"{dashes}/>"
        ));
    }

    pub fn line(&mut self, from: At, to: At, stroke: Stroke) {
        let d = format!("M{} {}L{} {}", number(from.0), number(from.1), number(to.0), number(to.1));
        self.path(&d, stroke);
    }

    /// A box with round ends along a line.
    pub fn log(&mut self, from: At, to: At, thick: f64) {
        let d = format!("M{} {}L{} {}", number(from.0), number(from.1), number(to.0), number(to.1));
        let (outer, inner) = (number(thick), number((thick - 4.0).max(1.0)));
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"{outer}\" stroke-linecap=\"round\"/>"
        ));
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"none\" class=\"ground-line\" stroke=\"#fff\" stroke-width=\"{inner}\" stroke-linecap=\"round\"/>"
        ));
    }

    /// A piece of a line taken out again.
    pub fn gap(&mut self, from: At, to: At, thick: f64) {
        let d = format!("M{} {}L{} {}", number(from.0), number(from.1), number(to.0), number(to.1));
        let thick = number(thick);
        self.put(format_args!(
            "<path d=\"{d}\" fill=\"none\" class=\"ground-line\" stroke=\"#fff\" stroke-width=\"{thick}\"/>"
        ));
    }

    /// A dashed circle around a place.
    pub fn around(&mut self, at: At, radius: f64) {
        let (x, y, r) = (number(at.0), number(at.1), number(radius));
        self.put(format_args!(
            "<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"none\" stroke=\"currentColor\" stroke-width=\"1.75\" stroke-dasharray=\"6 5\"/>"
        ));
    }

    /// Closed, in ink or in the ground's colour with an edge.
    pub fn shape(&mut self, corners: &[At], filled: bool, edge: f64) {
        let points: Vec<String> = corners.iter().map(|(x, y)| format!("{},{}", number(*x), number(*y))).collect();
        let fill = if filled { "fill=\"currentColor\"" } else { "class=\"ground\" fill=\"#fff\"" };
        let points = points.join(" ");
        let edge = number(edge);
        self.put(format_args!("<polygon points=\"{points}\" {fill} stroke=\"currentColor\" stroke-width=\"{edge}\"/>"));
    }

    pub fn disc(&mut self, at: At, radius: f64) {
        let (x, y, r) = (number(at.0), number(at.1), number(radius));
        self.put(format_args!("<circle cx=\"{x}\" cy=\"{y}\" r=\"{r}\" fill=\"currentColor\"/>"));
    }

    pub fn text(&mut self, at: At, how: Type, words: &str) {
        self.words(
            at,
            how,
            words,
            "fill=\"currentColor\" class=\"halo\" stroke=\"#fff\" stroke-width=\"4\" paint-order=\"stroke\"",
        );
    }

    /// Upon ink.
    pub fn text_on_ink(&mut self, at: At, how: Type, words: &str) {
        self.words(at, how, words, "class=\"ground\" fill=\"#fff\"");
    }

    fn words(&mut self, at: At, how: Type, words: &str, colours: &str) {
        if words.is_empty() {
            return;
        }
        let (x, y, size) = (number(at.0), number(at.1), number(how.size));
        let weight = if how.bold { " font-weight=\"700\"" } else { "" };
        let turned = if how.turned == 0.0 {
            String::new()
        } else {
            format!(" transform=\"rotate({} {x} {y})\"", number(how.turned))
        };
        let (anchor, words) = (how.anchor, escaped(words));
        self.put(format_args!(
            "<text x=\"{x}\" y=\"{y}\" font-size=\"{size}\" text-anchor=\"{anchor}\"{weight}{turned} {colours}>{words}</text>"
        ));
    }

    /// Another drawing at a place and a scale.
    pub fn nest(&mut self, inner: Self, at: At, scale: f64) {
        let (x, y) = (number(at.0), number(at.1));
        self.put(format_args!("<g transform=\"translate({x} {y}) scale({scale:.4})\">\n{}</g>", inner.body));
    }

    /// The whole document, with what it shows in words.
    pub fn finish(self, width: f64, height: f64, title: &str, words: &str) -> String {
        let (width, height, title, words) = (number(width), number(height), escaped(title), escaped(words));
        let body = self.body;
        format!(
            "<svg xmlns=\"http://www.w3.org/2000/svg\" viewBox=\"0 0 {width} {height}\" role=\"img\" \
             aria-labelledby=\"title words\" font-family=\"system-ui, Segoe UI, Roboto, Noto Sans, sans-serif\" \
             color=\"#14201C\">\n<title id=\"title\">{title}</title>\n<desc id=\"words\">{words}</desc>\n{body}</svg>\n"
        )
    }
}
