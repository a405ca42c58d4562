//! Reasons, ceilings, earliest days, violations and flags against a slow and obvious program, on random diaries.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

#[path = "rest_slowly/histories.rs"]
mod histories;
#[path = "rest_slowly/judge.rs"]
mod judge;
#[path = "rest_slowly/slow.rs"]
mod slow;

use histories::{candidate, diary, today};
use proptest::collection::vec;
use proptest::prelude::*;
use slow::Diary;
use stridewright_core::calendar::Day;
use stridewright_core::rest::{Book, Candidate, Code, Reason, Rule};
use stridewright_core::workload::Status;

fn book(diary: &Diary) -> Book<u32> {
    Book::new(&diary.sessions, diary.limits.clone(), diary.stand_downs.clone(), &diary.zone, today())
}

/// Everything that can matter to a candidate of these diaries.
fn span() -> (Day, Day) {
    (today().plus(-46), today().plus(100))
}

fn config(cases: u32) -> ProptestConfig {
    ProptestConfig { cases, failure_persistence: None, ..ProptestConfig::default() }
}

fn without_heights(reasons: Vec<Reason<u32>>) -> Vec<Reason<u32>> {
    reasons.into_iter().filter(|r| r.code != Code::HeightUnknown).collect()
}

proptest! {
    #![proptest_config(config(250))]

    #[test]
    fn reasons_and_ceilings_are_those_of_judging_with_and_without(
        diary in diary(), candidates in vec(candidate(), 10),
    ) {
        let book = book(&diary);
        let (first, last) = span();
        let without = diary.violations(first, last);
        for candidate in candidates {
            let slowly = |efforts| {
                diary.reasons(&Candidate { efforts, ..candidate.clone() }, &without, first, last)
            };
            prop_assert_eq!(without_heights(book.reasons(&candidate)), slowly(candidate.efforts), "{:?}", candidate);
            let ceiling = book.remaining(&candidate);
            let most = ceiling.at_most.unwrap_or(300);
            if most > 0 {
                prop_assert_eq!(slowly(most), vec![], "at most {} of {:?}", most, candidate);
                prop_assert_eq!(slowly(most.div_ceil(2)), vec![]);
            }
            if ceiling.at_most.is_some() {
                let broken = slowly(most + 1);
                prop_assert!(broken.iter().any(|r| Some(r.limit_id) == ceiling.limit_id), "{:?} {:?}", ceiling, candidate);
                prop_assert!(!slowly(most + 17).is_empty());
            }
        }
    }
}

proptest! {
    #![proptest_config(config(60))]

    #[test]
    fn the_earliest_day_is_the_first_that_judging_allows(diary in diary(), candidate in candidate()) {
        let (first, last) = span();
        let without = diary.violations(first, last);
        let slowly = (0..40).map(|n| candidate.day.plus(n)).find(|day| {
            let then = Candidate { day: *day, pole_passes: 0, ..candidate.clone() };
            diary.reasons(&then, &without, first, last).is_empty()
        });
        prop_assert_eq!(book(&diary).earliest(&candidate, 40), slowly);
    }
}

proptest! {
    #![proptest_config(config(300))]

    #[test]
    fn existing_violations_are_those_of_judging_each_day(diary in diary(), since in -40..1_i32) {
        let since = today().plus(since);
        let (first, last) = span();
        let planned: Vec<Day> = diary
            .sessions
            .iter()
            .filter(|s| s.holds_unridden_plan())
            .map(|s| s.planned.day(&diary.zone))
            .collect();
        let mut slowly = diary.violations(first, last);
        slowly.retain(|r| (since <= r.day && r.day <= today()) || planned.contains(&r.day));
        slowly.sort();
        prop_assert_eq!(book(&diary).existing_violations(Some(since)), slowly);
    }

    #[test]
    fn no_booking_that_stays_has_a_binding_reason(diary in diary()) {
        let flags = book(&diary).flagged();
        let mut kept = diary.clone();
        kept.sessions.retain(|s| !flags.flagged.iter().any(|f| f.id == s.id));
        let standing = book(&kept);
        for session in &kept.sessions {
            let untouched = session.status == Status::Booked && session.live().next().is_none();
            if !untouched || session.planned.day(&diary.zone) < today() {
                continue;
            }
            let decision = standing.retest(&session.id).unwrap();
            let stands_down = decision.reasons.iter().any(|r| r.code == Code::StandDown);
            prop_assert!(!stands_down);
            prop_assert!(session.outing || decision.binding().next().is_none(), "{:?}", decision);
            let warned = flags.warned.iter().any(|f| f.id == session.id);
            prop_assert_eq!(warned, !decision.reasons.is_empty());
        }
        // what is flagged was booked, from today on, and had something against it that binds
        for flag in &flags.flagged {
            let session = diary.sessions.iter().find(|s| s.id == flag.id).unwrap();
            prop_assert!(session.status == Status::Booked && session.planned.day(&diary.zone) >= today());
            prop_assert!(flag.reasons.iter().any(|r| r.binding));
        }
    }

    #[test]
    fn an_accepted_candidate_breaks_no_booking_ramps_aside(diary in diary(), candidate in candidate()) {
        let mut before = diary;
        before.limits.retain(|l| !matches!(l.rule, Rule::ReturnRamp { .. }));
        let flagged = book(&before).flagged();
        before.sessions.retain(|s| !flagged.flagged.iter().any(|f| f.id == s.id));
        let book_before = book(&before);
        if book_before.reasons(&candidate).is_empty() {
            let after = book(&before.with(&candidate));
            for session in &before.sessions {
                let was = book_before.retest(&session.id).unwrap();
                let is = after.retest(&session.id).unwrap();
                let untouched = session.status == Status::Booked && session.live().next().is_none();
                if untouched && session.planned.day(&before.zone) >= today() && was.reasons.is_empty() {
                    prop_assert!(is.reasons.is_empty(), "{:?} {:?}", candidate, is);
                }
            }
        }
    }
}

/// The diaries would prove little if they did not come to every rule.
#[test]
fn the_diaries_come_to_every_rule() {
    use proptest::strategy::ValueTree;
    let mut runner = proptest::test_runner::TestRunner::deterministic();
    let mut met = std::collections::BTreeMap::<(Code, bool), u32>::new();
    let (mut bounded, mut flagged, mut warned) = (0, 0, 0);
    for _ in 0..400 {
        let diary = diary().new_tree(&mut runner).unwrap().current();
        let book = book(&diary);
        for _ in 0..5 {
            let candidate = candidate().new_tree(&mut runner).unwrap().current();
            bounded += u32::from(book.remaining(&candidate).at_most.is_some_and(|n| n > 0));
            for reason in book.reasons(&candidate) {
                *met.entry((reason.code, reason.day > candidate.day)).or_default() += 1;
            }
        }
        let flags = book.flagged();
        flagged += flags.flagged.len();
        warned += flags.warned.len();
    }
    use Code::*;
    let on_the_day = [
        ClearDaysAfterCompetition,
        ClearDaysAfterEfforts,
        HeightUnknown,
        MaxEffortsPer28Days,
        MaxEffortsPer7Days,
        MaxEffortsPerDay,
        MaxEffortsPerSession,
        MaxHeightCm,
        MaxJumpingDaysPer7Days,
        MaxSessionsPerDay,
        ReturnRamp7Days,
        ReturnRampSession,
        StandDown,
    ];
    let later = [
        ClearDaysAfterCompetition,
        ClearDaysAfterEfforts,
        MaxEffortsPer28Days,
        MaxEffortsPer7Days,
        MaxJumpingDaysPer7Days,
        ReturnRamp7Days,
    ];
    for key in on_the_day.map(|c| (c, false)).into_iter().chain(later.map(|c| (c, true))) {
        assert!(met.get(&key).is_some_and(|n| *n >= 5), "{key:?} of {met:?}");
    }
    assert!(bounded > 300 && flagged > 80 && warned > 30, "{bounded} {flagged} {warned}");
}
