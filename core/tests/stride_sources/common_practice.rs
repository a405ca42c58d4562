//! Figures that trainers state and nobody has published: common practice, no source. And plain arithmetic on them.
use super::{close, feet, fences, metres, poles, rides_in};
use stridewright_core::stride::{
    Band, HorseStride, Pair, Places, Profile, StrideRange, between_counts, count_card, effort, required_stride,
    stride_card,
};
use stridewright_core::units::{Metres, Probability};

const TWELVE: Metres = Profile::Horse.design_stride();

fn stride_in(line_feet: f64, n: u32, elasticity: f64) -> f64 {
    let share = Probability::new(elasticity).unwrap();
    required_stride(&fences(feet(line_feet)), n, TWELVE, share).unwrap().unwrap().get() / 0.3048
}

/// Common practice, no source: 72 ft (21.95 m) ride in a normal five.
#[test]
fn seventy_two_feet_ride_in_five() {
    assert_eq!(rides_in(&fences(feet(72.0)), TWELVE), 5);
    assert_eq!(rides_in(&fences(metres(21.95)), TWELVE), 5);
    close(stride_in(72.0, 5, 0.0), 12.0, 1e-9);
}

/// Common practice, no source: the same two fences in six, seven and eight, each harder than the last.
#[test]
fn adding_up_to_three_strides() {
    let mut bands = Vec::new();
    for (n, stride) in [(5, 12.0), (6, 10.0), (7, 60.0 / 7.0), (8, 7.5)] {
        close(stride_in(72.0, n, 0.0), stride, 1e-9);
        bands.push(effort(feet(stride_in(72.0, n, 0.0)), TWELVE).unwrap().band);
    }
    assert_eq!(bands, [Band::One, Band::Three, Band::Four, Band::Four]);
    // and leaving one out: a quarter more, against a sixth less for one more stride
    close(effort(feet(stride_in(72.0, 4, 0.0)), TWELVE).unwrap().percent.get(), 25.0, 1e-6);
    close(effort(feet(stride_in(72.0, 6, 0.0)), TWELVE).unwrap().percent.get(), -16.667, 1e-3);
}

/// Common practice, no source: 60 ft (18.29 m) are a normal four of 12-ft strides.
#[test]
fn sixty_feet_ride_in_four() {
    assert_eq!(rides_in(&fences(metres(18.29)), TWELVE), 4);
    close(stride_in(60.0, 4, 0.0), 12.0, 1e-9);
}

/// Common practice, no source: 45 ft (13.72 m) ride in three, or in four steadier ones: 11 ft and 8.25 ft.
#[test]
fn forty_five_feet_ride_in_three_or_four() {
    assert_eq!(rides_in(&fences(metres(13.72)), TWELVE), 3);
    close(stride_in(45.0, 3, 0.0), 11.0, 1e-9);
    close(stride_in(45.0, 4, 0.0), 8.25, 1e-9);
    let judged = between_counts(&fences(feet(45.0)), TWELVE, TWELVE, Pair::Novice).unwrap();
    close(judged.real.get(), 2.75, 1e-9);
    assert_eq!(judged.finding, None);
}

/// Common practice, no source: the canter is chosen seven to eight strides before the first fence.
#[test]
fn pace_is_chosen_seven_to_eight_strides_before() {
    let range = StrideRange::new(feet(7.5), feet(15.0)).unwrap();
    let horse = HorseStride::new(TWELVE, TWELVE, range, None).unwrap();
    let cards = stride_card(&fences(feet(72.0)), &horse, Places::default()).unwrap();
    assert_eq!(cards.iter().map(|card| card.n).collect::<Vec<_>>(), [4, 5, 6, 7, 8]);
    assert_eq!(cards.iter().filter(|card| card.natural).map(|card| card.n).collect::<Vec<_>>(), [5]);
    for card in cards {
        let strides = card.pace_mark.mark.get() / card.stride.get();
        assert!((7.0..=8.0).contains(&strides), "{strides}");
        close(card.gate.between_markers.get(), feet(60.0).get(), 1e-9);
        close(card.gate.between_poles.get(), feet(66.0).get(), 1e-9);
    }
    assert_eq!(count_card(&fences(feet(72.0)), &horse, Places::default(), 0).unwrap(), None);
}

/// Arithmetic: the whole line shared out, D / (n + 1), is the other end of elasticity.
#[test]
fn whole_line_share() {
    for (line, n, stride) in [
        (72.0, 3, 18.00),
        (72.0, 4, 14.40),
        (72.0, 5, 12.00),
        (72.0, 6, 10.29),
        (72.0, 7, 9.00),
        (72.0, 8, 8.00),
        (60.0, 3, 15.00),
        (60.0, 4, 12.00),
        (60.0, 5, 10.00),
        (60.0, 6, 8.57),
        (84.0, 5, 14.00),
        (84.0, 6, 12.00),
        (84.0, 7, 10.50),
        (84.0, 8, 9.33),
    ] {
        close(stride_in(line, n, 1.0), stride, 0.005);
    }
}

/// Arithmetic: poles 60 ft apart leave 54 ft, 13.5, 10.8 and 9 ft for four, five and six.
#[test]
fn poles_sixty_feet_apart() {
    for (n, stride) in [(4, 13.5), (5, 10.8), (6, 9.0)] {
        let got = required_stride(&poles(feet(60.0)), n, TWELVE, Probability::MIN).unwrap().unwrap();
        close(got.get() / 0.3048, stride, 1e-9);
    }
}
