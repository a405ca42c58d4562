//! The next ask.
use super::rides::*;
use proptest::prelude::*;
use stridewright_core::adjustability::{Attempt, Fault, Line, NextAsk, Settings, Side, Status, next_ask};

fn ask_of(line: &Line, attempts: &[Attempt<u8>]) -> NextAsk {
    next_ask(line, &range_of(attempts), attempts, today(), &Settings::default()).unwrap()
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
    fn nothing_unlikely_or_too_long_is_asked(attempts in of_any_horse(), line in usual_line()) {
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
