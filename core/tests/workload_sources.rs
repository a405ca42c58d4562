//! Workload and rest against published figures and rule books; the source stands beside each check.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "test code")]

use std::num::NonZeroU32;
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::rest::{
    Book, Candidate, Limit, Rule, Scope, Source, StandDown, StandDownSource, Subject, presets,
};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::Outcome::{self, Jumped, Pole, Rail, Refusal, RunOut};
use stridewright_core::workload::{Attempt, Planned, Session, Status, efforts, load, monotony};

fn day(text: &str) -> Day {
    text.parse().unwrap()
}

fn zone(name: &str) -> Zone {
    Zone::new(name).unwrap()
}

fn near(got: Option<f64>, expected: f64, within: f64) {
    assert!(got.is_some_and(|g| (g - expected).abs() <= within), "{got:?} for {expected}");
}

fn ridden(id: u32, on: &str, efforts: u32, competition: bool) -> Session<u32> {
    Session {
        id,
        status: Status::Closed,
        planned: Planned::On(day(on)),
        planned_efforts: efforts,
        planned_height: None,
        planned_pole_passes: 0,
        competition,
        show_id: None,
        rider_id: None,
        outing: false,
        attempts: vec![Attempt { at: None, efforts, height: None, pole_passes: 0, superseded: false }],
    }
}

fn row(rule: Rule) -> Limit<u32> {
    Limit { id: 1, rule, source: Source::Vet, hard: true, valid_from: None, valid_to: None, from_height: None }
}

fn book(sessions: &[Session<u32>], limits: Vec<Limit<u32>>, stand_downs: Vec<StandDown<u32>>) -> Book<u32> {
    Book::new(sessions, limits, stand_downs, &zone("Europe/London"), day("2026-06-01"))
}

/// The first day for ten efforts after these days of rest that follow a ride on 1 June.
fn first_start_after(clear_days: u32) -> Option<String> {
    let rested = row(Rule::ClearDaysAfterCompetition { clear_days });
    let book = book(&[ridden(1, "2026-06-01", 15, true)], vec![rested], vec![]);
    book.earliest(&Candidate { efforts: 10, ..Candidate::on(day("2026-06-01").plus(1)) }, 60).map(|d| d.to_string())
}

// Williams, West, Cross and Stokes, "Better way to determine the acute:chronic workload ratio?", British
// Journal of Sports Medicine, 2017: today's load times 2/(N+1), plus the rest of yesterday's mean.
#[test]
fn the_acute_mean_decays_by_a_quarter_a_day() {
    let decay = [100.0, 75.0, 56.25, 42.1875, 31.640_625, 23.730_468_75, 17.797_851_562_5];
    for (rest_days, expected) in decay.into_iter().enumerate() {
        let mut series = vec![100];
        series.resize(1 + rest_days, 0);
        near(load(&series).acute_ewma, expected, 1e-12);
    }
}

#[test]
fn the_chronic_mean_decays_by_two_parts_in_twenty_nine() {
    near(load(&[100, 0]).chronic_ewma, 100.0 * (1.0 - 0.068_965_517_241_379_3), 1e-9);
}

#[test]
fn a_step_to_double_load_gives_the_ratios_of_the_published_formula() {
    for (on_day, ratio) in [(29, 1.169_355), (30, 1.268_560), (32, 1.348_370), (35, 1.339_350)] {
        let mut series = vec![100; 28];
        series.resize(on_day, 200);
        near(load(&series).ewma_ratio_coupled, ratio, 5e-7);
    }
    let mut series = vec![100; 28];
    series.push(200);
    near(load(&series).acute_ewma, 125.0, 1e-12);
    near(load(&series).chronic_ewma, 106.896_552, 5e-7);
}

// Windt and Gabbett, "Is it all for naught? What does mathematical coupling mean for acute:chronic workload
// ratios?", British Journal of Sports Medicine 53, 2019: the week is in the four weeks, or is not.
#[test]
fn a_doubled_week_is_one_point_six_coupled_and_two_uncoupled() {
    let series: Vec<u32> = [100; 21].into_iter().chain([200; 7]).collect();
    near(load(&series).ratio_coupled, 1.6, 1e-12);
    near(load(&series).ratio_uncoupled, 2.0, 1e-12);
}

#[test]
fn coupled_and_uncoupled_are_linked_and_coupled_never_exceeds_four() {
    for week in 0..200_u32 {
        for before in 0..40_u32 {
            let series: Vec<u32> = (0..28)
                .map(|d| {
                    if d % 7 != 0 {
                        0
                    } else if d == 21 {
                        week
                    } else {
                        before
                    }
                })
                .collect();
            let figures = load(&series);
            if let Some(u) = figures.ratio_uncoupled {
                near(figures.ratio_coupled, 4.0 * u / (u + 3.0), 1e-12);
            }
            assert!(figures.ratio_coupled.is_none_or(|c| (0.0..=4.0).contains(&c)));
        }
    }
    for (u, c) in [(1.5_f64, 1.3333), (2.0, 1.6), (1.8, 1.5), (1.4444, 1.3)] {
        near(Some(4.0 * u / (u + 3.0)), c, 5e-5);
    }
}

#[test]
fn weeks_of_three_four_four_and_five() {
    let mut series = vec![0; 28];
    for (week, sum) in [3, 4, 4, 5].into_iter().enumerate() {
        series[7 * week] = sum;
    }
    near(load(&series).ratio_coupled, 1.25, 1e-12);
    near(load(&series).ratio_uncoupled, 1.364, 5e-4);
}

// Foster, "Monitoring training in athletes with reference to overtraining syndrome", Medicine & Science in
// Sports & Exercise 30, 1998: mean over standard deviation, and strain = week times monotony.
#[test]
fn monotony_and_strain_of_a_worked_week() {
    let week = monotony(&[300, 0, 400, 200, 0, 500, 0]);
    near(week.monotony, 200.0 / 208.167, 1e-5);
    near(week.monotony, 0.9608, 5e-5);
    near(week.strain, 1345.08, 5e-3);
}

#[test]
fn monotony_of_equal_days_is_not_defined() {
    assert_eq!(monotony(&[10; 7]), monotony(&[]));
    assert_eq!((monotony(&[3]).monotony, monotony(&[10; 7]).strain), (None, None));
}

// Endurance GB, "Rest periods", and FEI Endurance Rules, 9th edition, 2014, art. 815.3: the clock runs from the
// midnight that ends the ride's day to the midnight before the next start.
#[test]
fn clear_days_run_from_midnight_to_midnight() {
    assert_eq!(first_start_after(12).as_deref(), Some("2026-06-14"));
    for (clear, first) in [(5, "2026-06-07"), (19, "2026-06-21"), (26, "2026-06-28"), (33, "2026-07-05")] {
        assert_eq!(first_start_after(clear).as_deref(), Some(first));
    }
}

fn rider_stands_down(days: i32, cleared: Option<&str>) -> Book<u32> {
    let from = day("2026-06-01");
    let concussion = StandDown {
        id: 9,
        subject: Subject::Rider(7),
        source: StandDownSource::Rule,
        scope: Scope::Riding,
        from_date: from,
        free_from_date: Some(from.plus(days)),
        cleared_on: cleared.map(day),
    };
    book(&[], vec![], vec![concussion])
}

// USEF Rule Book, EV113.2, 2011: 7 or 21 days, of which the day of injury is the first.
#[test]
fn the_day_of_injury_is_the_first_of_a_stand_down() {
    let lesson = Candidate { efforts: 5, rider_id: Some(7), ..Candidate::on(day("2026-06-01")) };
    for (days, free) in [(21, "2026-06-22"), (7, "2026-06-08")] {
        let book = rider_stands_down(days, Some("2026-06-05"));
        assert_eq!(book.earliest(&lesson, 60), Some(day(free)));
        let other_rider = Candidate { rider_id: Some(8), ..lesson.clone() };
        assert_eq!(book.earliest(&other_rider, 60), Some(day("2026-06-01")));
    }
}

// Eventing Ireland, "Concussion guidelines": 21 days, and back only when a doctor has cleared the rider.
#[test]
fn a_rider_who_is_not_cleared_does_not_come_back() {
    let lesson = Candidate { efforts: 5, rider_id: Some(7), ..Candidate::on(day("2026-06-01")) };
    assert_eq!(rider_stands_down(21, None).earliest(&lesson, 400), None);
    assert_eq!(rider_stands_down(21, Some("2026-07-01")).earliest(&lesson, 400), Some(day("2026-07-01")));
}

// FEI Rules for Pony Riders, 2006, art. 3116: 10 to 12 obstacles and at most 15 efforts, with a double and a
// treble, or three doubles.
#[test]
fn the_largest_championship_course_has_fifteen_efforts() {
    let course = |elements: &[usize]| efforts(elements.iter().flat_map(|n| vec![Jumped; *n]));
    assert_eq!(course(&[1, 1, 1, 2, 1, 1, 1, 3, 1, 1, 1, 1]), 15);
    assert_eq!(course(&[1, 2, 1, 1, 2, 1, 1, 1, 2, 1, 1, 1]), 15);
}

// As before: each element of a combination is an effort, though the combination is one obstacle.
#[test]
fn a_treble_cleared_is_three_efforts_and_a_double_two() {
    assert_eq!(efforts([Jumped, Jumped, Jumped]), 3);
    assert_eq!(efforts([Jumped, Jumped]), 2);
}

// USEF Rule Book, EV154: the elements of a combination are penalised each by itself, and all are jumped again
// after a refusal inside it. A rail down was jumped; a fence refused was not.
#[test]
fn a_combination_jumped_again_counts_again() {
    assert_eq!(efforts([Rail, Rail, Rail]), 3);
    let refused_at_c: [Outcome; 3] = [Jumped, Jumped, Refusal];
    assert_eq!(efforts(refused_at_c.into_iter().chain([Jumped, Jumped, Jumped])), 5);
    assert_eq!(efforts([RunOut, Refusal, Pole, Pole]), 0);
}

// Danish sport-pony championship, general conditions: a pony starts at most twice a day.
#[test]
fn a_third_start_of_the_day_is_one_too_many() {
    let twice = || row(Rule::MaxSessionsPerDay { value: 2 });
    let start = Candidate { efforts: 12, competition: true, ..Candidate::on(day("2026-06-01")) };
    let one = ridden(1, "2026-06-01", 12, true);
    let two = ridden(2, "2026-06-01", 12, true);
    assert!(book(std::slice::from_ref(&one), vec![twice()], vec![]).decision(&start).allowed);
    let third = book(&[one, two], vec![twice()], vec![]).decision(&start);
    assert_eq!((third.allowed, third.reasons[0].figure), (false, Some(3)));
}

// Swedish competition rules, TR III, moment 373: four-year-olds jump up to 1.00 m.
#[test]
fn the_young_horses_preset_stops_at_a_metre() {
    let mut next = 0..;
    let book = book(&[], presets::young(|| next.next().unwrap()), vec![]);
    let at =
        |cm| Candidate { efforts: 5, height: Some(Centimetres::new(cm).unwrap()), ..Candidate::on(day("2026-06-01")) };
    assert!(book.decision(&at(100)).allowed);
    assert!(!book.decision(&at(101)).allowed);
}

// Chatel et al., Comparative Exercise Physiology, 2021: up to 15 jumps of warm-up; with the 15 efforts of the
// largest course above, 30 in a session.
#[test]
fn a_full_warm_up_and_a_full_round_just_fit_a_session_of_the_established_horse() {
    let mut next = 0..;
    let book = book(&[], presets::established(|| next.next().unwrap()), vec![]);
    assert_eq!(book.remaining(&Candidate::on(day("2026-06-01"))).at_most, Some(15 + 15));
}

// Common practice, no source: a young horse does not jump two days running.
#[test]
fn a_young_horse_does_not_jump_two_days_running() {
    let rule = Rule::ClearDaysAfterEfforts { min_efforts: NonZeroU32::MIN, clear_days: 1 };
    let book = book(&[ridden(1, "2026-06-01", 1, false)], vec![row(rule)], vec![]);
    let next = |n| Candidate { efforts: 1, ..Candidate::on(day("2026-06-01").plus(n)) };
    assert_eq!(book.reasons(&next(1)).len(), 1);
    assert!(book.reasons(&next(2)).is_empty());
}

// IANA Time Zone Database: days when clocks change, a zone that changes by half an hour, one that never does, and
// the date that Samoa left out.
#[test]
fn days_last_as_long_as_the_zone_says() {
    for (name, date, hours) in [
        ("Europe/London", "2026-03-29", 23.0),
        ("Europe/London", "2026-10-25", 25.0),
        ("America/New_York", "2026-03-08", 23.0),
        ("America/Sao_Paulo", "2018-11-04", 23.0),
        ("Australia/Lord_Howe", "2026-04-05", 24.5),
        ("Australia/Lord_Howe", "2026-10-04", 23.5),
        ("Asia/Kathmandu", "2026-06-01", 24.0),
        ("Pacific/Apia", "2011-12-30", 0.0),
    ] {
        assert_eq!(day(date).seconds(&zone(name)), (hours * 3600.0) as i64, "{name} {date}");
    }
}

// IANA Time Zone Database, as before.
#[test]
fn a_jump_belongs_to_the_date_at_the_barn() {
    for (at, name, date) in [
        ("2026-06-01T22:59:59Z", "Europe/London", "2026-06-01"),
        ("2026-06-01T23:00:00Z", "Europe/London", "2026-06-02"),
        ("2026-06-02T03:59:59Z", "America/New_York", "2026-06-01"),
        ("2026-06-01T18:15:00Z", "Asia/Kathmandu", "2026-06-02"),
        ("2011-12-30T10:00:00Z", "Pacific/Apia", "2011-12-31"),
    ] {
        assert_eq!(at.parse::<Instant>().unwrap().day(&zone(name)), day(date), "{at} {name}");
    }
}
