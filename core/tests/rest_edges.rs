//! Edges that random diaries seldom come to.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use std::num::NonZeroU32;
use stridewright_core::calendar::{Day, Zone};
use stridewright_core::rest::{
    Book, Candidate, Code, Limit, Reason, Rule, Scope, Source, StandDown, StandDownSource, Subject,
};
use stridewright_core::workload::{Attempt, Planned, Session, Status};

fn on(n: i32) -> Day {
    "2026-06-01".parse::<Day>().unwrap().plus(n)
}

/// Ridden on that day of June, counted from 0.
fn ridden(id: u32, n: i32, efforts: u32) -> Session<u32> {
    Session {
        id,
        status: Status::Closed,
        planned: Planned::On(on(n)),
        planned_efforts: efforts,
        planned_height: None,
        planned_pole_passes: 0,
        competition: false,
        show_id: None,
        rider_id: None,
        outing: false,
        attempts: vec![Attempt { at: None, efforts, height: None, pole_passes: 0, superseded: false }],
    }
}

fn at_show(session: Session<u32>) -> Session<u32> {
    Session { competition: true, show_id: Some("spring".to_owned()), ..session }
}

const fn limit(rule: Rule, source: Source) -> Limit<u32> {
    Limit { id: 50, rule, source, hard: false, valid_from: None, valid_to: None, from_height: None }
}

fn stand_down(scope: Scope, from: i32, free: i32) -> StandDown<u32> {
    StandDown {
        id: 60,
        subject: Subject::Horse,
        source: StandDownSource::Farrier,
        scope,
        from_date: on(from),
        free_from_date: Some(on(free)),
        cleared_on: None,
    }
}

fn book(sessions: &[Session<u32>], limits: Vec<Limit<u32>>, stand_downs: Vec<StandDown<u32>>) -> Book<u32> {
    Book::new(sessions, limits, stand_downs, &Zone::new("Europe/Lisbon").unwrap(), on(20))
}

fn codes(reasons: &[Reason<u32>]) -> Vec<Code> {
    reasons.iter().map(|r| r.code).collect()
}

#[test]
fn days_of_one_show_spare_each_other_up_to_five_days_apart() {
    let rest = || limit(Rule::ClearDaysAfterCompetition { clear_days: 9 }, Source::Trainer);
    for (apart, broken) in [(5, 0), (6, 1)] {
        let first = at_show(ridden(1, 0, 10));
        let second = at_show(ridden(2, apart, 10));
        let candidate = |day| Candidate {
            efforts: 10,
            competition: true,
            show_id: Some("spring".to_owned()),
            ..Candidate::on(on(day))
        };
        let after_it = book(std::slice::from_ref(&first), vec![rest()], vec![]);
        assert_eq!(after_it.reasons(&candidate(apart)).len(), broken);
        let before_it = book(std::slice::from_ref(&second), vec![rest()], vec![]);
        assert_eq!(before_it.reasons(&candidate(0)).len(), broken);
        let both = book(&[first, second], vec![rest()], vec![]);
        assert_eq!(both.existing_violations(None).len(), broken);
    }
}

#[test]
fn only_the_first_jumping_day_after_a_stand_down_is_a_return() {
    let ramp = Rule::ReturnRamp { after_gap_days: 28, ramp_days: 3, max_per_session: 5, max_per_7_days: 99 };
    let sessions = [ridden(1, -1, 4), ridden(2, 14, 4), ridden(3, 15, 4)];
    let two_weeks = vec![stand_down(Scope::Riding, 0, 14)];
    let book = book(&sessions, vec![limit(ramp, Source::Trainer)], two_weeks);
    assert_eq!(book.return_days(), [(50, vec![on(14)])]);
    let session = |n| Candidate { efforts: 6, ..Candidate::on(on(n)) };
    assert_eq!(codes(&book.reasons(&session(16))), [Code::ReturnRampSession]);
    assert!(book.reasons(&session(17)).is_empty());
}

#[test]
fn flat_work_is_no_matter_for_a_stand_down_from_poles() {
    let flat = ridden(1, 18, 0);
    let mut poles = ridden(2, 19, 0);
    poles.attempts[0].pole_passes = 3;
    let book = book(&[flat, poles], vec![], vec![stand_down(Scope::JumpingAndPoles, 10, 25)]);
    let broken: Vec<Day> = book.existing_violations(None).iter().map(|r| r.day).collect();
    assert_eq!(broken, [on(19)]);
}

#[test]
fn the_earliest_day_may_be_filled_to_its_ceiling() {
    let day = limit(Rule::MaxEffortsPerDay { value: 20 }, Source::Owner);
    let book = book(&[ridden(1, 20, 8)], vec![day], vec![]);
    let earliest = |efforts| book.earliest(&Candidate { efforts, ..Candidate::on(on(20)) }, 10);
    assert_eq!(
        [earliest(12), earliest(13), earliest(20), earliest(21)],
        [Some(on(20)), Some(on(21)), Some(on(21)), None]
    );
}

#[test]
fn a_later_booking_is_never_made_illegal() {
    let rest =
        limit(Rule::ClearDaysAfterEfforts { min_efforts: NonZeroU32::new(15).unwrap(), clear_days: 2 }, Source::Vet);
    let booked = Session { status: Status::Booked, attempts: vec![], ..ridden(1, 22, 10) };
    let book = book(&[booked], vec![rest], vec![]);
    assert_eq!(book.remaining(&Candidate::on(on(21))).at_most, Some(14));
    let long = Candidate { efforts: 15, ..Candidate::on(on(21)) };
    let reasons = book.reasons(&long);
    assert_eq!((reasons[0].day, reasons[0].figure, reasons[0].limit), (on(22), Some(0), 2));
}
