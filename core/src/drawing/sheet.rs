//! The setting sheet on A4: what is needed to set an exercise by tape, in the order in which it is done.
use super::paper::{Paper, Row};
use super::plan::Plan;
use super::svg::Type;

/// A length as the barn writes it, and in the other units.
#[derive(Debug, Clone, PartialEq, Eq, Default)]
pub struct BothWays {
    /// In bold.
    pub own: String,
    /// After it.
    pub other: String,
}

/// Where something is set: the tape pinned in a corner, or from two corners.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetPlace {
    /// Where the tape is pinned, in bold, and how it lies.
    pub pin: BothWays,
    /// The fence's number; none for what is no fence.
    pub number: Option<String>,
    /// What is set.
    pub what: String,
    /// Its left end as ridden: along the wall and square off it, or from the one corner and from the other.
    pub left: [BothWays; 2],
    /// Its right end; none for what has one place only.
    pub right: Option<[BothWays; 2]>,
}

/// How a fence is built.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetFence {
    /// Its number.
    pub number: String,
    /// Its kind.
    pub kind: String,
    /// Which way it is ridden.
    pub ridden: String,
    /// Its height for the first rider.
    pub height: BothWays,
    /// From front to back; empty where it has none.
    pub width: BothWays,
    /// Its ground line.
    pub ground_line: String,
    /// Its cups.
    pub cups: String,
}

/// A line, as it is checked and asked.
#[derive(Debug, Clone, PartialEq, Eq)]
pub struct SheetLine {
    /// From which fence to which.
    pub fences: String,
    /// How far.
    pub distance: BothWays,
    /// In steps of whoever walks it.
    pub steps: String,
    /// Between which points.
    pub measured: String,
    /// The counts in the order of asking, the first in bold.
    pub asked: BothWays,
}

/// All that a setting sheet says; what is empty is left out.
#[derive(Debug, Clone, PartialEq)]
pub struct Sheet {
    /// The exercise.
    pub title: String,
    /// The arena in bold, and its size.
    pub arena: BothWays,
    /// The day, and the hour in bold.
    pub time: [String; 2],
    /// By when it stands.
    pub ready_by: String,
    /// Who asked for it.
    pub asked_by: String,
    /// Which revision of the exercise.
    pub revision: String,
    /// What to do before anything is set.
    pub first: Vec<String>,
    /// What the yard calls poles: it stands in a heading.
    pub poles: String,
    /// How places are found.
    pub method: String,
    /// What the readings are, for the left end and for the right.
    pub readings: [String; 2],
    /// Where everything goes.
    pub places: Vec<SheetPlace>,
    /// How fences are built.
    pub fences: Vec<SheetFence>,
    /// What lies between them.
    pub lines: Vec<SheetLine>,
    /// The unit of the distances.
    pub unit: String,
    /// In what steps are.
    pub step: String,
    /// What changes from rider to rider.
    pub between: Vec<String>,
    /// What is carried out.
    pub equipment: Vec<String>,
    /// Whether the fence set has it.
    pub from_set: String,
    /// Distances to be measured again at the end.
    pub last_check: Vec<String>,
    /// Said at the foot of every page.
    pub caution: String,
    /// Whose sheet it is.
    pub barn: String,
    /// The layout; none where it has no place yet.
    pub plan: Option<Plan>,
}

/// Draws the sheet, page by page, each an SVG of 794 by 1,123 units: A4 at 96 to the inch. Half a dozen fences fill one.
///
/// ```
/// use stridewright_core::drawing::{BothWays, Plan, Sheet, sheet};
/// use stridewright_core::{track::ArenaSize, units::Metres};
/// let both = |own: &str, other: &str| BothWays { own: own.to_owned(), other: other.to_owned() };
/// let pages = sheet(&Sheet {
///     title: "Nothing but footing".to_owned(),
///     arena: both("Long school", "58 × 27 m"),
///     time: ["Tuesday 1 December,", "17:00"].map(str::to_owned),
///     ready_by: "16:45".to_owned(),
///     asked_by: "Ines".to_owned(),
///     revision: "1".to_owned(),
///     first: vec!["No holes at take-off and landing.".to_owned()],
///     poles: "poles".to_owned(),
///     method: String::new(),
///     readings: Default::default(),
///     places: Vec::new(),
///     fences: Vec::new(),
///     lines: Vec::new(),
///     unit: "(m)".to_owned(),
///     step: String::new(),
///     between: Vec::new(),
///     equipment: Vec::new(),
///     from_set: String::new(),
///     last_check: Vec::new(),
///     caution: "Walk every distance before it is jumped.".to_owned(),
///     barn: "Quernstone Barn".to_owned(),
///     plan: Some(Plan {
///         title: "Nothing but footing".to_owned(),
///         place: "Long school".to_owned(),
///         arena: ArenaSize { length: Metres::new(58.0)?, width: Metres::new(27.0)? },
///         fences: Vec::new(),
///         lines: Vec::new(),
///         ways: Vec::new(),
///         pace_marks: Vec::new(),
///         gates: Vec::new(),
///         way_in: None,
///         findings: Vec::new(),
///         words: "An empty arena of 58 by 27 m.".to_owned(),
///     }),
/// });
/// assert!(pages.len() == 1 && pages[0].contains("No holes at take-off"));
/// # Ok::<(), stridewright_core::units::OutOfRange>(())
/// ```
#[must_use]
pub fn sheet(sheet: &Sheet) -> Vec<String> {
    let mut paper = Paper::new(&sheet.caution, &sheet.barn);
    paper.head(&sheet.title, &sheet.arena, &sheet.time);
    let facts = [
        ("Ready by", &sheet.ready_by),
        ("For", &sheet.asked_by),
        ("Set by", &String::new()),
        ("Plan", &sheet.revision),
    ];
    paper.facts(&facts);
    if !sheet.first.is_empty() {
        paper.section("First", "", 0.0, 1.0);
        paper.boxes(&sheet.first, 2, 0.0, 1.0);
    }
    places(&mut paper, sheet);
    fences(&mut paper, sheet);
    paper.beside(
        |paper| lines(paper, sheet),
        |paper| {
            if !sheet.between.is_empty() {
                paper.section("Between riders", "", 0.565, 1.0);
                paper.boxes(&sheet.between, 1, 0.565, 1.0);
            }
        },
    );
    paper.beside(
        |paper| {
            if !sheet.equipment.is_empty() {
                paper.section("Equipment", &sheet.from_set, 0.0, 0.53);
                paper.prose(&sheet.equipment.join(", "), 0.0, 0.53);
            }
        },
        |paper| {
            if !sheet.last_check.is_empty() {
                paper.section("Last check, tape pulled straight", "", 0.565, 1.0);
                paper.boxes(&sheet.last_check, 1, 0.565, 1.0);
            }
        },
    );
    if let Some(plan) = &sheet.plan {
        paper.plan(plan);
    }
    paper.finish(&sheet.title, sheet.plan.as_ref().map_or(&sheet.title, |plan| &plan.words))
}

fn places(paper: &mut Paper, sheet: &Sheet) {
    if sheet.places.is_empty() {
        return;
    }
    paper.section(&format!("Where the {} go", sheet.poles), &sheet.method, 0.0, 1.0);
    let [one, other] = &sheet.readings;
    let heads = [
        "pin at".to_owned(),
        "what".to_owned(),
        format!("left end: {one}"),
        other.clone(),
        format!("right end: {one}"),
        other.clone(),
    ];
    const COLUMNS: [f64; 6] = [0.0, 0.2, 0.385, 0.55, 0.69, 0.865];
    paper.heads(&heads, &COLUMNS);
    for place in &sheet.places {
        let mut row = Row::boxed();
        row.both(0.0, &place.pin).label(0.2, place.number.as_deref(), &place.what);
        for (at, cell) in [0.385, 0.55].into_iter().zip(&place.left) {
            row.both(at, cell);
        }
        for (at, cell) in [0.69, 0.865].into_iter().zip(place.right.iter().flatten()) {
            row.both(at, cell);
        }
        paper.row(row, 0.0, 1.0);
    }
}

fn fences(paper: &mut Paper, sheet: &Sheet) {
    if sheet.fences.is_empty() {
        return;
    }
    paper.section("Fences", "heights for the first rider", 0.0, 1.0);
    const COLUMNS: [f64; 6] = [0.0, 0.165, 0.325, 0.455, 0.585, 0.765];
    paper
        .heads(&["fence", "ridden", "height now", "front to back", "ground line", "cups"].map(str::to_owned), &COLUMNS);
    for fence in &sheet.fences {
        let mut row = Row::boxed();
        row.label(0.025, Some(&fence.number), &fence.kind)
            .plain(0.165, &fence.ridden)
            .both(0.325, &fence.height)
            .both(0.455, &fence.width)
            .plain(0.585, &fence.ground_line)
            .plain(0.765, &fence.cups);
        paper.row(row, 0.0, 1.0);
    }
}

fn lines(paper: &mut Paper, sheet: &Sheet) {
    if sheet.lines.is_empty() {
        return;
    }
    paper.section("Lines", "", 0.0, 0.53);
    const COLUMNS: [f64; 5] = [0.0, 0.07, 0.19, 0.285, 0.455];
    let distance = format!("distance {}", sheet.unit);
    let heads = ["", &distance, &sheet.step, "measured", "strides"].map(str::to_owned);
    paper.heads(&heads, &COLUMNS);
    for line in &sheet.lines {
        let mut row = Row::open();
        row.strong(0.0, &line.fences)
            .both(0.07, &line.distance)
            .plain(0.19, &line.steps)
            .plain(0.285, &line.measured)
            .both(0.455, &line.asked);
        paper.row(row, 0.0, 0.53);
    }
}

/// Text of the sheet: 9 to 10 points.
pub(super) const TEXT: Type = Type { size: 12.5, ..Type::LABEL };
