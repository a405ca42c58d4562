//! Attempts and lines, usual and unusual, and what the tests work out from them.
use proptest::prelude::*;
use stridewright_core::adjustability::{Approach, Attempt, Fault, Kind, Line, Range, Settings, Side, fit};
use stridewright_core::calendar::Day;
use stridewright_core::units::Metres;

pub const STRIDE: f64 = 3.6;

pub fn today() -> Day {
    "2026-06-04".parse().unwrap()
}

pub fn m(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

pub fn fault() -> impl Strategy<Value = Option<Fault>> {
    prop_oneof![
        12 => Just(None),
        1 => Just(Some(Fault::Rail)),
        1 => prop::sample::select(vec![Fault::Refusal, Fault::RunOut, Fault::Break, Fault::Fall, Fault::Chip]).prop_map(Some),
    ]
}

pub fn approach() -> impl Strategy<Value = Option<Approach>> {
    prop::sample::select(vec![None, Some(Approach::Slow), Some(Approach::Right), Some(Approach::Fast)])
}

prop_compose! {
    /// An attempt as barns ride them: about the normal count, mostly met.
    pub fn usual()(
        ago in prop_oneof![2 => Just(0), 3 => 1..60_i32],
        distance in prop::sample::select(vec![14.4, 18.0, 21.6, 23.4, 25.2, 27.0]),
        more in prop_oneof![3 => Just(0_i8), 2 => Just(1), 1 => Just(-1), 1 => Just(2)],
        missed_by in prop_oneof![9 => Just(0_i8), 1 => Just(1), 1 => Just(-1)],
        fault in fault(),
        approach in approach(),
        height in prop::sample::select(vec![0.8, 0.9, 1.05]),
        rider in 0..3_u8,
    ) -> Attempt<u8> {
        let natural = ((distance - 3.6) / STRIDE).round() as i8;
        let asked = (natural + more).max(1);
        Attempt {
            day: today().plus(-ago), rider: Some(rider), distance: m(distance), allowance: m(3.6),
            asked: u8::try_from(asked).ok(), ridden: u8::try_from(asked + missed_by).ok(),
            fault, approach, height: m(height), kind: Kind::Fence, combination: false, circle: false,
        }
    }
}

/// A list of usual attempts, or of a horse that meets whatever it is asked for.
pub fn of_any_horse() -> impl Strategy<Value = Vec<Attempt<u8>>> {
    let wide = (usual(), 1..9_u8).prop_map(|(attempt, count)| Attempt {
        asked: Some(count),
        ridden: Some(count),
        fault: None,
        ..attempt
    });
    prop_oneof![2 => prop::collection::vec(usual(), 0..40), 1 => prop::collection::vec(wide, 20..60)]
}

prop_compose! {
    /// An attempt as no barn rides it.
    pub fn any_attempt()(
        ago in -400..4000_i32,
        distance in prop::sample::select(vec![0.0, 1e-300, 1e-9, 3.0, 3.6, 20.0, 10000.0]),
        allowance in prop::sample::select(vec![0.0, 3.6, 10000.0]),
        asked in prop::option::of(any::<u8>()),
        ridden in prop::option::of(any::<u8>()),
        (fault, approach) in (fault(), approach()),
        height in 0.0..2.5,
        (pole, combination, circle) in any::<(bool, bool, bool)>(),
        rider in prop::option::of(0..3_u8),
    ) -> Attempt<u8> {
        let kind = if pole { Kind::Pole } else { Kind::Fence };
        Attempt {
            day: today().plus(-ago), rider, distance: m(distance), allowance: m(allowance), asked, ridden, fault,
            approach, height: m(height), kind, combination, circle,
        }
    }
}

pub fn plain(distance: f64) -> Attempt<u8> {
    Attempt {
        day: today(),
        rider: None,
        distance: m(distance),
        allowance: m(3.6),
        asked: Some(5),
        ridden: Some(5),
        fault: None,
        approach: None,
        height: m(0.9),
        kind: Kind::Fence,
        combination: false,
        circle: false,
    }
}

pub fn side() -> impl Strategy<Value = Side> {
    prop::sample::select(vec![Side::Short, Side::Long, Side::Either])
}

prop_compose! {
    pub fn usual_line()(
        distance in prop_oneof![prop::sample::select(vec![14.4, 18.0, 21.6, 23.4, 25.2]), 8.0..40.0],
        side in side(),
        height in prop::sample::select(vec![0.8, 0.9, 1.0]),
    ) -> Line {
        Line { distance: m(distance), allowance: m(3.6), side, height: m(height), kind: Kind::Fence, combination: false }
    }
}

pub fn range_of(attempts: &[Attempt<u8>]) -> Range {
    fit(attempts, today(), m(STRIDE), &Settings::default())
}

pub fn near(a: &[f64], b: &[f64], by: f64) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() <= by * b.abs().max(1.0))
}

pub fn x_of(attempt: &Attempt<u8>) -> f64 {
    let room = attempt.distance.get() - attempt.allowance.get();
    (room / f64::from(attempt.asked.unwrap()) / STRIDE).ln()
}
