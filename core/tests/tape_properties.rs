//! A place that is set by the readings alone stands where it was planned, but for their rounding.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use proptest::prelude::*;
use stridewright_core::layout::{FenceKind, LaidFence};
use stridewright_core::tape::{
    Corner, FromTwo, Pinned, Reading, SetByOne, from_two, pinned, ridden_between, set_alone,
};
use stridewright_core::track::{ArenaSize, PlacedFence, Point};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

fn arena(length: f64, width: f64) -> ArenaSize {
    ArenaSize { length: Metres::new(length).unwrap(), width: Metres::new(width).unwrap() }
}

fn place((x, y): (f64, f64)) -> Point {
    Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() }
}

fn at(corner: Corner, (length, width): (f64, f64)) -> (f64, f64) {
    match corner {
        Corner::T => (0.0, 0.0),
        Corner::U => (length, 0.0),
        Corner::Y => (length, width),
        Corner::Z => (0.0, width),
    }
}

/// Walks from the corner along the wall, turns square into the arena, and walks on.
fn walked(found: &Pinned, along: f64, off: f64, size: (f64, f64)) -> (f64, f64) {
    let (from, to) = (at(found.corner, size), at(found.towards, size));
    let length = (to.0 - from.0).hypot(to.1 - from.1);
    let ahead = ((to.0 - from.0) / length, (to.1 - from.1) / length);
    let middle = (size.0 / 2.0 - from.0, size.1 / 2.0 - from.1);
    let left = (-ahead.1, ahead.0);
    let side = (middle.0 * left.0 + middle.1 * left.1).signum();
    (from.0 + along * ahead.0 + side * off * left.0, from.1 + along * ahead.1 + side * off * left.1)
}

/// Where circles about both corners meet, inside.
fn met(found: &FromTwo, one: f64, other: f64, size: (f64, f64)) -> (f64, f64) {
    let [a, b] = found.corners.map(|corner| at(corner, size));
    let wall = (b.0 - a.0).hypot(b.1 - a.1);
    let along = (one * one - other * other + wall * wall) / (2.0 * wall);
    let off = (one * one - along * along).max(0.0).sqrt();
    let ahead = ((b.0 - a.0) / wall, (b.1 - a.1) / wall);
    // the corners are named counter-clockwise: inside is to the left
    (a.0 + along * ahead.0 - off * ahead.1, a.1 + along * ahead.1 + off * ahead.0)
}

fn apart(one: (f64, f64), other: (f64, f64)) -> f64 {
    (one.0 - other.0).hypot(one.1 - other.1)
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn squared_off(
        length in 20.0..90.0f64, width in 15.0..60.0f64, u in 0.0..1.0f64, v in 0.0..1.0f64, tape in 10.0..60.0f64,
    ) {
        let (size, planned) = ((length, width), (u * length, v * width));
        let found = pinned(&[place(planned)], arena(length, width), Metres::new(tape).unwrap()).unwrap();
        let far = planned.0.min(length - planned.0).max(planned.1.min(width - planned.1));
        // what the nearest corner cannot reach, none can
        prop_assert_eq!(found.is_some(), far <= tape);
        let Some(found) = found else { return Ok(()) };
        let legs = found.legs[0];
        prop_assert!(legs.along.exact().get() <= tape && legs.off.exact().get() <= tape);
        prop_assert!(apart(walked(&found, legs.along.exact().get(), legs.off.exact().get(), size), planned) < 1e-9);
        let rounded = walked(&found, legs.along.metric().get(), legs.off.metric().get(), size);
        prop_assert!(apart(rounded, planned) <= 0.025 * 2f64.sqrt() + 1e-9);
    }

    #[test]
    fn from_two_corners(
        length in 20.0..90.0f64, share in 0.35..1.0f64, u in 0.01..0.99f64, v in 0.01..0.99f64,
    ) {
        let width = share * length;
        let (size, planned) = ((length, width), (u * length, v * width));
        let found = from_two(&[place(planned)], arena(length, width), Metres::new(120.0).unwrap()).unwrap().unwrap();
        let [one, other] = found.readings[0];
        prop_assert!(apart(met(&found, one.exact().get(), other.exact().get(), size), planned) < 1e-6);
        // rounding moves a place the more, the more sharply the tapes cross
        let rounded = met(&found, one.metric().get(), other.metric().get(), size);
        let sine = found.off_square.get().to_radians().cos();
        prop_assert!(apart(rounded, planned) <= 0.06 / sine, "{} m off at {:?}", apart(rounded, planned), found.off_square);
        // unless the arena is a lane, one of its walls is not seen at a sharp angle
        prop_assert!(found.off_square.get() < 60.0);
        let short = Metres::new(one.exact().get().min(other.exact().get()) * 0.5).unwrap();
        let none = from_two(&[place(planned)], arena(length, width), short).unwrap();
        prop_assert!(none.is_none_or(|found| found.readings[0].iter().all(|r| r.exact() <= short)));
    }

    #[test]
    fn readings_are_near(length in 0.0..200.0f64) {
        let reading = Reading::of(Metres::new(length).unwrap());
        let (feet, inches) = reading.feet_and_inches();
        prop_assert!((reading.metric().get() - length).abs() <= 0.025 + 1e-9);
        prop_assert!(inches < 12 && inches % 2 == 0);
        prop_assert!((f64::from(feet) * 0.3048 + f64::from(inches) * 0.0254 - length).abs() <= 0.0254 + 1e-9);
    }
}

#[test]
fn nothing_is_found_outside() {
    let tape = Metres::new(50.0).unwrap();
    for outside in [(-0.1, 5.0), (5.0, 25.1), (60.1, 5.0)] {
        assert!(pinned(&[place(outside)], arena(60.0, 25.0), tape).unwrap().is_none());
        assert!(from_two(&[place(outside)], arena(60.0, 25.0), tape).unwrap().is_none());
    }
    assert!(pinned(&[place((1.0, 1.0))], arena(0.0, 25.0), tape).is_err());
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(1_000))]

    /// Each thing is set once or said to be out of reach; walked again by its readings it stands where it was planned;
    /// a pin is only left for good, and things at one are met in the order of the wall.
    #[test]
    fn everything_is_set_once_and_in_the_order_of_walking(
        length in 30.0..90.0f64, width in 18.0..60.0f64, tape in 12.0..60.0f64,
        rails in prop::collection::vec((0.05..0.9f64, 0.05..0.8f64, 0.0..0.1f64), 0..12),
    ) {
        let size = (length, width);
        let ends = |(u, v, more): (f64, f64, f64)| [(u * length, v * width), ((u + more) * length, (v + more) * width)];
        let things: Vec<Vec<Point>> = rails.iter().map(|rail| ends(*rail).map(place).to_vec()).collect();
        let alone = set_alone(&things, arena(length, width), Metres::new(tape).unwrap()).unwrap();
        let mut told: Vec<usize> = alone.rows.iter().map(|row| row.thing).chain(alone.out_of_reach.iter().copied()).collect();
        told.sort_unstable();
        prop_assert_eq!(told, (0..things.len()).collect::<Vec<_>>());
        for row in &alone.rows {
            let found = Pinned { corner: row.corner, towards: row.towards, legs: row.legs.clone() };
            for (legs, planned) in row.legs.iter().zip(ends(rails[row.thing])) {
                let (along, off) = (legs.along.exact().get(), legs.off.exact().get());
                prop_assert!(along.max(off) <= tape && apart(walked(&found, along, off, size), planned) < 1e-6);
            }
        }
        let pins: Vec<_> = alone.rows.iter().map(|row| (row.corner, row.towards)).collect();
        let distinct: std::collections::BTreeSet<_> = pins.iter().collect();
        prop_assert_eq!(alone.rows.iter().filter(|row| !row.still).count(), distinct.len());
        for two in alone.rows.windows(2).filter(|two| two[1].still) {
            let first = |row: &SetByOne| row.legs.iter().map(|l| l.along.exact().get()).fold(f64::INFINITY, f64::min);
            prop_assert!(first(&two[0]) <= first(&two[1]));
        }
    }

    /// The rail that is met first lies across the way that is ridden, on the near side, its left end to the left.
    #[test]
    fn the_front_rail_is_met_first(
        x in 5.0..50.0f64, y in 5.0..30.0f64, heading in -180.0..180.0f64, spread in 0.0..2.0f64, against: bool,
    ) {
        let placed = PlacedFence {
            centre: place((x, y)),
            heading: Degrees::new(heading).unwrap(),
            height: Centimetres::new(90).unwrap(),
            spread: Metres::new(spread).unwrap(),
            width: Metres::new(3.5).unwrap(),
        };
        let laid = LaidFence { placed, kind: FenceKind::Oxer, square: true };
        let ridden = (heading + if against { 180.0 } else { 0.0 }).to_radians();
        let (ahead, to_left) = ((ridden.cos(), ridden.sin()), (-ridden.sin(), ridden.cos()));
        for (end, side) in laid.front_rail(against).into_iter().zip([1.0, -1.0]) {
            let from = (end.x.get() - x, end.y.get() - y);
            prop_assert!((from.0 * ahead.0 + from.1 * ahead.1 + spread / 2.0).abs() < 1e-9);
            prop_assert!((from.0 * to_left.0 + from.1 * to_left.1 - side * 1.75).abs() < 1e-9);
        }
        let [from, to] = ridden_between(Degrees::nearest(ridden.to_degrees()), arena(58.0, 27.0)).unwrap();
        let (from, to) = (at(from, (58.0, 27.0)), at(to, (58.0, 27.0)));
        // no more than half of the widest gap between two of the twelve ways, 90 - 24.96 degrees
        let way = (to.1 - from.1).atan2(to.0 - from.0);
        let off = (way - ridden).sin().atan2((way - ridden).cos()).abs().to_degrees();
        prop_assert!(off < 32.6, "{} degrees off", off);
    }
}
