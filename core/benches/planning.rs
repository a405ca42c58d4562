//! How long planning takes, and another library beside it in the same run: `cargo bench -p stridewright-core`. What counts
//! is the ratio; machines differ.
#![allow(clippy::unwrap_used, reason = "a benchmark")]

use criterion::{BatchSize, Criterion, criterion_group, criterion_main};
use kurbo::{BezPath, Shape};
use std::hint::black_box;
use stridewright_core::course::{CourseJump, CourseTerms, RuleSet, walk};
use stridewright_core::layout::{FenceKind, LaidFence, LayoutWanted, Ridden, RoomPreset, TurnRadii, check_whole};
use stridewright_core::stride::{
    GroupMember, GroupQuery, HorseStride, LeanLimits, Line, Pair, Places, Profile, Schooling, SetAs, group_distance,
    stride_card,
};
use stridewright_core::track::{
    ArenaSize, Ground, GroundLine, PlacedFence, Point, Stands, TrackRules, fitting_counts, track,
};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres, MetresPerMinute};

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

fn fence(x: f64, y: f64, heading: f64) -> PlacedFence {
    PlacedFence {
        centre: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() },
        heading: Degrees::new(heading).unwrap(),
        height: Centimetres::new(90).unwrap(),
        spread: metres(0.0),
        width: metres(3.5),
    }
}

/// Pairs of fences that are spread over an arena without a pattern that matters.
fn pairs() -> Vec<GroundLine> {
    let place = |n: f64, by: f64, from: f64, over: f64| from + (n * by) % over;
    (0..200)
        .map(f64::from)
        .map(|n| GroundLine {
            first: fence(place(n, 3.7, 8.0, 18.0), place(n, 5.3, 6.0, 24.0), place(n, 17.0, -60.0, 120.0)).square(),
            second: fence(place(n, 7.1, 32.0, 20.0), place(n, 11.3, 6.0, 24.0), place(n, 29.0, -90.0, 180.0)).square(),
        })
        .collect()
}

/// Twelve fences up and down an arena, four in a row.
fn course() -> Vec<PlacedFence> {
    let row = |y: f64, heading: f64| [14.0, 28.0, 46.0, 64.0].map(|x| fence(x, y, heading));
    let mut back = row(20.0, 180.0);
    back.reverse();
    [row(8.0, 0.0), back, row(32.0, 0.0)].concat()
}

fn ground(others: &[PlacedFence]) -> Ground<'_> {
    let arena = ArenaSize { length: metres(80.0), width: metres(40.0) };
    Ground { arena, wall_clearance: metres(1.5), others, obstructions: &[], stands: Stands::USUAL }
}

fn lines(c: &mut Criterion) {
    let horse = HorseStride::unmeasured(Profile::Horse).unwrap();
    let line = Line { distance: metres(25.6), first: metres(0.9), second: metres(0.9) };
    c.bench_function("stride card of a line", |b| {
        b.iter(|| stride_card(black_box(&line), &horse, Places::default()).unwrap());
    });
    let (rules, pairs) = (TrackRules::usual(Profile::Horse.design_stride()), pairs());
    let mut next = pairs.iter().cycle();
    c.bench_function("one track", |b| {
        b.iter_batched(
            || next.next().unwrap(),
            |pair| track(pair, &rules, metres(9.0), Metres::MIN).unwrap(),
            BatchSize::SmallInput,
        );
    });
    let (mut next, floor) = (pairs.iter().cycle(), Schooling::Usual.radius_floor());
    c.bench_function("all counts of a bending line", |b| {
        let counts =
            |pair: &GroundLine| fitting_counts(pair, &rules, &horse, LeanLimits::USUAL, floor, &ground(&[])).unwrap();
        b.iter_batched(|| next.next().unwrap(), counts, BatchSize::SmallInput);
    });
}

fn courses(c: &mut Criterion) {
    let horse = HorseStride::unmeasured(Profile::Horse).unwrap();
    let (rules, fences) = (TrackRules::usual(Profile::Horse.design_stride()), course());
    let jumps: Vec<CourseJump> =
        fences.iter().map(|fence| CourseJump { jump: fence.square(), same_obstacle: false }).collect();
    let terms = CourseTerms {
        rules: RuleSet::International,
        speed: MetresPerMinute::new(350.0).unwrap(),
        start: metres(12.0),
        finish: metres(12.0),
        turn_radius: metres(6.0),
    };
    c.bench_function("twelve fences walked as a course", |b| {
        b.iter(|| walk(black_box(&jumps), &horse, &terms, &rules).unwrap());
    });
    let laid: Vec<LaidFence> =
        fences.iter().map(|placed| LaidFence { placed: *placed, kind: FenceKind::Vertical, square: false }).collect();
    let ridden = |fence| Ridden { fence, against: false };
    let lines: Vec<[Ridden; 2]> = (0..11).map(|n| [ridden(n), ridden(n + 1)]).collect();
    let room = RoomPreset::Usual.room(Profile::Horse.design_stride(), Pair::Usual);
    let wanted = LayoutWanted {
        ground: ground(&[]),
        rules,
        turn_radii: TurnRadii { usual: metres(6.0), tightest: metres(6.0) },
        room,
    };
    c.bench_function("twelve fences and eleven lines, judged", |b| {
        b.iter(|| check_whole(black_box(&laid), &lines, &[], &wanted).unwrap());
    });
}

fn groups(c: &mut Criterion) {
    let profiles = Profile::ALL.into_iter().cycle().take(12);
    let members = profiles.map(|profile| GroupMember {
        horse: HorseStride::unmeasured(profile).unwrap(),
        first: metres(0.6),
        second: metres(0.6),
        set_as: SetAs::Fences,
    });
    let query = GroupQuery {
        members: members.collect(),
        distance_min: metres(16.0),
        distance_max: metres(28.0),
        wanted: Some(metres(21.0)),
        served_ratio: GroupQuery::SERVED_RATIO,
    };
    c.bench_function("one distance for twelve riders", |b| b.iter(|| group_distance(black_box(&query)).unwrap()));
}

/// What a library of curves takes to measure one drawn track, to a millimetre.
fn beside(c: &mut Criterion) {
    let drawn = BezPath::from_svg("M10 10L14 10A9 9 0 0 1 22 15L25 22A9 9 0 0 1 33 27L40 27").unwrap();
    c.bench_function("kurbo: the length of one drawn track", |b| b.iter(|| black_box(&drawn).perimeter(1e-3)));
}

criterion_group!(planning, lines, courses, groups, beside);
criterion_main!(planning);
