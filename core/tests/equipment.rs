//! What layouts are built of.
#![allow(clippy::unwrap_used, reason = "test code")]

use stridewright_core::equipment::Equipment;
use stridewright_core::layout::FenceKind as K;
use stridewright_core::units::Centimetres;

const KINDS: [K; 9] =
    [K::Vertical, K::Oxer, K::TripleBar, K::CrossPole, K::Wall, K::Log, K::Ditch, K::Water, K::GroundPole];

fn of(kind: K, height: u16) -> Equipment {
    Equipment::of(kind, Centimetres::new(height).unwrap())
}

/// Swedish federation, jumping rules as quoted by a jumping site in 2012: the rear pole of every spread, and the middle
/// one of a triple bar.
#[test]
fn spreads_lie_in_safety_cups() {
    assert_eq!(KINDS.map(|kind| of(kind, 110).safety_cups), [0, 2, 4, 0, 0, 0, 0, 0, 0]);
}

/// Common practice, no source: two cups a pole, but for those on the ground and what a cross-pole's rails lean on.
#[test]
fn every_pole_has_its_cups() {
    for height in [30, 60, 100, 140] {
        let vertical = of(K::Vertical, height);
        assert_eq!(vertical.cups, 2 * (vertical.poles - 1), "a pole lies on the ground");
        let oxer = of(K::Oxer, height);
        assert_eq!(oxer.cups + oxer.safety_cups, 2 * (oxer.poles - 1));
        assert_eq!(oxer.poles, vertical.poles + 1);
    }
    assert_eq!([30, 50, 51, 100, 101, 150].map(|height| of(K::Vertical, height).poles), [2, 2, 3, 3, 4, 4]);
    let bar = of(K::TripleBar, 100);
    assert_eq!(bar.cups + bar.safety_cups, 2 * bar.poles);
}

#[test]
fn a_layout_is_the_sum_of_its_fences() {
    let layout = [
        (K::Vertical, 100),
        (K::Oxer, 100),
        (K::Wall, 90),
        (K::TripleBar, 100),
        (K::CrossPole, 60),
        (K::GroundPole, 0),
    ];
    let sum: Equipment = layout.into_iter().map(|(kind, height)| of(kind, height)).sum();
    let expected = Equipment { wings_pairs: 8, poles: 15, planks: 0, fillers: 1, cups: 14, safety_cups: 6 };
    assert_eq!(sum, expected);
    assert!(sum.lacking(sum).is_nothing() && sum.lacking(Equipment::default()) == sum);
    let more = Equipment { poles: 200, planks: 3, ..sum };
    assert!(sum.lacking(more).is_nothing() && !more.lacking(sum).is_nothing());
}
