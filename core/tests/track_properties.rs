//! What must hold for any two fences, wherever they stand.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use proptest::prelude::*;
use stridewright_core::stride::Profile;
use stridewright_core::track::{
    Aim, Bends, GroundLine, Jump, Passage, PlacedFence, Point, Stretch, Track, TrackRules, curves, track,
};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

/// A jump by its numbers: x, y, heading and angle in degrees, height in cm, spread, metres to the left.
type Numbers = (f64, f64, f64, f64, u16, f64, f64);

fn jump((x, y, heading, angle, height, spread, left): Numbers) -> Jump {
    Jump {
        fence: PlacedFence {
            centre: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(y).unwrap() },
            heading: Degrees::new(heading).unwrap(),
            height: Centimetres::new(height).unwrap(),
            spread: Metres::new(spread).unwrap(),
            width: Metres::new(3.5).unwrap(),
        },
        aim: Aim { left: Coordinate::new(left).unwrap(), off_square: Degrees::new(angle).unwrap() },
    }
}

fn numbers() -> impl Strategy<Value = Numbers> {
    (0.0..60.0f64, 0.0..40.0f64, 0.0..360.0f64, -12.0..12.0f64, 0u16..=140, 0.0..1.8f64, -1.2..1.2f64)
}

fn rules() -> TrackRules {
    TrackRules::usual(Profile::Horse.design_stride())
}

fn shortest(first: Numbers, second: Numbers, rules: &TrackRules, radius: f64, extra: f64) -> Option<Track> {
    let line = GroundLine { first: jump(first), second: jump(second) };
    track(&line, rules, Metres::new(radius).unwrap(), Metres::new(extra).unwrap()).unwrap()
}

/// The same answer: unless a limit runs right between the two, which then are off by rounding.
fn alike(one: Option<&Track>, other: Option<&Track>) -> bool {
    match (one, other) {
        (Some(one), Some(other)) => (one.length.get() - other.length.get()).abs() < 1e-7,
        (None, None) => true,
        _ => false,
    }
}

fn moved((x, y, heading, angle, height, spread, left): Numbers, by: (f64, f64), turned: f64) -> Numbers {
    let (sin, cos) = turned.to_radians().sin_cos();
    let at = (cos * x - sin * y + by.0, sin * x + cos * y + by.1);
    (at.0, at.1, (heading + turned).rem_euclid(360.0), angle, height, spread, left)
}

fn mirrored((x, y, heading, angle, height, spread, left): Numbers) -> Numbers {
    (x, -y, -heading, -angle, height, spread, -left)
}

/// Jumped the other way round.
fn reversed((x, y, heading, angle, height, spread, left): Numbers) -> Numbers {
    (x, y, (heading + 180.0).rem_euclid(360.0), angle, height, spread, -left)
}

/// Where a stretch begins and ends, and its length.
fn measured(stretch: &Stretch) -> ((f64, f64), (f64, f64), f64) {
    match *stretch {
        Stretch::Straight { from, to } => {
            let (from, to) = ((from.x.get(), from.y.get()), (to.x.get(), to.y.get()));
            (from, to, (to.0 - from.0).hypot(to.1 - from.1))
        }
        Stretch::Arc { centre, radius, from, turn } => {
            let at = |angle: f64| {
                let (sin, cos) = angle.to_radians().sin_cos();
                (centre.x.get() + radius.get() * cos, centre.y.get() + radius.get() * sin)
            };
            let end = from.get() + turn.get();
            (at(from.get()), at(end), radius.get() * turn.get().abs().to_radians())
        }
    }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(2_000))]

    #[test]
    fn a_track_moves_and_turns_with_its_fences(
        first in numbers(), second in numbers(), radius in 4.0..20.0f64, extra in 0.0..7.5f64,
        by in (-500.0..500.0f64, -500.0..500.0f64), turned in -180.0..180.0f64,
    ) {
        let here = shortest(first, second, &rules(), radius, extra);
        let there = shortest(moved(first, by, turned), moved(second, by, turned), &rules(), radius, extra);
        prop_assert!(alike(here.as_ref(), there.as_ref()), "{here:?} {there:?}");
    }

    #[test]
    fn a_mirror_swaps_left_and_right(first in numbers(), second in numbers(), radius in 4.0..20.0f64) {
        let here = shortest(first, second, &rules(), radius, 0.0);
        let there = shortest(mirrored(first), mirrored(second), &rules(), radius, 0.0);
        prop_assert!(alike(here.as_ref(), there.as_ref()));
        let bends = |track: Option<Track>| track.and_then(|t| t.curved).map(|curved| curved.bends);
        let swapped = bends(there).map(|bends| match bends {
            Bends::Lsl => Bends::Rsr,
            Bends::Lsr => Bends::Rsl,
            Bends::Rsl => Bends::Lsr,
            Bends::Rsr => Bends::Lsl,
        });
        prop_assert_eq!(bends(here), swapped);
    }

    #[test]
    fn the_way_back_is_as_long(first in numbers(), second in numbers(), radius in 4.0..20.0f64) {
        let there = shortest(first, second, &rules(), radius, 0.0);
        let turned = TrackRules {
            landing_straight: rules().takeoff_straight, takeoff_straight: rules().landing_straight, ..rules()
        };
        let back = shortest(reversed(second), reversed(first), &turned, radius, 0.0);
        prop_assert!(alike(there.as_ref(), back.as_ref()), "{there:?} {back:?}");
    }

    #[test]
    fn a_track_is_drawn_as_long_as_it_is_said(
        first in numbers(), second in numbers(), radius in 4.0..20.0f64, extra in 0.0..7.5f64,
    ) {
        let Some(track) = shortest(first, second, &rules(), radius, extra) else { return Ok(()) };
        let parts: Vec<_> = track.stretches().iter().map(measured).collect();
        let drawn: f64 = parts.iter().map(|part| part.2).sum();
        prop_assert!((drawn - track.length.get()).abs() < 1e-7, "{} {}", drawn, track.length.get());
        for pair in parts.windows(2) {
            let gap = (pair[1].0.0 - pair[0].1.0).hypot(pair[1].0.1 - pair[0].1.1);
            prop_assert!(gap < 1e-7, "a gap of {gap} m");
        }
        let (from, to) = (parts[0].0, parts[parts.len() - 1].1);
        prop_assert!(track.length.get() >= (to.0 - from.0).hypot(to.1 - from.1) - 1e-9, "shorter than straight");
    }

    #[test]
    fn a_wider_track_is_no_shorter(
        first in numbers(), second in numbers(), radius in 4.0..20.0f64, extra in 0.0..7.0f64, more in 0.0..3.0f64,
    ) {
        // bending the same way, whatever else would be shorter: the curves between the ends of the straight runs
        let length = |extra: f64, bends: Bends| {
            let (landing, takeoff) = (jump(first), jump(second));
            let run = |jump: &Jump, at: f64| {
                let forward = (jump.fence.heading.get() + jump.aim.off_square.get()).to_radians();
                let (sin, cos) = forward.sin_cos();
                let centre = (jump.fence.centre.x.get(), jump.fence.centre.y.get());
                Passage {
                    at: Point { x: Coordinate::new(centre.0 + at * cos).unwrap(), y: Coordinate::new(centre.1 + at * sin).unwrap() },
                    heading: Degrees::new(jump.fence.heading.get() + jump.aim.off_square.get()).unwrap(),
                }
            };
            let (from, to) = (run(&landing, 4.0 + extra), run(&takeoff, -6.0 - extra));
            let found = curves(from, to, Metres::new(radius).unwrap(), &[bends]).unwrap();
            found.first().filter(|curve| curve.turn.get() <= 270.0).map(|curve| (curve.length.get() + 2.0 * extra, curve.turn.get()))
        };
        for bends in Bends::ALL {
            if let (Some((narrow, turn)), Some((wide, wider))) = (length(extra, bends), length(extra + more, bends)) {
                // a full turn more is another track
                if (turn - wider).abs() < 180.0 {
                    prop_assert!(wide >= narrow - 1e-9, "{bends:?}: {wide} m after {narrow} m");
                }
            }
        }
    }
}
