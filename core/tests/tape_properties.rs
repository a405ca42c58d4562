//! A place that is set by the readings alone stands where it was planned, but for their rounding.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use proptest::prelude::*;
use stridewright_core::tape::{Corner, FromTwo, Pinned, Reading, from_two, pinned};
use stridewright_core::track::{ArenaSize, Point};
use stridewright_core::units::{Coordinate, Metres};

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
