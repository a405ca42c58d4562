//! Presets, words on the wire, closing, and numbers at the ends of their ranges.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use serde_json::{Value, json};
use std::num::NonZeroU32;
use stridewright_core::calendar::{Day, Zone};
use stridewright_core::rest::{Book, Candidate, Code, Faulty, Limit, Rule, Source, StandDown, Subject, presets};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{Attempt, Closing, Planned, Session, Status, TooFew, close, daily_efforts};

fn today() -> Day {
    "2026-06-01".parse().unwrap()
}

fn zone() -> Zone {
    Zone::new("Europe/Lisbon").unwrap()
}

fn session(efforts: u32, attempts: Vec<Attempt>) -> Session<u32> {
    Session {
        id: 1,
        status: Status::Booked,
        planned: Planned::On(today()),
        planned_efforts: efforts,
        planned_height: Centimetres::new(90).ok(),
        planned_pole_passes: 0,
        competition: false,
        show_id: None,
        rider_id: None,
        outing: false,
        attempts,
    }
}

const fn jumped(efforts: u32) -> Attempt {
    Attempt { at: None, efforts, height: None, pole_passes: 0, superseded: false }
}

const fn limit(rule: Rule, source: Source) -> Limit<u32> {
    Limit { id: 5, rule, source, hard: false, valid_from: None, valid_to: None, from_height: None }
}

#[test]
fn presets_are_the_rows_of_the_reference_vectors() {
    let path = concat!(env!("CARGO_MANIFEST_DIR"), "/tests/vectors/workload_open.json");
    let document: Value = serde_json::from_str(&std::fs::read_to_string(path).unwrap()).unwrap();
    let defaults = document["header"]["defaults"].as_object().unwrap();
    assert_eq!(defaults.len(), 4);
    for (name, rows) in defaults {
        let expected: Vec<Limit<String>> = serde_json::from_value(rows.clone()).unwrap();
        let mut ids = expected.iter().map(|l| l.id.clone());
        let id = || ids.next().unwrap();
        let got = match name.as_str() {
            "young" => presets::young(id),
            "established" => presets::established(id),
            "competing" => presets::competing(id),
            "lesson_pony" => presets::lesson_pony(id),
            _ => vec![],
        };
        assert_eq!(got, expected, "{name}");
        assert!(got.iter().all(|l| l.check().is_ok() && !l.binds()));
    }
}

#[test]
fn codes_are_in_the_order_of_their_words() {
    use Code::*;
    let all = [
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
    assert!(all.windows(2).all(|w| w[0] < w[1] && w[0].as_str() < w[1].as_str()));
    for code in all {
        assert_eq!(serde_json::to_value(code).unwrap(), code.as_str());
    }
}

#[test]
fn a_limit_reads_and_writes_as_one_flat_row() {
    let row = json!({
        "id": 5, "kind": "max_jumping_days_per_7_days", "value": 3, "source": "trainer", "hard": true,
        "valid_from": "2026-06-01", "valid_to": null, "from_height_cm": 50,
    });
    let limit: Limit<u32> = serde_json::from_value(row.clone()).unwrap();
    assert_eq!(serde_json::to_value(limit).unwrap(), row);
    let no_trigger = json!({
        "id": 5, "kind": "clear_days_after_efforts", "min_efforts": 0, "clear_days": 1, "source": "vet", "hard": true,
    });
    assert!(serde_json::from_value::<Limit<u32>>(no_trigger).is_err());
}

#[test]
fn a_default_is_never_hard_and_only_some_kinds_start_at_a_height() {
    let mut row = limit(Rule::MaxEffortsPerDay { value: 9 }, Source::BarnDefault);
    assert_eq!(row.check(), Ok(()));
    row.hard = true;
    assert_eq!(row.check(), Err(Faulty::HardDefault));
    row.source = Source::Trainer;
    row.from_height = Centimetres::new(50).ok();
    assert_eq!(row.check(), Ok(()));
    row.rule = Rule::MaxEffortsPerSession { value: 9 };
    assert_eq!(row.check(), Err(Faulty::StartsAtAHeight));
}

#[test]
fn closing_adds_what_was_not_logged() {
    let session = session(10, vec![jumped(4)]);
    assert_eq!(close(&session, Closing::NotJumped), Ok(None));
    let added = close(&session, Closing::AsPlanned).unwrap().unwrap();
    assert_eq!((added.efforts, added.at, added.height), (6, None, session.planned_height));
    assert_eq!(close(&session, Closing::InAll(7)).unwrap().unwrap().efforts, 3);
    assert_eq!(close(&session, Closing::InAll(4)), Ok(None));
    assert_eq!(close(&session, Closing::InAll(3)), Err(TooFew { logged: 4 }));
}

#[test]
fn a_stand_down_is_named_before_other_rows_that_leave_nothing() {
    let stand_down: StandDown<u32> = serde_json::from_value(json!({
        "id": 8, "subject": "horse", "source": "trainer", "scope": "jumping",
        "from_date": "2026-06-01", "free_from_date": "2026-06-02", "cleared_on": null,
    }))
    .unwrap();
    assert_eq!(stand_down.subject, Subject::Horse);
    let none = limit(Rule::MaxEffortsPerDay { value: 0 }, Source::Owner);
    let book = Book::new(&[], vec![none], vec![stand_down], &zone(), today());
    let ceilings = book.next_14_days();
    assert_eq!(
        (ceilings[0].at_most, ceilings[0].code, ceilings[0].limit_id),
        (Some(0), Some(Code::StandDown), Some(8))
    );
    assert_eq!((ceilings[1].code, ceilings[1].limit_id), (Some(Code::MaxEffortsPerDay), Some(5)));
    assert_eq!(ceilings.len(), 14);
}

#[test]
fn a_flagged_booking_may_leave_a_gap_that_flags_another() {
    let on = |id, n, height| Session {
        id,
        planned: Planned::On(today().plus(n)),
        planned_height: Centimetres::new(height).ok(),
        ..session(15, vec![])
    };
    let ridden = Session { status: Status::Closed, ..on(1, -20, 90) };
    let ridden = Session { attempts: vec![jumped(15)], ..ridden };
    // the second closes the gap before the third, until its height sends it back
    let sessions = [ridden, on(2, 4, 130), on(3, 14, 90)];
    let ramp = Rule::ReturnRamp { after_gap_days: 28, ramp_days: 14, max_per_session: 10, max_per_7_days: 20 };
    let limits = vec![
        limit(ramp, Source::Vet),
        limit(Rule::MaxHeightCm { value: Centimetres::new(100).unwrap() }, Source::Owner),
    ];
    let book = Book::new(&sessions, limits, vec![], &zone(), today());
    let ids = |flags: stridewright_core::rest::Flags<u32>| flags.flagged.into_iter().map(|f| f.id).collect::<Vec<_>>();
    assert_eq!(ids(book.flagged_once()), [2]);
    assert_eq!(ids(book.flagged()), [2, 3]);
    assert!(book.retest(&99).is_none() && book.left_in_session(&99, today()).is_none());
}

#[test]
fn the_series_for_load_figures_leaves_out_what_was_superseded_or_is_still_to_come() {
    let on = |n, attempt| Session { planned: Planned::On(today().plus(n)), ..session(9, vec![attempt]) };
    let replaced = Attempt { superseded: true, ..jumped(8) };
    let sessions = [on(-9, replaced), on(-3, jumped(4)), on(-1, replaced), on(0, jumped(2)), on(2, jumped(7))];
    assert_eq!(daily_efforts(&sessions, &zone(), today()), [4, 0, 0, 2]);
    assert_eq!(daily_efforts(&sessions[..1], &zone(), today()), [0_u32; 0]);
    assert_eq!(daily_efforts(&sessions[4..], &zone(), today()), [0_u32; 0]);
}

#[test]
fn nothing_panics_at_the_ends_of_the_ranges() {
    let far = |text: &str| text.parse::<Day>().unwrap();
    let (first, last) = (far("-009999-01-01"), far("9999-12-31"));
    assert_eq!((last.plus(i32::MAX), first.plus(i32::MIN), Day::from_number(i32::MAX)), (last, first, None));
    let most = u32::MAX;
    let rules = [
        Rule::MaxEffortsPer28Days { value: most },
        Rule::ClearDaysAfterEfforts { min_efforts: NonZeroU32::MAX, clear_days: most },
        Rule::ClearDaysAfterCompetition { clear_days: most },
        Rule::ReturnRamp { after_gap_days: most, ramp_days: most, max_per_session: most, max_per_7_days: most },
        Rule::ReturnRamp { after_gap_days: 0, ramp_days: 0, max_per_session: 0, max_per_7_days: 0 },
    ];
    let sessions: Vec<Session<u32>> = [first, today(), last]
        .into_iter()
        .map(|day| Session { planned: Planned::On(day), ..session(most, vec![jumped(most), jumped(most)]) })
        .collect();
    assert_eq!(daily_efforts(&sessions, &zone(), today()).last(), Some(&most));
    for today in [first, today(), last] {
        let limits = rules.map(|rule| limit(rule, Source::Vet)).to_vec();
        let book = Book::new(&sessions, limits, vec![], &zone(), today);
        for day in [first, today, last] {
            let huge = Candidate { efforts: most, competition: true, ..Candidate::on(day) };
            assert!(!book.reasons(&huge).is_empty());
            let _ = book.earliest(&huge, 400);
        }
        let _ = book.existing_violations(Some(first));
        let _ = book.flagged();
    }
}
