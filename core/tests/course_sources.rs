//! Courses against published figures.
#![allow(clippy::unwrap_used, clippy::float_cmp, reason = "test code, and whole numbers")]

use stridewright_core::course::{CourseFinding, CourseJump, CourseTerms, RuleSet, time_allowed, time_limit, walk};
use stridewright_core::stride::{HorseStride, Profile};
use stridewright_core::track::{PlacedFence, Point, TrackRules};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres, MetresPerMinute, Seconds};

fn allowed(length: f64, speed: f64) -> f64 {
    time_allowed(Metres::new(length).unwrap(), MetresPerMinute::new(speed).unwrap()).unwrap().get()
}

#[test]
fn time_is_length_by_speed_rounded_up() {
    // Lyleland Barn, "What is the time allowed in show jumping?": 450 m at 375 m/min, and 500 m at 350
    assert_eq!((allowed(450.0, 375.0), allowed(500.0, 350.0)), (72.0, 86.0));
    // FLSE § 518.2: a second that has begun counts (89.14 s)
    assert_eq!(allowed(520.0, 350.0), 90.0);
    // an event site citing FEI: 600 m at 375 m/min
    assert_eq!(allowed(600.0, 375.0), 96.0);
    // Tack 'n Tails 2015 prints 3:49 for 2,300 m at 600 m/min, which are 230 s
    assert_eq!(allowed(2_300.0, 600.0), 230.0);
    // FLSE driving rules, article 933.3: the limit is twice the time allowed
    assert_eq!(time_limit(Seconds::new(72.0).unwrap()).get(), 144.0);
    // FEI long format, Swedish encyclopaedia: 5,700 to 6,270 m at 570 m/min are 10 to 11 minutes
    assert_eq!((allowed(5_700.0, 570.0), allowed(6_270.0, 570.0)), (600.0, 660.0));
    assert!(time_allowed(Metres::new(450.0).unwrap(), MetresPerMinute::new(0.0).unwrap()).is_none());
}

#[test]
fn time_over_counts_by_the_rule_book() {
    // Equestrian Australia, National Jumping Rules 2022 (5.7); Swedish federation, older style
    let penalties = |rules: RuleSet, over: f64| rules.penalties(Seconds::new(over).unwrap());
    assert_eq!([0.0, 0.01, 1.0, 3.5].map(|over| penalties(RuleSet::International, over)), [0, 1, 1, 4]);
    assert_eq!([0.0, 3.5, 4.0, 4.01].map(|over| penalties(RuleSet::Luxembourg1999, over)), [0, 1, 1, 2]);
}

#[test]
fn a_course_has_at_most_sixty_metres_an_obstacle() {
    // KNHS article 204.5, FLSE § 504.2
    assert_eq!([10, 12].map(|n| RuleSet::International.longest(n).get()), [600.0, 720.0]);
}

/// Fences in a row along x, jumped that way: where each stands, and whether it belongs to the one before.
fn in_a_row(places: &[(f64, bool)]) -> Vec<CourseJump> {
    let fence = |x: f64| PlacedFence {
        centre: Point { x: Coordinate::new(x).unwrap(), y: Coordinate::new(10.0).unwrap() },
        heading: Degrees::new(0.0).unwrap(),
        height: Centimetres::new(100).unwrap(),
        spread: Metres::MIN,
        width: Metres::new(3.5).unwrap(),
    };
    places.iter().map(|(x, same)| CourseJump { jump: fence(*x).square(), same_obstacle: *same }).collect()
}

fn terms(rules: RuleSet, start: f64, finish: f64) -> CourseTerms {
    CourseTerms {
        rules,
        speed: MetresPerMinute::new(350.0).unwrap(),
        start: Metres::new(start).unwrap(),
        finish: Metres::new(finish).unwrap(),
        turn_radius: Metres::new(9.0).unwrap(),
    }
}

fn found(places: &[(f64, bool)], terms: &CourseTerms) -> Vec<CourseFinding> {
    let horse = HorseStride::unmeasured(Profile::Horse).unwrap();
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    walk(&in_a_row(places), &horse, terms, &rules).unwrap().findings
}

#[test]
fn a_combination_is_7_to_12_metres_or_by_other_books_from_6_and_a_half() {
    // Italian federation, mirroring FEI article 212; FLSE § 508 (1999)
    let gap = |rules: RuleSet, gap: f64| found(&[(10.0, false), (10.0 + gap, true)], &terms(rules, 10.0, 15.0));
    for (rules, within, without) in
        [(RuleSet::International, [7.0, 12.0], [6.99, 12.01]), (RuleSet::Luxembourg1999, [6.5, 12.0], [6.49, 12.01])]
    {
        assert_eq!(within.map(|metres| gap(rules, metres)), [vec![], vec![]]);
        assert_eq!(without.map(|metres| gap(rules, metres)), [0, 0].map(|i| vec![CourseFinding::CombinationGap(i)]));
    }
    // and two obstacles stand further apart than that
    let apart = |gap: f64| found(&[(10.0, false), (10.0 + gap, false)], &terms(RuleSet::International, 10.0, 15.0));
    assert_eq!((apart(12.0), apart(12.01)), (vec![CourseFinding::NearAsCombination(0)], vec![]));
}

#[test]
fn start_and_finish_lie_where_the_book_wants_them() {
    // Russian rules 2011, 3.3, and KNHS article 204.6: 6 to 15 m; FLSE § 505: 6 to 25 m and 15 to 25 m
    let lines = |rules: RuleSet, start: f64, finish: f64| found(&[(30.0, false)], &terms(rules, start, finish));
    assert_eq!(lines(RuleSet::International, 6.0, 15.0), vec![]);
    let both = vec![CourseFinding::StartLine, CourseFinding::FinishLine];
    assert_eq!(lines(RuleSet::International, 5.9, 15.1), both);
    assert_eq!(lines(RuleSet::Luxembourg1999, 25.0, 15.0), vec![]);
    assert_eq!(lines(RuleSet::Luxembourg1999, 25.1, 14.9), both);
}

#[test]
fn a_treble_is_one_obstacle_and_three_efforts() {
    // FEI pony rules 2006, article 3116 (Czech text): each element counts as an effort
    let horse = HorseStride::unmeasured(Profile::Horse).unwrap();
    let rules = TrackRules::usual(Profile::Horse.design_stride());
    let terms = terms(RuleSet::International, 12.0, 12.0);
    let treble = in_a_row(&[(20.0, false), (27.6, true), (38.5, true), (60.0, false)]);
    let course = walk(&treble, &horse, &terms, &rules).unwrap();
    assert_eq!((course.obstacles, course.efforts), (2, 4));
    // one stride, two, and five to the next fence; 12 + 40 + 12 m
    let counts: Vec<u32> = course.legs.iter().map(|leg| leg.natural.unwrap().n).collect();
    assert_eq!((counts, course.length.unwrap().get()), (vec![1, 2, 5], 64.0));
    assert_eq!((course.time_allowed.unwrap().get(), course.time_limit.unwrap().get()), (11.0, 22.0));
    assert!(course.legs.iter().all(|leg| leg.related) && course.findings.is_empty());
    let backwards = walk(&treble[1..], &horse, &terms, &rules).unwrap_err();
    assert_eq!((backwards.field(), walk(&[], &horse, &terms, &rules).unwrap_err().field()), ("jumps", "jumps"));
}
