//! What must hold of the range, its trend and the next ask whatever was ridden.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]
use proptest::prelude::*;
use stridewright_core::adjustability::{
    Approach, Attempt, Fault, Kind, Line, NextAsk, Range, Settings, Side, Status, decline_before, fit, mondays,
    next_ask, of_rider, pair, trend, weekly,
};
use stridewright_core::calendar::Day;
use stridewright_core::units::{LogStretch, Metres};

const STRIDE: f64 = 3.6;

fn today() -> Day {
    "2026-06-04".parse().unwrap()
}

fn m(value: f64) -> Metres {
    Metres::new(value).unwrap()
}

fn fault() -> impl Strategy<Value = Option<Fault>> {
    prop_oneof![
        12 => Just(None),
        1 => Just(Some(Fault::Rail)),
        1 => prop::sample::select(vec![Fault::Refusal, Fault::RunOut, Fault::Break, Fault::Fall, Fault::Chip]).prop_map(Some),
    ]
}

fn approach() -> impl Strategy<Value = Option<Approach>> {
    prop::sample::select(vec![None, Some(Approach::Slow), Some(Approach::Right), Some(Approach::Fast)])
}

prop_compose! {
    /// An attempt as barns ride them: about the normal count, mostly met.
    fn usual()(
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

prop_compose! {
    /// An attempt as no barn rides it.
    fn any_attempt()(
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

fn side() -> impl Strategy<Value = Side> {
    prop::sample::select(vec![Side::Short, Side::Long, Side::Either])
}

prop_compose! {
    fn usual_line()(
        distance in prop_oneof![prop::sample::select(vec![14.4, 18.0, 21.6, 23.4, 25.2]), 8.0..40.0],
        side in side(),
        height in prop::sample::select(vec![0.8, 0.9, 1.0]),
    ) -> Line {
        Line { distance: m(distance), allowance: m(3.6), side, height: m(height), kind: Kind::Fence, combination: false }
    }
}

fn range_of(attempts: &[Attempt<u8>]) -> Range {
    fit(attempts, today(), m(STRIDE), &Settings::default())
}

fn ask_of(line: &Line, attempts: &[Attempt<u8>]) -> NextAsk {
    next_ask(line, &range_of(attempts), attempts, today(), &Settings::default()).unwrap()
}

fn near(a: &[f64], b: &[f64], by: f64) -> bool {
    a.iter().zip(b).all(|(a, b)| (a - b).abs() <= by * b.abs().max(1.0))
}

fn x_of(attempt: &Attempt<u8>) -> f64 {
    let room = attempt.distance.get() - attempt.allowance.get();
    (room / f64::from(attempt.asked.unwrap()) / STRIDE).ln()
}

/// Of the line's kind, and no lower than it by more than 0.10 m; with `level` no higher either.
fn fits(attempt: &Attempt<u8>, line: &Line, level: bool) -> bool {
    let over = attempt.height.get() - line.height.get();
    over > -0.1 - 1e-9 && !(level && over > 0.1 + 1e-9)
}

fn met(attempt: &Attempt<u8>) -> bool {
    attempt.ridden == attempt.asked && !attempt.fault.is_some_and(Fault::spoils)
}

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
    fn nothing_unlikely_or_too_long_is_asked(
        attempts in prop::collection::vec(usual(), 0..40), line in usual_line(),
    ) {
        let next = ask_of(&line, &attempts);
        let Some(ask) = next.ask else {
            prop_assert_eq!(next.status, Status::Settle);
            prop_assert!(next.reason.is_some() && next.ladder.is_empty() && next.rungs_m.is_empty());
            prop_assert!(next.next_line_m.is_none());
            return Ok(());
        };
        prop_assert!(next.status != Status::Settle && next.reason.is_none());
        prop_assert!(ask.cautious_chance.get() >= 0.70);
        if matches!(next.status, Status::Step | Status::Open) {
            prop_assert!(ask.cautious_chance.get() >= 0.75 - 1e-9);
        }
        prop_assert!((-0.50..=0.25 + 1e-9).contains(&ask.stretch.get()));
        prop_assert_eq!(next.ladder.last(), Some(&next.natural));
        prop_assert!(next.ladder.contains(&ask.count));
        let climb = &next.ladder[..next.ladder.len() - 1];
        prop_assert!(climb.windows(2).all(|two| two[0].abs_diff(two[1]) <= 1), "{:?}", next.ladder);
        prop_assert_eq!(next.rungs_m.is_empty(), next.status != Status::Open);
        let stride = (ask.distance_m.get() - 3.6) / f64::from(ask.count);
        prop_assert!(near(&[ask.stride_m.get(), ask.stretch.get()], &[stride, (stride / STRIDE).ln()], 1e-12));
    }

    #[test]
    fn a_fence_is_rolled_out_in_short_steps_and_not_far(
        attempts in prop::collection::vec(usual(), 12..40), mut line in usual_line(),
    ) {
        line.side = Side::Long;
        let next = ask_of(&line, &attempts);
        prop_assume!(next.status == Status::Open);
        let (from, to) = (line.distance.get(), next.ask.unwrap().distance_m.get());
        let mut met: Vec<f64> =
            attempts.iter().filter(|a| fits(a, &line, false) && met(a)).map(x_of).collect();
        met.sort_by(f64::total_cmp);
        let second = 3.6 + f64::from(next.natural) * STRIDE * met[met.len() - 2].exp();
        prop_assert!(to <= from.max(second) + 0.30 + 1e-9);
        prop_assert!(from + 0.05 - 1e-9 <= to && to <= from + 1.80 + 1e-9);
        let mut stands = vec![from];
        stands.extend(next.rungs_m.iter().map(|rung| rung.get()));
        prop_assert!(near(&stands[stands.len() - 1..], &[to], 1e-12));
        prop_assert!(stands.windows(2).all(|two| two[0] < two[1] && two[1] - two[0] <= 0.65 + 1e-9), "{stands:?}");
        prop_assert_eq!(next.ladder, vec![next.natural; stands.len()]);
        if let Some(next_line) = next.next_line_m {
            prop_assert!(from + 0.05 - 1e-9 <= next_line.get() && next_line.get() <= to + 1e-9);
        }
        // two of one stretch missed one after the other today bar it
        let today: Vec<_> = attempts.iter().filter(|a| a.day == today() && fits(a, &line, true)).collect();
        for x in today.iter().map(|a| x_of(a)).filter(|x| x.abs() > 0.03) {
            let here: Vec<_> = today.iter().filter(|a| x_of(a) * x > 0.0 && x_of(a).abs() >= x.abs() - 0.03).collect();
            let alike = |a: &Attempt<u8>| (x_of(a) - x).abs() < 1e-12;
            prop_assert!(!here.windows(2).any(|two| two.iter().all(|a| alike(a) && !self::met(a))));
        }
    }
}

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
