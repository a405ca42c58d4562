//! The setting sheet: everything is on it, on one page for half a dozen fences, and on as many as it takes for more.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use stridewright_core::drawing::{
    BothWays, Plan, PlanFence, PlanLine, Sheet, SheetFence, SheetLine, SheetPlace, sheet,
};
use stridewright_core::layout::{FenceKind as K, LaidFence};
use stridewright_core::stride::Profile;
use stridewright_core::track::{ArenaSize, GroundLine, PlacedFence, Point, TrackRules, track};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

fn both(own: &str, other: &str) -> BothWays {
    BothWays { own: own.to_owned(), other: other.to_owned() }
}

fn placed(n: usize) -> PlacedFence {
    let row = n / 4;
    let column = if row.is_multiple_of(2) { n % 4 } else { 3 - n % 4 };
    let at = |base: f64, by: f64, n: usize| Coordinate::new(base + by * f64::from(u16::try_from(n).unwrap())).unwrap();
    PlacedFence {
        centre: Point { x: at(9.0, 13.5, column), y: at(6.0, 9.0, row % 3) },
        heading: Degrees::new(if row.is_multiple_of(2) { 0.0 } else { 180.0 }).unwrap(),
        height: Centimetres::new(80).unwrap(),
        spread: metres(0.0),
        width: metres(3.5),
    }
}

/// A sheet of so many fences, two and two in a line.
fn of(fences: usize) -> Sheet {
    let number = |n: usize| (n + 1).to_string();
    let plan_fence = |n: usize| PlanFence {
        label: number(n),
        name: "Upright".to_owned(),
        size: "2'7\" (0.80 m)".to_owned(),
        laid: LaidFence { placed: placed(n), kind: K::Vertical, square: false },
        along: true,
        against: false,
    };
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    let ridden = |n: usize| {
        let line = GroundLine { first: placed(n).square(), second: placed(n + 1).square() };
        track(&line, &rules, metres(8.0), Metres::MIN).unwrap().unwrap()
    };
    let plan_line = |n: usize| PlanLine {
        track: ridden(n),
        distance: "44'3\" (13.50 m)".to_owned(),
        measured: "inside to inside".to_owned(),
        counts: vec![(3, true)],
        strides: Some((metres(1.7), metres(3.37))),
    };
    let cell = || both("57'4\"", "17.50");
    Sheet {
        title: "Up and down the hall in threes".to_owned(),
        arena: both("The Long Hall,", "60 × 30 m"),
        time: ["Tuesday 1 December,", "17:00"].map(str::to_owned),
        ready_by: "16:45".to_owned(),
        asked_by: "Mara Tennick".to_owned(),
        revision: "3".to_owned(),
        first: ["Footing: no holes at take-off and landing.", "Poles on the ground until the last check is right."]
            .map(str::to_owned)
            .to_vec(),
        poles: "poles".to_owned(),
        method: "one person, 165 ft tape: pinned in the corner, along the wall, square off".to_owned(),
        readings: ["along (m)".to_owned(), "square off (m)".to_owned()],
        places: (0..fences)
            .map(|n| SheetPlace {
                pin: both("T", "to U, long wall"),
                number: Some(number(n)),
                what: "Upright".to_owned(),
                left: [cell(), cell()],
                right: Some([cell(), cell()]),
            })
            .chain([SheetPlace {
                pin: both("", "still Z"),
                number: None,
                what: "Pace mark".to_owned(),
                left: [cell(), cell()],
                right: None,
            }])
            .collect(),
        fences: (0..fences)
            .map(|n| SheetFence {
                number: number(n),
                kind: "Upright".to_owned(),
                ridden: "from Z to U".to_owned(),
                height: both("2'7\"", "(0.80 m)"),
                width: BothWays::default(),
                ground_line: "12\" out, near side".to_owned(),
                cups: "4 flat".to_owned(),
            })
            .collect(),
        lines: (0..fences / 2)
            .map(|n| SheetLine {
                fences: format!("{} to {}", number(2 * n), number(2 * n + 1)),
                distance: both("44'3\"", "13.50"),
                steps: "15".to_owned(),
                measured: "inside to inside".to_owned(),
                asked: both("3", "then 4"),
            })
            .collect(),
        unit: "(m)".to_owned(),
        step: "3 ft steps".to_owned(),
        between: vec!["17:30, before Pepperpot: all down to 2'0\" (0.60 m). All distances stay.".to_owned()],
        equipment: ["12 pairs of wings", "24 poles", "24 flat cups"].map(str::to_owned).to_vec(),
        from_set: "the hall's set has all of it".to_owned(),
        last_check: (0..fences / 2)
            .map(|n| format!("{} to {} 44'3\" (13.50 m)", number(2 * n), number(2 * n + 1)))
            .collect(),
        caution: "Walk every distance before it is jumped. An adult on the ground. Start low and easy.".to_owned(),
        barn: "Quernstone Barn".to_owned(),
        plan: Some(Plan {
            title: "Up and down the hall in threes".to_owned(),
            place: "The Long Hall".to_owned(),
            arena: ArenaSize { length: metres(60.0), width: metres(30.0) },
            fences: (0..fences.min(12)).map(plan_fence).collect(),
            lines: (0..fences.min(12) / 2).map(|n| plan_line(2 * n)).collect(),
            ways: Vec::new(),
            pace_marks: Vec::new(),
            gates: Vec::new(),
            way_in: None,
            findings: Vec::new(),
            words: "Rows of fences along a hall of 60 by 30 m.".to_owned(),
        }),
    }
}

fn texts(svg: &str) -> Vec<(f64, f64, f64, String)> {
    let document = roxmltree::Document::parse(svg).unwrap();
    let number = |node: &roxmltree::Node<'_, '_>, name: &str| node.attribute(name).unwrap().parse::<f64>().unwrap();
    document
        .descendants()
        .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "text")))
        .filter(|node| !node.ancestors().any(|above| above.has_attribute("transform")))
        .map(|node| {
            (number(&node, "x"), number(&node, "y"), number(&node, "font-size"), node.text().unwrap_or("").to_owned())
        })
        .collect()
}

#[test]
fn half_a_dozen_fences_fill_one_page_in_the_order_of_setting() {
    let pages = sheet(&of(6));
    assert_eq!(pages.len(), 1);
    let texts = texts(&pages[0]);
    let down = |words: &str| texts.iter().find(|text| text.3 == words).unwrap_or_else(|| panic!("{words}")).1;
    let order = ["Ready by", "First", "Where the poles go", "Fences", "Lines", "Equipment"];
    assert!(order.windows(2).all(|two| down(two[0]) < down(two[1])), "in order");
    assert!(pages[0].find("Last check").unwrap() < pages[0].find("<g transform").unwrap(), "the plan comes last");
    // nothing runs over the edges or into the foot, and a line set by hand stays empty
    for (left, base, size, words) in &texts {
        assert!(*left >= 38.0 && *left <= 756.5 && *base >= 38.0 && *base <= 1110.0, "{words} at {left}, {base}");
        assert!(*size >= 11.5, "{words}: {size} units are under 9 points");
    }
    for words in [
        "Set by",
        "Mara Tennick",
        "57'4\"",
        "inside to inside",
        "still Z",
        "Walk every distance before it is jumped. An adult on the ground. Start low and easy.",
    ] {
        assert!(texts.iter().any(|text| text.3 == words), "{words}");
    }
}

#[test]
fn what_does_not_fit_goes_on_overleaf_and_no_row_is_lost() {
    for fences in [0, 1, 12, 25, 60] {
        let pages = sheet(&of(fences));
        let all: Vec<String> = pages.iter().flat_map(|page| texts(page).into_iter().map(|text| text.3)).collect();
        let rows = all.iter().filter(|words| *words == "from Z to U").count();
        assert_eq!(rows, fences);
        assert_eq!(pages.iter().filter(|page| page.contains("<g transform")).count(), 1, "one plan");
        for page in &pages {
            assert!(page.contains("Quernstone Barn"), "the foot of every page");
            assert!(texts(page).iter().all(|(_, base, ..)| *base <= 1110.0));
        }
    }
    assert!(sheet(&of(60)).len() >= 4);
}

#[test]
fn what_is_too_long_is_broken_or_cut_within_its_room() {
    let mut long = of(2);
    long.title = "A name that nobody can read from the rail ".repeat(8);
    long.first = vec!["Take everything out that stood here this morning, ".repeat(6)];
    let pages = sheet(&long);
    let texts = texts(&pages[0]);
    assert!(texts[0].3.ends_with('…') && texts[0].3.chars().count() < 60, "{}", texts[0].3);
    assert!(texts.iter().filter(|text| text.3.contains("morning")).count() >= 4);
}
