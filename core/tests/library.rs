//! The exercises of the library: they ride in the count they are laid out for, fit where a barn has room, and are not
//! too much for one day.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use std::collections::BTreeSet;
use stridewright_core::layout::{FenceKind, LayoutWanted, RoomWanted, TurnRadii};
use stridewright_core::library::{EXERCISES, Exercise, PlacedSketch, Sketch, Terms, place};
use stridewright_core::stride::{GUIDES, GuideUse, HorseStride, Line, Pair, Profile, natural_count};
use stridewright_core::track::{ArenaSize, Ground, GroundLine, PlacedFence, Stands, TrackRules, track};
use stridewright_core::units::{Coordinate, Degrees, Metres};

fn every() -> impl Iterator<Item = (&'static Exercise, Terms)> {
    EXERCISES.iter().flat_map(|exercise| {
        exercise.levels.iter().flat_map(move |level| {
            Profile::ALL.into_iter().map(move |profile| (exercise, Terms { profile, level: *level }))
        })
    })
}

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

fn placed(sketch: &Sketch, terms: Terms, arena: (f64, f64), others: &[PlacedFence]) -> Option<PlacedSketch> {
    let profile = terms.profile.design_stride();
    let wanted = LayoutWanted {
        ground: Ground {
            arena: ArenaSize { length: metres(arena.0), width: metres(arena.1) },
            wall_clearance: metres(1.0),
            others,
            obstructions: &[],
            stands: Stands::USUAL,
        },
        rules: TrackRules::usual(profile),
        turn_radii: TurnRadii::of(&HorseStride::unmeasured(terms.profile).unwrap(), terms.level).unwrap(),
        room: RoomWanted::usual(profile),
    };
    place(sketch, &wanted).unwrap()
}

#[test]
fn there_are_sixteen_at_least_of_every_kind_of_the_trade() {
    let kinds: BTreeSet<String> = EXERCISES.iter().map(|exercise| format!("{:?}", exercise.kind)).collect();
    let keys: BTreeSet<&str> = EXERCISES.iter().map(|exercise| exercise.key).collect();
    assert!(EXERCISES.len() >= 16 && keys.len() == EXERCISES.len() && kinds.len() == 11, "{kinds:?}");
    for exercise in EXERCISES {
        for text in [exercise.name, exercise.teaches, exercise.look_for, exercise.step_up, exercise.step_back] {
            assert!(text.len() > 6 && !text.contains('!'), "{}: {text}", exercise.key);
        }
    }
}

#[test]
fn a_line_rides_in_the_count_that_is_asked_first() {
    let mut lines = 0;
    for (exercise, terms) in every() {
        let sketch = exercise.sketch(terms).unwrap();
        let labels: BTreeSet<&str> = sketch.fences.iter().map(|fence| fence.label).collect();
        assert_eq!(labels.len(), sketch.fences.len(), "{}", exercise.key);
        let profile = terms.profile.design_stride();
        for line in sketch.lines.iter().filter(|line| !line.asks.is_empty()) {
            let [first, second] = line.fences.map(|i| sketch.fences[i].laid.placed);
            let (from, to) = (sketch.fences[line.fences[0]].combination, sketch.fences[line.fences[1]].combination);
            if from.is_some() && from == to {
                continue; // set by the chart, not by the stride
            }
            let on = GroundLine { first: first.square(), second: second.square() };
            let radius = metres(if terms.profile == Profile::Horse { 11.0 } else { 9.0 });
            let length = track(&on, &TrackRules::usual(profile), radius, Metres::MIN).unwrap().unwrap().length;
            let line_of = Line { distance: length, first: first.height.metres(), second: second.height.metres() };
            let natural = natural_count(&line_of, profile, profile).unwrap();
            assert_eq!(natural.n, line.asks[0], "{} {terms:?}: {} m", exercise.key, length.get());
            assert!((natural.real.get() - f64::from(natural.n)).abs() < 0.03, "{} {terms:?}", exercise.key);
            lines += 1;
        }
    }
    assert!(lines > 80);
}

#[test]
fn combinations_and_grids_keep_to_printed_distances() {
    for (exercise, terms) in every() {
        let sketch = exercise.sketch(terms).unwrap();
        for pair in sketch
            .fences
            .windows(2)
            .filter(|pair| pair[0].combination.is_some() && pair[0].combination == pair[1].combination)
        {
            let (one, other) = (pair[0].laid.placed, pair[1].laid.placed);
            let gap = other.centre.x.get() - one.centre.x.get() - (one.spread.get() + other.spread.get()) / 2.0;
            let printed = GUIDES.iter().any(|guide| {
                matches!(guide.is_for, GuideUse::Combination { .. })
                    && guide.profiles.contains(&terms.profile)
                    && gap > guide.least.get() - 0.03
                    && gap < guide.most.get() + 0.03
            });
            assert!(printed, "{} {terms:?}: {gap} m", exercise.key);
        }
    }
}

#[test]
fn repeats_are_not_too_much_for_a_day() {
    // the strictest of the limits that are proposed for a day, whatever the horse: 20 efforts
    for (exercise, terms) in every() {
        let sketch = exercise.sketch(terms).unwrap();
        let repeats = exercise.repeats(terms).unwrap();
        assert!((2..=6).contains(&repeats) && repeats * sketch.efforts() <= 20, "{} {terms:?}", exercise.key);
        let high = sketch.fences.iter().map(|fence| fence.laid.placed.height).max().unwrap();
        assert!(high <= terms.height(), "{}", exercise.key);
    }
}

#[test]
fn each_fits_an_arena_of_sixty_by_thirty_five_and_many_a_small_one() {
    let mut small = BTreeSet::new();
    for exercise in EXERCISES {
        for profile in [Profile::Horse, Profile::SmallPony] {
            let terms = Terms { profile, level: exercise.levels[0] };
            let sketch = exercise.sketch(terms).unwrap();
            let found = placed(&sketch, terms, (60.0, 35.0), &[]);
            let found = found.unwrap_or_else(|| panic!("{} {profile:?} fits nowhere", exercise.key));
            assert!(found.check.fits() && found.fences.len() == sketch.fences.len());
            if placed(&sketch, terms, (40.0, 20.0), &[]).is_some() {
                small.insert((exercise.key, format!("{profile:?}")));
            }
        }
    }
    println!("in 20 by 40 m: {small:?}");
    // what needs a long line or a wide turn does not fit there, and says so
    assert!(small.iter().any(|(key, _)| *key == "trot_grid") && small.len() >= 10);
    assert!(small.iter().all(|(key, profile)| *key != "small_course" || profile != "Horse"));
}

#[test]
fn what_stands_there_is_kept_clear_of() {
    let terms = Terms { profile: Profile::Horse, level: Pair::Usual };
    let five = EXERCISES.iter().find(|exercise| exercise.key == "related_five").unwrap().sketch(terms).unwrap();
    let alone = placed(&five, terms, (60.0, 30.0), &[]).unwrap();
    // a fence right in its way: it goes beside it
    let mut in_the_way = five.fences[0].laid.placed;
    in_the_way.centre.x = Coordinate::new(30.0).unwrap();
    in_the_way.centre.y = Coordinate::new(15.0).unwrap();
    in_the_way.heading = Degrees::new(90.0).unwrap();
    let beside = placed(&five, terms, (60.0, 30.0), &[in_the_way]).unwrap();
    assert!(beside.check.fits() && beside.fences != alone.fences);
    // where its fences have room, but nobody could turn onto them, nowhere
    assert!(placed(&five, terms, (30.0, 12.0), &[]).is_none());
    // and where everything is taken, nowhere
    let full = PlacedFence { spread: metres(28.0), width: metres(58.0), ..in_the_way };
    assert!(placed(&five, terms, (60.0, 30.0), &[full]).is_none());
    assert!(five.fences.iter().all(|fence| fence.laid.kind == FenceKind::Vertical));
}
