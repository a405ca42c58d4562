//! What must hold for any line, horse and group.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

#[path = "stride_properties/group.rs"]
mod group;

use proptest::prelude::*;
use stridewright_core::stride::{
    HorseStride, Line, Places, StrideError, StrideRange, allowance, asks, between_counts, calibration, canter,
    count_in_gate, counted_stride, distance, effort, lean, least_radius, natural_count, pace_mark, required_stride,
    steps_on_foot, stride_card, stride_from_speed, taped_stride,
};
use stridewright_core::units::{Degrees, Factor, Metres, MetresPerSecond, Probability, Seconds};

fn metres(length: f64) -> Metres {
    Metres::new(length).unwrap()
}

fn line(distance: f64, first: f64, second: f64) -> Line {
    Line { distance: metres(distance), first: metres(first), second: metres(second) }
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(100))]

    #[test]
    fn a_distance_asks_for_the_stride_it_was_set_for(
        n in 1u32..=10, stride in 1.5..5.0f64, profile in 2.5..4.2f64, first in 0.0..1.6f64, second in 0.0..1.6f64,
    ) {
        let set = distance(n, metres(stride), metres(profile), metres(first), metres(second)).unwrap();
        let line = Line { distance: set, first: metres(first), second: metres(second) };
        let asked = required_stride(&line, n, metres(profile), Probability::MIN).unwrap().unwrap();
        prop_assert!((asked.get() - stride).abs() < 1e-9);
        let natural = natural_count(&line, metres(stride), metres(profile)).unwrap();
        prop_assert_eq!(natural.n, n);
        prop_assert!(between_counts(&line, metres(stride), metres(profile), Default::default()).unwrap().finding.is_none());
    }

    #[test]
    fn a_longer_line_never_rides_in_fewer(
        shorter in 0.0..50.0f64, more in 0.0..20.0f64, normal in 2.0..4.5f64, height in 0.0..1.6f64,
    ) {
        let count = |length: f64| natural_count(&line(length, height, height), metres(normal), metres(3.6576)).unwrap();
        prop_assert!(count(shorter).n <= count(shorter + more).n);
        prop_assert!(count(shorter).real <= count(shorter + more).real);
    }

    #[test]
    fn room_grows_with_height_up_to_a_metre(low in 0.0..1.0f64, more in 0.0..1.0f64, profile in 2.5..4.2f64) {
        let room = |height: f64| allowance(metres(height), metres(profile)).unwrap().get();
        prop_assert!(room(low) <= room(low + more) + 1e-12);
        prop_assert!(room(low) >= 0.25 * profile - 1e-12 && room(low + more) <= 0.5 * profile + 1e-12);
    }

    #[test]
    fn asks_are_the_counts_within_the_range(
        length in 0.0..60.0f64, shortest in 1.5..3.5f64, width in 0.0..1.5f64, height in 0.0..1.4f64,
    ) {
        let (line, range) = (line(length, height, height), StrideRange::new(metres(shortest), metres(shortest + width)).unwrap());
        let offered: Vec<u32> = asks(&line, range, metres(3.6576)).unwrap().iter().map(|ask| ask.n).collect();
        for n in 1..=10 {
            let stride = required_stride(&line, n, metres(3.6576), Probability::MIN).unwrap();
            let fits = stride.is_some_and(|stride| stride.get() >= shortest - 1e-9 && stride.get() <= shortest + width + 1e-9);
            prop_assert_eq!(offered.contains(&n), fits, "{} strides", n);
        }
    }

    #[test]
    fn more_strides_are_shorter_and_slower(length in 8.0..40.0f64, normal in 2.8..4.0f64) {
        let range = StrideRange::new(metres(1.0), metres(6.0)).unwrap();
        let horse = HorseStride::new(metres(3.6576), metres(normal), range, None).unwrap();
        let places = Places { room_before: Some(metres(24.0)), straight: Some(metres(18.0)) };
        let cards = stride_card(&line(length, 1.0, 1.0), &horse, places).unwrap();
        let natural = natural_count(&line(length, 1.0, 1.0), metres(normal), metres(3.6576)).unwrap().n;
        for pair in cards.windows(2) {
            prop_assert!(pair[1].n == pair[0].n + 1 && pair[1].stride < pair[0].stride);
            prop_assert!(pair[1].canter.speed < pair[0].canter.speed);
            prop_assert_eq!(pair[1].gate.between_markers, pair[0].gate.between_markers);
        }
        for card in &cards {
            prop_assert!((card.effort.ratio.get() * normal - card.stride.get()).abs() < 1e-9);
            prop_assert_eq!(card.unrelated, card.n > 8);
            prop_assert_eq!(card.natural, card.n == natural);
            prop_assert!((card.pace_mark.strides_available.unwrap().get() - 24.0 / card.stride.get()).abs() < 1e-9);
            prop_assert_eq!(card.gate.fits, Some(card.gate.between_markers.get() <= 18.0 + 1e-9));
        }
    }

    #[test]
    fn speed_and_stride_are_inverses(stride in 0.5..6.0f64, normal in 2.0..4.5f64, factor in 0.85..1.15f64) {
        let factor = Factor::new(factor).unwrap();
        let speed = canter(metres(stride), metres(normal), factor).unwrap().speed;
        let back = stride_from_speed(speed, metres(normal), factor).unwrap();
        prop_assert!((back.get() - stride).abs() < 1e-9);
    }

    #[test]
    fn a_timed_canter_calibrates_itself(factor in 0.85..1.15f64, stride in 2.0..4.3f64, normal in 2.5..4.2f64) {
        let rate = canter(metres(stride), metres(normal), Factor::new(factor).unwrap()).unwrap().frequency.get();
        let timed = calibration(20, Seconds::new(20.0 / rate).unwrap(), metres(stride), metres(normal)).unwrap();
        prop_assert!((timed.get() - factor).abs() < 1e-9);
        let slow = calibration(20, Seconds::new(40.0 / rate).unwrap(), metres(stride), metres(normal)).unwrap();
        prop_assert!((slow.get() - 0.85).abs() < 1e-12);
        let quick = calibration(40, Seconds::new(20.0 / rate).unwrap(), metres(stride), metres(normal)).unwrap();
        prop_assert!((quick.get() - 1.15).abs() < 1e-12);
    }

    #[test]
    fn at_the_least_radius_the_lean_is_the_greatest(speed in 0.0..12.0f64, angle in 5.0..60.0f64) {
        let speed = MetresPerSecond::new(speed).unwrap();
        let least = least_radius(speed, Degrees::new(angle).unwrap(), metres(4.0)).unwrap();
        prop_assert!(least.lean.angle.get() <= angle + 1e-9);
        prop_assert!(least.radius.get() <= 4.0 || (least.lean.angle.get() - angle).abs() < 1e-9);
        prop_assert!(lean(speed, metres(least.radius.get() + 0.5)).unwrap().angle <= least.lean.angle);
    }

    #[test]
    fn steps_and_what_is_left_over_make_the_distance(length in 0.0..200.0f64, step in 0.3..1.5f64) {
        let walked = steps_on_foot(metres(length), metres(step)).unwrap();
        prop_assert!((f64::from(walked.whole) * step + walked.left_over.get() - length).abs() < 1e-6);
        prop_assert!(walked.left_over.get() < step);
    }
}

#[test]
fn bands_change_at_their_limits() {
    let band = |percent: f64| u8::from(effort(metres(3.0 * (1.0 + percent / 100.0)), metres(3.0)).unwrap().band);
    for (limit, within) in [(-10.0, 1), (-15.0, 2), (-20.0, 3), (5.0, 1), (8.0, 2), (12.0, 3)] {
        assert_eq!(band(limit), within, "{limit} %");
        assert_eq!(band(limit * 1.000_001), within + 1, "just over {limit} %");
    }
}

#[test]
fn what_makes_no_sense_is_refused_by_name() {
    let (none, some) = (Metres::MIN, metres(3.5));
    let line = line(21.0, 1.0, 1.0);
    let refused = |result: Option<StrideError>| result.map(|error| error.field());
    assert_eq!(refused(allowance(some, none).err()), Some("profile_stride"));
    assert_eq!(refused(distance(4, none, some, some, some).err()), Some("stride"));
    assert_eq!(refused(natural_count(&line, none, some).err()), Some("normal_stride"));
    assert_eq!(refused(StrideRange::new(metres(3.6), some).err()), Some("stride_min"));
    assert_eq!(refused(StrideRange::new(none, some).err()), Some("stride_min"));
    assert_eq!(refused(StrideRange::new(some, some).err()), None);
    assert_eq!(
        refused(HorseStride::new(some, some, StrideRange::assumed(some).unwrap(), Some(Factor::MIN)).err()),
        Some("calibration")
    );
    assert_eq!(refused(effort(none, some).err()), Some("stride"));
    assert_eq!(refused(canter(some, some, Factor::MIN).err()), Some("calibration"));
    assert_eq!(refused(canter(metres(60.0), some, Factor::nearest(1.0)).err()), Some("speed"));
    assert_eq!(refused(calibration(20, Seconds::MIN, some, some).err()), Some("time"));
    assert_eq!(refused(lean(MetresPerSecond::MIN, none).err()), Some("radius"));
    for angle in [0.0, 90.0, -20.0] {
        let angle = Degrees::new(angle).unwrap();
        assert_eq!(refused(least_radius(MetresPerSecond::MIN, angle, some).err()), Some("lean_max"));
    }
    assert_eq!(refused(pace_mark(some, none, None).err()), Some("profile_stride"));
    assert_eq!(refused(count_in_gate(&line, 5, none, None).err()), Some("profile_stride"));
    assert_eq!(refused(counted_stride(some, some, &[]).err()), Some("rides"));
    assert_eq!(refused(taped_stride(some, none).err()), Some("length"));
    assert_eq!(refused(steps_on_foot(some, none).err()), Some("step"));
}
