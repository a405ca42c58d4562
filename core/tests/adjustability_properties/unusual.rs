//! Whatever is thrown at it.
use super::rides::*;
use proptest::prelude::*;
use stridewright_core::adjustability::{
    Kind, Line, Settings, decline_before, fit, mondays, next_ask, of_rider, pair, trend, weekly,
};

proptest! {
    #![proptest_config(ProptestConfig { cases: 128, failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn any_attempts_get_an_answer_in_numbers(
        attempts in prop::collection::vec(prop_oneof![any_attempt(), usual()], 0..60),
        stride in prop::sample::select(vec![0.0, 1e-300, 1e-3, 2.9, 3.6, 10000.0]),
        distance in prop::sample::select(vec![0.0, 1e-9, 3.6, 8.0, 21.6, 150.0, 10000.0]),
        allowance in prop::sample::select(vec![0.0, 3.6]),
        (side, combination) in (side(), any::<bool>()),
        (lapse_free, flat) in any::<(bool, bool)>(),
    ) {
        let mut settings = Settings::default();
        if lapse_free {
            settings.lapse = stridewright_core::units::Probability::MIN;
        }
        if flat {
            settings.prior_sd = [1e4; 3];
        }
        let line = Line { distance: m(distance), allowance: m(allowance), side, height: m(0.9), kind: Kind::Fence, combination };
        let range = fit(&attempts, today(), m(stride), &settings);
        let of_pair = pair(&attempts, &1, today(), m(stride), &settings);
        let days = mondays(today(), 2);
        let json = serde_json::json!({
            "theta": [range.theta(), of_pair.theta()],
            "covariance": [range.covariance(), of_pair.covariance()],
            "next": [
                next_ask(&line, &range, &attempts, today(), &settings),
                next_ask(&line, &of_pair, of_rider(&attempts, &1), today(), &settings),
            ],
            "trend": trend(&attempts, today(), m(stride), &settings),
            "weekly": weekly(&attempts, &days, m(stride), &settings),
        });
        for numbers in [range.theta(), of_pair.theta()] {
            prop_assert!(numbers.iter().all(|n| n.is_finite()), "{json}");
        }
        prop_assert!(range.covariance().as_flattened().iter().all(|n| n.is_finite()), "{json}");
        let drift = &json["trend"];
        prop_assert!(["per_week", "sd", "zeta"].iter().all(|field| drift[field].is_f64()), "{json}");
        let no_room = stride < f64::MIN_POSITIVE || distance <= allowance;
        prop_assert_eq!(json["next"][0].is_null(), no_room);
        let earlier = decline_before(&attempts, today(), m(stride), &settings);
        prop_assert!(earlier.is_none_or(|day| day <= today()));
    }
}
