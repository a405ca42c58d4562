//! Plans: everything is on them, to scale, and nothing breaks the document.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use std::collections::BTreeSet;
use stridewright_core::drawing::{Plan, PlanFence, PlanFinding, PlanGate, PlanLine, PlanPaceMark, plan};
use stridewright_core::layout::{FenceKind as K, LaidFence};
use stridewright_core::stride::Profile;
use stridewright_core::track::{ArenaSize, GroundLine, Passage, PlacedFence, Point, TrackRules, track};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

const KINDS: [K; 9] =
    [K::Vertical, K::Oxer, K::TripleBar, K::CrossPole, K::Wall, K::Log, K::Ditch, K::Water, K::GroundPole];

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

fn fence(label: &str, kind: K, x: f64, y: f64, heading: f64) -> PlanFence {
    let placed = PlacedFence {
        centre: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() },
        heading: Degrees::new(heading).unwrap(),
        height: Centimetres::new(100).unwrap(),
        spread: metres(if matches!(kind, K::Oxer | K::TripleBar | K::Water) { 1.2 } else { 0.0 }),
        width: metres(3.5),
    };
    PlanFence {
        label: label.to_owned(),
        name: format!("{kind:?}"),
        size: "1.00 m".to_owned(),
        laid: LaidFence { placed, kind, square: true },
        along: true,
        against: false,
    }
}

fn drawn(fences: Vec<PlanFence>, lines: Vec<PlanLine>, title: &str) -> String {
    plan(&Plan {
        title: title.to_owned(),
        place: "Long school, 60 × 30 m".to_owned(),
        arena: ArenaSize { length: metres(60.0), width: metres(30.0) },
        fences,
        lines,
        ways: Vec::new(),
        pace_marks: Vec::new(),
        gates: Vec::new(),
        way_in: None,
        findings: Vec::new(),
        words: "What it shows.".to_owned(),
    })
}

/// The document's elements: every one that is opened is closed, in order; what is between them.
fn elements(svg: &str) -> Vec<String> {
    let mut open: Vec<String> = Vec::new();
    let mut all = Vec::new();
    for part in svg.split('<').skip(1) {
        let (tag, _) = part.split_once('>').unwrap();
        if let Some(name) = tag.strip_prefix('/') {
            assert_eq!(open.pop().as_deref(), Some(name));
        } else {
            let name: String = tag.chars().take_while(char::is_ascii_alphabetic).collect();
            assert_eq!(tag.matches('"').count() % 2, 0, "{tag}");
            all.push(tag.to_owned());
            if !tag.ends_with('/') {
                open.push(name);
            }
        }
    }
    assert!(open.is_empty(), "{open:?}");
    all
}

#[test]
fn every_kind_is_drawn_in_its_own_way() {
    let shapes: BTreeSet<Vec<String>> = KINDS
        .into_iter()
        .map(|kind| {
            let mut one = fence("7", kind, 30.0, 15.0, 0.0);
            one.name = "A fence".to_owned();
            elements(&drawn(vec![one], Vec::new(), "One fence"))
        })
        .collect();
    assert_eq!(shapes.len(), KINDS.len());
}

#[test]
fn everything_is_on_it() {
    let (first, second) = (fence("1", K::Vertical, 16.0, 11.0, 0.0), fence("2", K::Oxer, 42.0, 14.0, 20.0));
    let line = GroundLine { first: first.laid.placed.square(), second: second.laid.placed.square() };
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    let track = track(&line, &rules, metres(9.0), Metres::MIN).unwrap().unwrap();
    let stride = metres(3.6);
    let line = PlanLine {
        track: track.clone(),
        distance: "84'0\" (25.60 m)".to_owned(),
        measured: "along the track".to_owned(),
        counts: vec![(6, false), (7, true), (8, false)],
        strides: Some((metres(1.83), stride)),
    };
    let with = drawn(vec![first.clone(), second.clone()], vec![line.clone()], "Seven & <more>");
    let texts = elements(&with);
    for word in
        [">1<", ">2<", ">Vertical<", ">Oxer<", "84'0&quot; (25.60 m)", ">6<", ">7<", ">8<", "Seven &amp; &lt;more&gt;"]
    {
        assert!(with.contains(word), "{word}");
    }
    assert!([">T<", ">U<", ">Y<", ">Z<", "role=\"img\"", "What it shows."].iter().all(|word| with.contains(word)));
    // one tick a stride, from the landing to before the take-off's face
    let without = drawn(vec![first, second], vec![PlanLine { strides: None, ..line }], "Seven & <more>");
    let ticks = texts.len() - elements(&without).len();
    let expected = (0..).take_while(|n| 1.83 + f64::from(*n) * stride.get() < track.length.get()).count();
    assert_eq!(ticks, expected);
}

#[test]
fn straight_lines_are_dimensioned_and_never_upside_down() {
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    for heading in (0..24).map(|n| 15.0 * f64::from(n)) {
        let (sin, cos) = f64::to_radians(heading).sin_cos();
        let first = fence("1", K::Vertical, 30.0 - 11.0 * cos, 15.0 - 11.0 * sin, heading);
        let second = fence("2", K::Vertical, 30.0 + 11.0 * cos, 15.0 + 11.0 * sin, heading);
        let line = GroundLine { first: first.laid.placed.square(), second: second.laid.placed.square() };
        let track = track(&line, &rules, metres(9.0), Metres::MIN).unwrap().unwrap();
        let (distance, measured) = ("22.00 m".to_owned(), "inside to inside".to_owned());
        let line = PlanLine { track, distance, measured, counts: Vec::new(), strides: None };
        let svg = drawn(vec![first, second], vec![line], "One line");
        let text = svg.lines().find(|line| line.contains(">22.00 m inside to inside<")).unwrap();
        let turned = text.split("rotate(").nth(1).map_or(0.0, |rest| rest.split(' ').next().unwrap().parse().unwrap());
        assert!(f64::abs(turned) <= 90.0, "{heading}: turned by {turned}");
        // along the line, up on the page being down in numbers
        let off = (turned + heading).rem_euclid(180.0);
        assert!(off.min(180.0 - off) < 0.1, "{heading}: turned by {turned}");
    }
}

#[test]
fn pace_mark_and_gate_are_on_it() {
    let at = |x: f64, y: f64| Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() };
    let empty = Plan {
        title: "Marks".to_owned(),
        place: String::new(),
        arena: ArenaSize { length: metres(60.0), width: metres(30.0) },
        fences: Vec::new(),
        lines: Vec::new(),
        ways: Vec::new(),
        pace_marks: Vec::new(),
        gates: Vec::new(),
        way_in: None,
        findings: Vec::new(),
        words: String::new(),
    };
    let mark = PlanPaceMark {
        at: Passage { at: at(6.0, 20.0), heading: Degrees::new(230.0).unwrap() },
        words: vec!["Pace mark".to_owned(), "27.43 m before take-off".to_owned()],
    };
    let gate = PlanGate { from: at(12.0, 27.0), to: at(30.3, 27.0), words: "gate 18.30 m, ride 5".to_owned() };
    let svg = plan(&Plan { pace_marks: vec![mark], gates: vec![gate], ..empty.clone() });
    for words in [">Pace mark<", ">27.43 m before take-off<", ">gate 18.30 m, ride 5<"] {
        assert!(svg.contains(words), "{words}");
    }
    // a diamond, and two triangles
    assert_eq!(elements(&svg).len() - elements(&plan(&empty)).len(), 2 + 1 + 2 + 2 + 6 + 1 + 1);
}

#[test]
fn it_is_to_scale() {
    // 60 m are 1,096 of the page's 1,280: a fence 10 m further along stands 182.67 further right
    let at = |x: f64| {
        let svg = drawn(vec![fence("1", K::GroundPole, x, 15.0, 0.0)], Vec::new(), "One pole");
        let pole = svg.lines().find(|line| line.contains("stroke-dasharray=\"12 4 2 4\"")).unwrap().to_owned();
        pole.split("M").nth(1).unwrap().split(' ').next().unwrap().parse::<f64>().unwrap()
    };
    assert!((at(25.0) - at(15.0) - 1096.0 / 6.0).abs() < 0.02);
}

#[test]
fn nothing_breaks_the_document() {
    let mut odd = fence("\u{0}<b>", K::Vertical, 1e4, -1e4, 720.0);
    odd.name = "a\"b&c".to_owned();
    let svg = drawn(vec![odd; 60], Vec::new(), "\u{1b}[31m");
    elements(&svg);
    assert!(!svg.contains("NaN") && !svg.contains("inf") && !svg.contains('\u{0}') && !svg.contains('\u{1b}'));
}

#[test]
fn the_way_in_is_a_gap_and_findings_are_told_below() {
    let bare = drawn(vec![fence("1", K::Vertical, 30.0, 15.0, 0.0)], Vec::new(), "One fence");
    let point = |x, y| Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() };
    let finding = |at, words: &str| PlanFinding { at, words: words.to_owned() };
    let told = plan(&Plan {
        title: "One fence".to_owned(),
        place: "Long school, 60 × 30 m".to_owned(),
        arena: ArenaSize { length: metres(60.0), width: metres(30.0) },
        fences: vec![fence("1", K::Vertical, 30.0, 15.0, 0.0)],
        lines: Vec::new(),
        ways: Vec::new(),
        pace_marks: Vec::new(),
        gates: Vec::new(),
        way_in: Some([point(52.0, 30.0), point(56.0, 30.0)]),
        findings: vec![
            finding(
                Some(point(30.0, 15.0)),
                "Fence 1 stands 4'1\" (1.25 m) beyond the wall. Move it in by 4'1\" (1.25 m).",
            ),
            finding(None, &"The arena is smaller than national rules ask of one for jumping. ".repeat(4)),
        ],
        words: "What it shows.".to_owned(),
    });
    let elements = elements(&told);
    assert!(told.contains(">way in</text>") && !bare.contains("way in"));
    // one outline, both letters below, and the first beside its outline too
    assert_eq!(elements.iter().filter(|tag| tag.contains("stroke-dasharray") && tag.starts_with("circle")).count(), 1);
    assert_eq!((told.matches(">A</text>").count(), told.matches(">B</text>").count()), (2, 1));
    // the sentences stand below one another, and the page grows by as many lines
    let high =
        |svg: &str| svg.split("viewBox=\"0 0 1280 ").nth(1).unwrap().split('"').next().unwrap().parse::<f64>().unwrap();
    let lines = told.matches("smaller than").count() + 1;
    assert!(
        lines >= 3 && (high(&told) - high(&bare) - 21.0 * f64::from(u32::try_from(lines).unwrap())).abs() < 22.0,
        "{lines}"
    );
}
