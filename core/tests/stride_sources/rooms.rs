//! Room for landing and take-off, and lines over poles.
use super::{close, feet, metres, poles, rides_in};
use stridewright_core::stride::{HUMAN_STEP, Profile, allowance, required_stride, steps_on_foot};
use stridewright_core::units::Probability;

fn both_sides(height: f64) -> f64 {
    2.0 * allowance(metres(height), Profile::Horse.design_stride()).unwrap().get()
}

/// "Debunking distances", an eventing trainer's page: 1, 1.5 and 2 human steps a side for poles on the ground, very
/// small fences and fences from about a metre: 6, 9 and 12 ft in all (1.83, 2.74, 3.66 m).
#[test]
fn three_rooms() {
    for (height, in_feet, in_metres) in [(0.0, 6.0, 1.83), (0.45, 9.0, 2.74), (1.0, 12.0, 3.66)] {
        close(both_sides(height), feet(in_feet).get(), 1e-9);
        close(both_sides(height), in_metres, 0.005);
    }
}

/// Abstract of a fatigue trial over a 1.10 m vertical (UFRRJ, Brazil, 2014): first series, take-off 1.65 m and landing
/// 1.99 m from the fence.
#[test]
fn measured_take_off_and_landing() {
    close(both_sides(1.10), 1.65 + 1.99, 0.02);
}

/// Leach, Ormrod and Clayton 1984, American Journal of Veterinary Research 45: distances at a 1.30 m and a 1.52 m fence
/// did not differ.
#[test]
fn no_more_room_for_higher_fences() {
    close(both_sides(1.30), both_sides(1.52), 1e-12);
}

/// "Debunking distances": poles 18 yards (54 ft) apart ride in four. A magazine exercise, November 2022: 66 ft in five,
/// 6 ft less than between fences.
#[test]
fn lines_over_poles() {
    for (printed, n) in [(54.0, 4), (66.0, 5)] {
        assert_eq!(rides_in(&poles(feet(printed)), Profile::Horse.design_stride()), n);
        let stride =
            required_stride(&poles(feet(printed)), n, Profile::Horse.design_stride(), Probability::MIN).unwrap();
        close(stride.unwrap().get(), feet(12.0).get(), 1e-9);
    }
}

/// "How can I stop my horse adding in an extra stride before a jump", Your Horse: 22 paces between poles for five.
#[test]
fn twenty_two_paces_between_poles() {
    assert_eq!(steps_on_foot(feet(66.0), HUMAN_STEP).unwrap().whole, 22);
    let walked = metres(22.0 * HUMAN_STEP.get());
    assert_eq!(rides_in(&poles(walked), Profile::Horse.design_stride()), 5);
}
