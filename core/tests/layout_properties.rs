//! What must hold for any layout: mirrored or turned with its arena it fits as before, and nothing is too odd to judge.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use proptest::prelude::*;
use stridewright_core::layout::{
    FenceKind, Found, LaidFence, LayoutFinding, LineCheck, RoomWanted, Side, Weight, check_layout, check_line,
};
use stridewright_core::stride::{HorseStride, LeanLimits, Profile, Schooling};
use stridewright_core::track::{
    ArenaSize, Ground, GroundLine, Obstruction, PlacedFence, Point, Stands, TrackRules, fitting_counts,
};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

const LENGTH: f64 = 58.0;
const WIDTH: f64 = 31.0;

/// x, y, heading in degrees, height in cm, spread, width.
type Numbers = (f64, f64, f64, u16, f64, f64);

fn placed((x, y, heading, height, spread, width): Numbers) -> PlacedFence {
    PlacedFence {
        centre: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() },
        heading: Degrees::new(heading).unwrap(),
        height: Centimetres::new(height).unwrap(),
        spread: Metres::new(spread).unwrap(),
        width: Metres::new(width).unwrap(),
    }
}

fn anywhere() -> impl Strategy<Value = Numbers> {
    (-20.0..80.0f64, -20.0..60.0f64, -360.0..360.0f64, 0u16..=150, 0.0..3.0f64, 0.0..5.0f64)
}

fn inside() -> impl Strategy<Value = Numbers> {
    (4.0..54.0f64, 4.0..27.0f64, 0.0..360.0f64, 0u16..=130, 0.0..1.8f64, 2.0..4.0f64)
}

/// Across the long middle of the arena.
fn mirrored((x, y, heading, height, spread, width): Numbers) -> Numbers {
    (x, WIDTH - y, -heading, height, spread, width)
}

/// Half round, arena and all.
fn half_turned((x, y, heading, height, spread, width): Numbers) -> Numbers {
    (LENGTH - x, WIDTH - y, (heading + 180.0).rem_euclid(360.0), height, spread, width)
}

fn arena() -> ArenaSize {
    ArenaSize { length: Metres::new(LENGTH).unwrap(), width: Metres::new(WIDTH).unwrap() }
}

fn ground(others: &[PlacedFence]) -> Ground<'_> {
    let wall_clearance = Metres::new(1.5).unwrap();
    Ground { arena: arena(), wall_clearance, others, obstructions: &[], stands: Stands::USUAL }
}

fn checked(first: Numbers, second: Numbers, others: &[Numbers]) -> Option<LineCheck> {
    let line = GroundLine { first: placed(first).square(), second: placed(second).square() };
    let others: Vec<PlacedFence> = others.iter().map(|numbers| placed(*numbers)).collect();
    let profile = Profile::Horse.design_stride();
    let radius = Metres::new(8.0).unwrap();
    check_line(&line, &TrackRules::usual(profile), radius, &ground(&others), RoomWanted::usual(profile)).unwrap()
}

/// The same but for rounding; what lies right at a limit may tip over.
fn alike(one: Option<&LineCheck>, other: Option<&LineCheck>, swapped: bool) -> bool {
    let (Some(one), Some(other)) = (one, other) else { return one.is_none() == other.is_none() };
    let near = |a: f64, b: f64| (a - b).abs() < 1e-6;
    let sides = |sides: &[Side]| {
        let turn = |side: &Side| match side {
            Side::Left if swapped => Side::Right,
            Side::Right if swapped => Side::Left,
            other => *other,
        };
        let mut turned: Vec<Side> = sides.iter().map(turn).collect();
        turned.sort_by_key(|side| *side == Side::Right);
        turned
    };
    near(one.track.length.get(), other.track.length.get())
        && near(one.wall_clearance.get(), other.wall_clearance.get())
        && one.to_fences.iter().flatten().zip(other.to_fences.iter().flatten()).all(|(a, b)| near(a.get(), b.get()))
        && one.approach.sides == sides(&other.approach.sides)
        && one.getaway.sides == sides(&other.getaway.sides)
        && one.findings.iter().map(|f| f.what).eq(other.findings.iter().map(|f| f.what))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    #[test]
    fn a_line_fits_as_well_in_the_mirror(
        first in inside(), second in inside(), others in prop::collection::vec(inside(), 0..4),
    ) {
        let here = checked(first, second, &others);
        let all: Vec<Numbers> = others.iter().map(|other| mirrored(*other)).collect();
        let there = checked(mirrored(first), mirrored(second), &all);
        prop_assert!(alike(here.as_ref(), there.as_ref(), true), "{here:?} {there:?}");
        let all: Vec<Numbers> = others.iter().map(|other| half_turned(*other)).collect();
        let there = checked(half_turned(first), half_turned(second), &all);
        prop_assert!(alike(here.as_ref(), there.as_ref(), false), "{here:?} {there:?}");
    }

    #[test]
    fn another_fence_never_makes_room(
        first in inside(), second in inside(), others in prop::collection::vec(inside(), 1..5),
    ) {
        let (with, without) = (checked(first, second, &others), checked(first, second, &[]));
        prop_assert_eq!(with.is_some(), without.is_some());
        if let (Some(with), Some(without)) = (with, without) {
            prop_assert!(with.findings.len() >= without.findings.len());
            prop_assert!(without.fits() || !with.fits());
        }
    }

    /// A fence that takes nothing beyond its rail and depth, set along the walls, is in the way as a fixed thing is.
    #[test]
    fn a_fixed_thing_is_in_the_way_like_a_fence_there(
        first in inside(), second in inside(), at in inside(), long in 0.1..8.0, wide in 0.1..8.0,
    ) {
        let standing = [placed((at.0, at.1, 0.0, 0, long, wide))];
        let corner = Point { x: Coordinate::nearest(at.0 - long / 2.0), y: Coordinate::nearest(at.1 - wide / 2.0) };
        let fixed = [Obstruction { corner, length: Metres::nearest(long), width: Metres::nearest(wide) }];
        let bare = Stands { wing: Metres::MIN, foot: Metres::MIN };
        let (fence, thing) = (Ground { stands: bare, ..ground(&standing) }, Ground { stands: bare, obstructions: &fixed, ..ground(&[]) });
        let line = GroundLine { first: placed(first).square(), second: placed(second).square() };
        let (profile, radius) = (Profile::Horse.design_stride(), Metres::new(8.0).unwrap());
        let check = |ground: &Ground<'_>| {
            check_line(&line, &TrackRules::usual(profile), radius, ground, RoomWanted::usual(profile)).unwrap()
        };
        let (of_fence, of_thing) = (check(&fence), check(&thing));
        prop_assert_eq!(of_fence.is_some(), of_thing.is_some());
        for (fence, thing) in of_fence.iter().zip(&of_thing) {
            let (near, also) = (fence.to_fences[0], thing.to_obstructions[0]);
            prop_assert!(near.iter().zip(also).all(|(one, other)| (one.get() - other.get()).abs() < 1e-9));
            let kinds = |check: &LineCheck| check.findings.iter().filter(|f| f.weight == Weight::Impossible).count();
            let tips_over = near.iter().any(|near| (near.get() - 1.5).abs() < 1e-6 || near.get() < 1e-6);
            prop_assert!(tips_over || kinds(fence) == kinds(thing) && fence.findings.len() == thing.findings.len());
        }
        let laid = [LaidFence { placed: placed(first), kind: FenceKind::Vertical, square: false }];
        let on = |ground: &Ground<'_>| check_layout(&laid, &[], &[], ground).unwrap();
        let depth = |found: Vec<Found<LayoutFinding>>, what: LayoutFinding| {
            found.iter().find(|found| found.what == what).map_or(0.0, |found| found.missing.get())
        };
        let standing = depth(on(&fence), LayoutFinding::OnStanding(0, 0));
        prop_assert!((standing - depth(on(&thing), LayoutFinding::OnObstruction(0, 0))).abs() < 1e-9);
    }

    #[test]
    fn nothing_is_too_odd_to_judge(
        fences in prop::collection::vec(anywhere(), 0..12), first in anywhere(), second in anywhere(),
    ) {
        let laid: Vec<LaidFence> = fences
            .iter()
            .map(|numbers| LaidFence { placed: placed(*numbers), kind: FenceKind::Oxer, square: false })
            .collect();
        let found = check_layout(&laid, &[], &[], &ground(&[])).unwrap();
        prop_assert!(found.iter().all(|found| found.missing.get() >= 0.0));
        checked(first, second, &fences);
    }
}

#[test]
fn two_hundred_fences_on_each_other_are_said_to_be_so() {
    let fence =
        LaidFence { placed: placed((20.0, 15.0, 30.0, 100, 1.0, 3.5)), kind: FenceKind::Vertical, square: false };
    let found = check_layout(&vec![fence; 200], &[], &[], &ground(&[])).unwrap();
    assert_eq!(found.len(), 200 * 199 / 2);
    let line = GroundLine { first: fence.placed.square(), second: fence.placed.square() };
    let others = vec![fence.placed; 198];
    let ground = ground(&others);
    let horse = HorseStride::unmeasured(Profile::Horse).unwrap();
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    let floor = Schooling::Usual.radius_floor();
    assert!(fitting_counts(&line, &rules, &horse, LeanLimits::USUAL, floor, &ground).unwrap().is_empty());
}
