//! Random diaries of a horse about a change of the clocks.
use crate::slow::Diary;
use proptest::collection::vec;
use proptest::option::weighted;
use proptest::prelude::*;
use std::num::NonZeroU32;
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::rest::{Candidate, Limit, Rule, Scope, Source, StandDown, StandDownSource, Subject};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{Attempt, Planned, Session, Status};

pub fn today() -> Day {
    "2026-03-29".parse().unwrap()
}

fn height() -> impl Strategy<Value = Option<Centimetres>> {
    weighted(0.8, prop::sample::select(vec![0, 40, 50, 60, 90, 120]).prop_map(|cm| Centimetres::new(cm).unwrap()))
}

fn show() -> impl Strategy<Value = (bool, Option<String>)> {
    prop_oneof![
        5 => Just((false, None)),
        1 => Just((false, Some("A".to_owned()))),
        1 => Just((true, None)),
        3 => Just((true, Some("A".to_owned()))),
        1 => Just((true, Some("B".to_owned()))),
    ]
}

fn status() -> impl Strategy<Value = Status> {
    use Status::{Booked, Cancelled, Closed, Declined, Open, Requested, Unresolved};
    prop_oneof![
        4 => Just(Booked), 4 => Just(Closed), 1 => Just(Open), 1 => Just(Unresolved),
        1 => Just(Requested), 1 => Just(Declined), 1 => Just(Cancelled),
    ]
}

fn attempt(start: Instant) -> impl Strategy<Value = Attempt> {
    let at = weighted(0.8, 0..90_i64).prop_map(move |minutes| minutes.map(|m| start.plus_seconds(m * 60)));
    (at, 0..14_u32, height(), weighted(0.3, 1..4_u32), prop::bool::weighted(0.1)).prop_map(
        |(at, efforts, height, poles, superseded)| Attempt {
            at,
            efforts,
            height,
            pole_passes: poles.unwrap_or(0),
            superseded,
        },
    )
}

fn session(id: u32) -> impl Strategy<Value = Session<u32>> {
    // a quarter to midnight is one of the hours
    let when = (-45..30_i32, prop::sample::select(vec![8, 14, 18, 23]), prop::bool::weighted(0.1));
    let plan = (0..26_u32, height(), weighted(0.2, 1..4_u32));
    let who = (show(), weighted(0.6, 1..3_u32), prop::bool::weighted(0.1));
    (when, status(), plan, who).prop_flat_map(move |((offset, hour, by_date), status, plan, who)| {
        let day = today().plus(offset);
        let start: Instant = format!("{day}T{hour:02}:45:00Z").parse().unwrap();
        let most = if status == Status::Booked { 1 } else { 4 };
        vec(attempt(start), 0..most).prop_map(move |attempts| Session {
            id,
            status,
            planned: if by_date { Planned::On(day) } else { Planned::At(start) },
            planned_efforts: plan.0,
            planned_height: plan.1,
            planned_pole_passes: plan.2.unwrap_or(0),
            competition: who.0.0,
            show_id: who.0.1.clone(),
            rider_id: who.1,
            outing: who.2,
            attempts,
        })
    })
}

fn rule() -> impl Strategy<Value = Rule> {
    prop_oneof![
        (5..30_u32).prop_map(|value| Rule::MaxEffortsPerSession { value }),
        (0..3_u32).prop_map(|value| Rule::MaxSessionsPerDay { value }),
        (5..40_u32).prop_map(|value| Rule::MaxEffortsPerDay { value }),
        (10..70_u32).prop_map(|value| Rule::MaxEffortsPer7Days { value }),
        (20..160_u32).prop_map(|value| Rule::MaxEffortsPer28Days { value }),
        (1..5_u32).prop_map(|value| Rule::MaxJumpingDaysPer7Days { value }),
        (40..130_u16).prop_map(|cm| Rule::MaxHeightCm { value: Centimetres::new(cm).unwrap() }),
        (1..25_u32, 0..5_u32).prop_map(|(efforts, clear_days)| Rule::ClearDaysAfterEfforts {
            min_efforts: NonZeroU32::new(efforts).unwrap(),
            clear_days,
        }),
        (0..8_u32).prop_map(|clear_days| Rule::ClearDaysAfterCompetition { clear_days }),
        (2..29_u32, 0..20_u32, 5..20_u32, 5..40_u32).prop_map(
            |(after_gap_days, ramp_days, max_per_session, max_per_7_days)| Rule::ReturnRamp {
                after_gap_days,
                ramp_days,
                max_per_session,
                max_per_7_days,
            }
        ),
    ]
}

fn limit(id: u32) -> impl Strategy<Value = Limit<u32>> {
    let source = prop::sample::select(vec![Source::BarnDefault, Source::Trainer, Source::Owner, Source::Vet]);
    let validity = (weighted(0.15, -20..30_i32), weighted(0.15, -20..30_i32));
    let from =
        weighted(0.25, prop::sample::select(vec![50, 90])).prop_map(|cm| cm.map(|cm| Centimetres::new(cm).unwrap()));
    (rule(), source, any::<bool>(), validity, from).prop_map(move |(rule, source, hard, (first, last), from)| Limit {
        id,
        rule,
        source,
        hard: hard && source != Source::BarnDefault,
        valid_from: first.map(|n| today().plus(n)),
        valid_to: last.map(|n| today().plus(n)),
        from_height: from.filter(|_| rule.may_start_at_a_height()),
    })
}

fn stand_down(id: u32) -> impl Strategy<Value = StandDown<u32>> {
    use StandDownSource::{Farrier, Rule, Trainer, Vet};
    let subject = prop_oneof![3 => Just(Subject::Horse), 1 => (1..3_u32).prop_map(Subject::Rider)];
    let source = prop::sample::select(vec![Farrier, Rule, Trainer, Vet]);
    let scope = prop::sample::select(vec![Scope::Jumping, Scope::JumpingAndPoles, Scope::Riding]);
    (subject, source, scope, -40..20_i32, weighted(0.9, 0..22_i32), weighted(0.7, 0..22_i32)).prop_map(
        move |(subject, source, scope, from, free, cleared)| StandDown {
            id,
            subject,
            source,
            scope,
            from_date: today().plus(from),
            free_from_date: free.map(|n| today().plus(from + n)),
            cleared_on: cleared.map(|n| today().plus(from + n)),
        },
    )
}

/// A list of things that know their own number.
fn numbered<S: Strategy + 'static>(of: fn(u32) -> S, first: u32, most: usize) -> impl Strategy<Value = Vec<S::Value>> {
    (0..=most).prop_flat_map(move |n| (first..).take(n).map(of).collect::<Vec<_>>())
}

pub fn diary() -> impl Strategy<Value = Diary> {
    (numbered(session, 0, 14), numbered(limit, 100, 5), numbered(stand_down, 200, 2)).prop_map(
        |(sessions, limits, stand_downs)| Diary {
            sessions,
            limits,
            stand_downs,
            zone: Zone::new("Europe/Lisbon").unwrap(),
        },
    )
}

pub fn candidate() -> impl Strategy<Value = Candidate<u32>> {
    let plan = (prop_oneof![1 => Just(0), 6 => 1..40_u32], height(), weighted(0.3, 1..4_u32));
    (-10..25_i32, plan, show(), weighted(0.5, 1..3_u32), prop::bool::weighted(0.1)).prop_map(
        |(offset, (efforts, height, poles), (competition, show_id), rider_id, outing)| Candidate {
            day: today().plus(offset),
            efforts,
            height,
            competition,
            show_id,
            rider_id,
            pole_passes: poles.unwrap_or(0),
            outing,
        },
    )
}
