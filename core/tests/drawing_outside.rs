//! Drawings read by other libraries: a reader of XML, and one of curves that measures what is drawn.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use kurbo::{BezPath, ParamCurveNearest, Shape};
use stridewright_core::drawing::{Plan, PlanLine, plan};
use stridewright_core::layout::{Side, TurnWanted, way_off, way_on};
use stridewright_core::stride::{HorseStride, LeanLimits, Profile, Schooling};
use stridewright_core::track::{
    ArenaSize, Ground, GroundLine, PlacedFence, Point, Stands, Track, TrackRules, fitting_counts,
};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

const ARENA: (f64, f64) = (60.0, 40.0);

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

fn fence((x, y, heading): (f64, f64, f64)) -> PlacedFence {
    PlacedFence {
        centre: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() },
        heading: Degrees::new(heading).unwrap(),
        height: Centimetres::new(90).unwrap(),
        spread: metres(0.0),
        width: metres(3.5),
    }
}

fn drawn(tracks: &[Track], title: &str) -> String {
    let line = |track: &Track| PlanLine {
        track: track.clone(),
        distance: "66 ft (20.12 m)".to_owned(),
        measured: "along the track".to_owned(),
        counts: vec![(5, true), (6, false)],
        strides: None,
    };
    plan(&Plan {
        title: title.to_owned(),
        place: "A & B <Long> \"school\"".to_owned(),
        arena: ArenaSize { length: metres(ARENA.0), width: metres(ARENA.1) },
        fences: Vec::new(),
        lines: tracks.iter().map(line).collect(),
        ways: Vec::new(),
        pace_marks: Vec::new(),
        gates: Vec::new(),
        way_in: None,
        findings: Vec::new(),
        words: "What it shows: 5 > 4 & 6.".to_owned(),
    })
}

/// Every track that bends of a scatter of pairs of fences, in each count that it allows.
fn tracks() -> Vec<Track> {
    let horse = HorseStride::unmeasured(Profile::Horse).unwrap();
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    let ground = Ground {
        arena: ArenaSize { length: metres(ARENA.0), width: metres(ARENA.1) },
        wall_clearance: metres(1.0),
        others: &[],
        obstructions: &[],
        stands: Stands::USUAL,
    };
    let mut all = Vec::new();
    for n in 0..60 {
        let n = f64::from(n);
        let first = fence((12.0 + (n * 3.7) % 12.0, 10.0 + (n * 5.3) % 20.0, (n * 17.0) % 60.0 - 30.0));
        let second = fence((34.0 + (n * 7.1) % 14.0, 8.0 + (n * 11.3) % 24.0, (n * 29.0) % 180.0 - 90.0));
        let line = GroundLine { first: first.square(), second: second.square() };
        let floor = Schooling::Usual.radius_floor();
        let counts = fitting_counts(&line, &rules, &horse, LeanLimits::USUAL, floor, &ground).unwrap();
        all.extend(counts.into_iter().map(|count| count.track));
    }
    let wanted = TurnWanted { straight: metres(11.0), radius: metres(7.0), wall_clearance: metres(1.0) };
    for (length, side) in [(8.0, Side::Left), (15.0, Side::Right), (30.0, Side::Left)] {
        let jump = fence((30.0, 20.0, 15.0)).square();
        all.push(way_on(&jump, wanted, side, metres(length)).unwrap());
        all.push(way_off(&jump, wanted, side, metres(length)).unwrap());
    }
    all
}

#[test]
fn a_drawing_is_xml() {
    let tracks = tracks();
    let title = "5 < 6 & \"so on\" – 'Björn' \u{1F40E}";
    let svg = drawn(&tracks, title);
    let document = roxmltree::Document::parse(&svg).unwrap();
    let root = document.root_element();
    assert_eq!((root.tag_name().name(), root.tag_name().namespace()), ("svg", Some("http://www.w3.org/2000/svg")));
    let texts: Vec<&str> = document.descendants().filter_map(|node| node.text()).collect();
    assert!(texts.contains(&title) && texts.contains(&"What it shows: 5 > 4 & 6."), "{texts:?}");
}

#[test]
fn a_track_is_drawn_as_long_as_it_is() {
    let tracks = tracks();
    assert!(tracks.len() > 60, "{}", tracks.len());
    let svg = drawn(&tracks, "Tracks");
    let document = roxmltree::Document::parse(&svg).unwrap();
    let paths: Vec<&str> = document
        .descendants()
        // a line of the plan is 1.75 units thick, as nothing else is
        .filter(|node| node.has_tag_name(("http://www.w3.org/2000/svg", "path")))
        .filter(|node| node.attribute("stroke-width") == Some("1.75"))
        .filter_map(|node| node.attribute("d"))
        .collect();
    assert_eq!(paths.len(), tracks.len());
    let view: Vec<f64> =
        document.root_element().attribute("viewBox").unwrap().split(' ').map(|n| n.parse().unwrap()).collect();
    // 92 units of margin on each side of the arena
    let scale = (view[2] - 184.0) / ARENA.0;
    for (path, track) in paths.iter().zip(&tracks) {
        let drawn = BezPath::from_svg(path).unwrap();
        let length = drawn.perimeter(1e-6) / scale;
        // what is written has two decimals
        assert!((length - track.length.get()).abs() < 0.01, "{length} drawn, {} m: {path}", track.length.get());
        for tenth in 0..=10 {
            let at = track.at(metres(track.length.get() * f64::from(tenth) / 10.0)).at;
            // seen from above, north up
            let on = kurbo::Point::new(92.0 + at.x.get() * scale, 92.0 + (ARENA.1 - at.y.get()) * scale);
            let off = drawn.segments().map(|part| part.nearest(on, 1e-6).distance_sq).fold(f64::INFINITY, f64::min);
            assert!(off.sqrt() < 0.05 * scale, "{} units beside {path}", off.sqrt());
        }
    }
}
