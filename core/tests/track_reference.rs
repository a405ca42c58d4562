//! Curves against a second construction: common tangents of the circles on which they begin and end (plane geometry,
//! as in any school book), walked from point to point.
#![allow(clippy::unwrap_used, reason = "test code")]

use proptest::prelude::*;
use std::f64::consts::TAU;
use stridewright_core::track::{Bends, Passage, Point, curves};
use stridewright_core::units::{Coordinate, Degrees, Metres};

type Vector = (f64, f64);

fn towards(heading: f64) -> Vector {
    (heading.cos(), heading.sin())
}

fn left((x, y): Vector) -> Vector {
    (-y, x)
}

fn add(one: Vector, other: Vector, times: f64) -> Vector {
    (one.0 + times * other.0, one.1 + times * other.1)
}

/// The angle that is turned, to the left for a side of 1 and to the right for -1.
fn turned(from: f64, to: f64, side: f64) -> f64 {
    (side * (to - from)).rem_euclid(TAU)
}

/// Length and turn of the curve along the tangent that leaves the first circle and joins the second.
fn by_tangents(from: (Vector, f64), to: (Vector, f64), radius: f64, bends: Bends) -> Option<(f64, f64)> {
    let (first, last) = match bends {
        Bends::Lsl => (1.0, 1.0),
        Bends::Lsr => (1.0, -1.0),
        Bends::Rsl => (-1.0, 1.0),
        Bends::Rsr => (-1.0, -1.0),
    };
    let one = add(from.0, left(towards(from.1)), first * radius);
    let other = add(to.0, left(towards(to.1)), last * radius);
    let between = add(other, one, -1.0);
    let apart = between.0.hypot(between.1);
    // the tangent is turned against the line of the centres by the angle at which both circles are cleared
    let sideways = (last - first) * radius;
    if sideways.abs() > apart {
        return None;
    }
    let along = (apart * apart - sideways * sideways).sqrt();
    let heading = between.1.atan2(between.0) - sideways.atan2(along);
    let turn = turned(from.1, heading, first) + turned(heading, to.1, last);
    Some((radius * turn + along, turn))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(20_000))]

    #[test]
    fn a_curve_is_as_long_as_along_the_common_tangent(
        x in -40.0..40.0f64, y in -40.0..40.0f64, first in -3.2..3.2f64, last in -3.2..3.2f64, radius in 3.0..25.0f64,
    ) {
        let passage = |x: f64, y: f64, heading: f64| Passage {
            at: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() },
            heading: Degrees::new(heading.to_degrees()).unwrap(),
        };
        let (from, to) = (passage(0.0, 0.0, first), passage(x, y, last));
        for bends in Bends::ALL {
            let found = curves(from, to, Metres::new(radius).unwrap(), &[bends]).unwrap();
            let told = found.first().map(|curve| (curve.length.get(), curve.turn.get().to_radians()));
            match (told, by_tangents(((0.0, 0.0), first), ((x, y), last), radius, bends)) {
                (Some((length, turn)), Some((expected, expected_turn))) => {
                    // a whole circle more or less where an arc is nothing but for rounding
                    let off = (turn - expected_turn).rem_euclid(TAU);
                    prop_assert!(off.min(TAU - off) < 1e-7, "{bends:?}: turns {turn}, by tangents {expected_turn}");
                    let circles = ((turn - expected_turn) / TAU).round();
                    prop_assert!(circles.abs() <= 1.0 && (length - expected - circles * TAU * radius).abs() < 1e-6);
                    if circles != 0.0 {
                        prop_assert!(turn < expected_turn, "a whole circle too many");
                    }
                }
                (None, None) => {}
                (told, expected) => prop_assert!(false, "{bends:?}: {told:?}, by tangents {expected:?}"),
            }
        }
    }
}
