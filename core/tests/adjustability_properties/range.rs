//! The range and its trend.
use super::rides::*;
use proptest::prelude::*;
use stridewright_core::adjustability::{Attempt, Settings, fit, trend};
use stridewright_core::units::{LogStretch, Metres};

proptest! {
    #![proptest_config(ProptestConfig { cases: 192, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn the_order_of_attempts_is_irrelevant_to_the_fit(
        (attempts, shuffled) in prop::collection::vec(usual(), 0..60)
            .prop_flat_map(|list| (Just(list.clone()), Just(list).prop_shuffle()))
    ) {
        let (a, b) = (range_of(&attempts), range_of(&shuffled));
        prop_assert!(near(&a.theta(), &b.theta(), 1e-9), "{:?} {:?}", a.theta(), b.theta());
        prop_assert!(near(a.covariance().as_flattened(), b.covariance().as_flattened(), 1e-9));
        let of = |list: &[Attempt<u8>]| trend(list, today(), m(STRIDE), &Settings::default());
        prop_assert!(near(&of(&attempts).theta, &of(&shuffled).theta, 1e-9));
        prop_assert_eq!(of(&attempts).verdict, of(&shuffled).verdict);
    }

    #[test]
    fn twice_the_size_changes_metres_only(attempts in prop::collection::vec(usual(), 0..60)) {
        let twice = |value: Metres| m(2.0 * value.get());
        let large: Vec<_> = attempts
            .iter()
            .map(|a| Attempt { distance: twice(a.distance), allowance: twice(a.allowance), ..a.clone() })
            .collect();
        let (a, b) = (range_of(&attempts), fit(&large, today(), m(2.0 * STRIDE), &Settings::default()));
        prop_assert!(near(&a.theta(), &b.theta(), 1e-12));
        prop_assert!(near(&[a.ratio().value.get()], &[b.ratio().value.get()], 1e-12));
        let metres = |end: stridewright_core::adjustability::End| [end.stride_m, end.band_m[0], end.band_m[1]];
        for (small, large) in [(a.short_end(), b.short_end()), (a.long_end(), b.long_end())] {
            prop_assert!(near(&metres(small).map(|v| 2.0 * v.get()), &metres(large).map(Metres::get), 1e-12));
        }
    }

    #[test]
    fn the_bands_hold_what_they_surround(attempts in prop::collection::vec(usual(), 0..60)) {
        let range = range_of(&attempts);
        let ratio = range.ratio();
        prop_assert!(1.0 < ratio.band[0].get());
        prop_assert!(ratio.band[0] < ratio.value && ratio.value < ratio.band[1]);
        for end in [range.short_end(), range.long_end()] {
            prop_assert!(end.band_m[0] < end.stride_m && end.stride_m < end.band_m[1]);
        }
        prop_assert!(range.short_end().stride_m.get() < STRIDE && STRIDE < range.long_end().stride_m.get());
        let expected = range.long_end().stride_m.get() / range.short_end().stride_m.get();
        prop_assert!(near(&[ratio.value.get()], &[expected], 1e-9));
        let drift = trend(&attempts, today(), m(STRIDE), &Settings::default());
        prop_assert!(drift.band[0] < drift.per_week && drift.per_week < drift.band[1]);
    }

    #[test]
    fn the_chance_falls_with_the_stretch(attempts in prop::collection::vec(usual(), 0..60)) {
        let range = range_of(&attempts);
        for sign in [-1.0, 1.0] {
            let chances: Vec<_> = (0..=30)
                .map(|i| range.chance(LogStretch::new(sign * f64::from(i) * 0.02).unwrap()))
                .collect();
            prop_assert!(chances.windows(2).all(|two| two[0] > two[1]), "{chances:?}");
        }
        let x = LogStretch::new(0.07).unwrap();
        prop_assert!(range.cautious_chance(x) < range.chance(x));
    }

    #[test]
    fn what_lies_outside_the_window_does_not_count(attempts in prop::collection::vec(usual(), 0..30)) {
        let mut more = attempts.clone();
        for (attempt, days) in attempts.iter().zip([1, 2, -183, -400].iter().cycle()) {
            more.push(Attempt { day: today().plus(*days), ..attempt.clone() });
        }
        prop_assert_eq!(range_of(&attempts), range_of(&more));
    }

    #[test]
    fn an_end_is_assumed_until_its_side_was_ridden(attempts in prop::collection::vec(usual(), 0..40)) {
        let settings = Settings { prior_sd: [0.2, 0.6, 0.4], ..Settings::default() };
        let on = |side: f64| attempts.iter().filter(|a| x_of(a) * side >= 0.0).cloned().collect::<Vec<_>>();
        let of = |list: &[Attempt<u8>]| fit(list, today(), m(STRIDE), &settings);
        prop_assert!(of(&on(1.0)).short_end().assumed && of(&on(-1.0)).long_end().assumed);
        let many: Vec<_> = (0..40).map(|i| Attempt { asked: Some(5), ridden: Some(5 + i % 2), ..plain(21.0 + 0.1 * f64::from(i)) }).collect();
        prop_assert!(!of(&many).long_end().assumed && of(&many).ratio().assumed);
    }
}
