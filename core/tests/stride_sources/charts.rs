//! Distance charts and stride tables.
use super::{close, feet, fences, metres, rides_in, set_for};
use stridewright_core::stride::{HUMAN_STEP, Mover, Profile, guessed_stride, steps_on_foot};
use stridewright_core::units::{Hands, Metres};

/// Every cell both ways: the distance set for a count, and the count in which that distance rides.
fn assert_chart(strides: &[f64], rows: &[(u32, &[f64])]) {
    for (n, row) in rows {
        assert_eq!(row.len(), strides.len());
        for (stride, printed) in strides.iter().zip(*row) {
            let stride = feet(*stride);
            close(set_for(*n, stride), feet(*printed).get(), 1e-9);
            assert_eq!(rides_in(&fences(feet(*printed)), stride), *n, "{printed} ft");
        }
    }
}

/// US Equestrian, distance charts, horses: feet for 3 to 8 strides by design stride. The copy at hand prints 108 ft in
/// the row of seven as 1086'.
#[test]
fn us_equestrian_chart_for_horses() {
    assert_chart(
        &[12.0, 12.25, 12.5, 12.75, 13.0, 13.25, 13.5, 13.75],
        &[
            (3, &[48.0, 49.0, 50.0, 51.0, 52.0, 53.0, 54.0, 55.0]),
            (4, &[60.0, 61.25, 62.5, 63.75, 65.0, 66.25, 67.5, 68.75]),
            (5, &[72.0, 73.5, 75.0, 76.5, 78.0, 79.5, 81.0, 82.5]),
            (6, &[84.0, 85.75, 87.5, 89.25, 91.0, 92.75, 94.5, 96.25]),
            (7, &[96.0, 98.0, 100.0, 102.0, 104.0, 106.0, 108.0, 110.0]),
            (8, &[108.0, 110.25, 112.5, 114.75, 117.0, 119.25, 121.5, 123.75]),
        ],
    );
}

/// US Equestrian, distance charts, ponies: small at 9'9" to 10'3", medium at 10'3" to 10'9", large at 11' to 11'9".
#[test]
fn us_equestrian_chart_for_ponies() {
    assert_chart(
        &[9.75, 10.0, 10.25, 10.25, 10.5, 10.75, 11.0, 11.25, 11.5, 11.75],
        &[
            (3, &[39.0, 40.0, 41.0, 41.0, 42.0, 43.0, 44.0, 45.0, 46.0, 47.0]),
            (4, &[48.75, 50.0, 51.25, 51.25, 52.5, 53.75, 55.0, 56.25, 57.5, 58.75]),
            (5, &[58.5, 60.0, 61.5, 61.5, 63.0, 64.5, 66.0, 67.5, 69.0, 70.5]),
            (6, &[68.25, 70.0, 71.75, 71.75, 73.5, 75.25, 77.0, 78.75, 80.5, 82.25]),
            (7, &[78.0, 80.0, 82.0, 82.0, 84.0, 86.0, 88.0, 90.0, 92.0, 94.0]),
            (8, &[87.75, 90.0, 92.25, 92.25, 94.5, 96.75, 99.0, 101.25, 103.5, 105.75]),
        ],
    );
}

/// US Equestrian, distance charts: the normal pace of each size; horses 12 ft
/// in "How to rock the course walk" (*Jump Course Design Manual*, excerpt 2016).
#[test]
fn design_strides_of_the_profiles() {
    for (profile, printed) in
        [(Profile::Horse, 12.0), (Profile::SmallPony, 10.0), (Profile::MediumPony, 10.5), (Profile::LargePony, 11.25)]
    {
        close(profile.design_stride().get(), feet(printed).get(), 1e-9);
    }
    // the sample cells 60 ft, 63 ft and 67 ft 6 in for five strides
    for (profile, five) in [(Profile::SmallPony, 60.0), (Profile::MediumPony, 63.0), (Profile::LargePony, 67.5)] {
        close(set_for(5, profile.design_stride()), feet(five).get(), 1e-9);
    }
}

/// Eventing farm's page on distances, August 2015: bounce to six strides at 12 ft, in feet and in metres.
#[test]
fn simple_table_for_horses() {
    let table = [(12.0, 3.66), (24.0, 7.32), (36.0, 10.97), (48.0, 14.63), (60.0, 18.29), (72.0, 21.95), (84.0, 25.60)];
    for (n, (in_feet, in_metres)) in (0..).zip(table) {
        let set = set_for(n, Profile::Horse.design_stride());
        close(set, feet(in_feet).get(), 1e-9);
        close(set, in_metres, 0.005);
        assert_eq!(rides_in(&fences(feet(in_feet)), Profile::Horse.design_stride()), n);
    }
}

/// "What distance between poles on the ground according to pace", a question-and-answer page: horses 3.50 m, the
/// distance 3.5 x (n + 1).
#[test]
fn metric_table_for_horses() {
    for (n, printed) in (1..).zip([7.0, 10.5, 14.0, 17.5, 21.0, 24.5]) {
        close(set_for(n, metres(3.5)), printed, 1e-9);
        assert_eq!(rides_in(&fences(metres(printed)), metres(3.5)), n);
    }
}

/// The same page, strides by French height class: B 2.90 m, C 3.10 m, D 3.30 m, horses 3.50 m. They lie between what is
/// guessed for a short mover and for a usual one of the size.
#[test]
fn french_strides_lie_between_short_and_usual_movers() {
    for (profile, printed) in
        [(Profile::SmallPony, 2.90), (Profile::MediumPony, 3.10), (Profile::LargePony, 3.30), (Profile::Horse, 3.50)]
    {
        let guess = |mover| guessed_stride(profile.design_stride(), mover).unwrap().stride.get();
        assert!(guess(Mover::Short) <= printed && printed <= guess(Mover::Usual), "{profile:?} {printed}");
        // five strides of the French design stride still ride in five for the usual one of the size
        assert_eq!(rides_in(&fences(metres(6.0 * printed)), profile.design_stride()), 5);
    }
}

/// A New Zealand pony club's page on show hunter: design strides 10, 10.5, 11 and 12 ft, printed as 3.05, 3.20, 3.35 and
/// 3.65 m.
#[test]
fn new_zealand_show_hunter_strides() {
    for (text, printed, five) in
        [("10 ft", 3.05, 60.0), ("10'6\"", 3.20, 63.0), ("11 ft", 3.35, 66.0), ("12 ft", 3.65, 72.0)]
    {
        let stride: Metres = text.parse().unwrap();
        close(stride.get(), printed, 0.008);
        close(set_for(5, stride), feet(five).get(), 1e-9);
    }
}

/// "Your Horse", June 2018, and the *Jump Course Design Manual* (excerpt 2016): steps of 3 ft, 8 for one stride, 12, 16,
/// 20, 24 for five.
#[test]
fn steps_on_foot_for_one_to_five_strides() {
    for (n, steps) in (1..).zip([8, 12, 16, 20, 24]) {
        let walked = steps_on_foot(metres(set_for(n, Profile::Horse.design_stride())), HUMAN_STEP).unwrap();
        assert_eq!(walked.whole, steps);
        close(walked.left_over.get(), 0.0, 1e-9);
    }
}

/// AQHA rule book 2015, rule 89(b), hunter hack: two fences 14.5 m or 18 m apart, never under 11 m.
#[test]
fn hunter_hack_lines() {
    for (printed, n) in [(14.5, 3), (18.0, 4), (11.0, 2)] {
        assert_eq!(rides_in(&fences(metres(printed)), Profile::Horse.design_stride()), n);
    }
}

/// A rider forum's summary of German practice: ranges in metres for one to six strides.
#[test]
fn german_ranges() {
    for (n, (least, most)) in
        (1..).zip([(7.5, 7.5), (10.0, 11.0), (14.0, 15.0), (17.5, 18.5), (21.0, 22.0), (24.5, 25.5)])
    {
        for printed in [least, most] {
            assert_eq!(rides_in(&fences(metres(printed)), Profile::Horse.design_stride()), n, "{printed} m");
        }
    }
}

/// "Distances for jumping exercises", a riding club's handout for horses of 15.2 hands and over, canter approach.
#[test]
fn riding_club_ranges() {
    for (n, (least, most)) in (1..).zip([(21.0, 24.5), (33.0, 36.0), (45.0, 48.0), (57.0, 60.0), (66.0, 72.0)]) {
        for printed in [least, most] {
            assert_eq!(rides_in(&fences(feet(printed)), Profile::Horse.design_stride()), n, "{printed} ft");
        }
    }
}

/// "Qualified green pony hunter sizes", 2023: small to 12.2, medium to 13.2, large to 14.2 hands. A hand is 4 in of
/// 2.54 cm: 127.0, 137.2 and 147.3 cm.
#[test]
fn pony_sizes_in_hands() {
    for (text, inches, centimetres) in [("12.2 hh", 50, 127.0), ("13.2 hh", 54, 137.2), ("14.2 hh", 58, 147.3)] {
        let height: Hands = text.parse().unwrap();
        assert_eq!(height.inches(), inches);
        close(100.0 * height.metres().get(), centimetres, 0.05);
    }
}
