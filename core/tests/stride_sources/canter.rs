//! Canter speeds, rule speeds and lean.
use super::{close, metres};
use stridewright_core::stride::{
    Flag, LeanLimits, Profile, Schooling, canter, flags, lean, least_radius, stride_from_speed,
};
use stridewright_core::units::{Factor, MetresPerMinute, MetresPerSecond};

fn per_second(speed: f64) -> MetresPerSecond {
    MetresPerSecond::new(speed).unwrap()
}

fn per_minute(speed: f64) -> MetresPerSecond {
    MetresPerMinute::new(speed).unwrap().per_second()
}

/// Means of stride (m) and speed (m/s). Collected, working, medium and extended canter of six dressage horses: Clayton
/// 1994, Equine Veterinary Journal Supplement 17. Warm-up of elite show jumpers: Tranquille et al. 2017, Comparative
/// Exercise Physiology. Extended canter of the dressage finalists of the 1988 Games: abstract of the film study.
const MEANS: [(f64, f64); 6] = [(2.00, 3.27), (2.35, 3.91), (2.94, 4.90), (3.47, 5.97), (2.59, 4.21), (4.15, 7.03)];

#[test]
fn speeds_of_measured_canters() {
    let normal = Profile::Horse.design_stride();
    for (stride, speed) in MEANS {
        close(canter(metres(stride), normal, Factor::nearest(1.0)).unwrap().speed.get(), speed, 0.125);
        close(stride_from_speed(per_second(speed), normal, Factor::nearest(1.0)).unwrap().get(), stride, 0.075);
    }
}

/// Tranquille et al. 2017: show jumpers went at 253 m/min warming up with strides of 2.59 m, and at 5.53 m/s (332 m/min)
/// in the round; a French show programme gives spectators 3.0 to 3.5 m for the stride in a round.
#[test]
fn paces_of_show_jumpers() {
    let normal = Profile::Horse.design_stride();
    close(canter(metres(2.59), normal, Factor::nearest(1.0)).unwrap().pace.get(), 253.0, 6.0);
    let in_the_round = stride_from_speed(per_second(5.53), normal, Factor::nearest(1.0)).unwrap().get();
    assert!((3.0..=3.5).contains(&in_the_round), "{in_the_round}");
    close(per_second(5.53).per_minute().get(), 332.0, 0.5);
}

/// Czech federation pony rules, 8th ed. 2008 (small 275 to 300, medium 300 to 325, large 300 to 350 m/min) and FLSE
/// section 504.3 (horses outdoors 350 or 375): each size at its design stride lies within 4 % of its rule speeds, which are
/// means over whole courses.
#[test]
fn rule_speeds_of_each_size() {
    for (profile, least, most) in [
        (Profile::SmallPony, 275.0, 300.0),
        (Profile::MediumPony, 300.0, 325.0),
        (Profile::LargePony, 300.0, 350.0),
        (Profile::Horse, 350.0, 375.0),
    ] {
        let stride = profile.design_stride();
        let pace = canter(stride, stride, Factor::nearest(1.0)).unwrap().pace.get();
        assert!(pace >= least && pace <= 1.04 * most, "{profile:?} {pace}");
    }
}

/// The permitted speeds of FLSE section 504.3 in other units (arithmetic): m/s and km/h.
#[test]
fn rule_speeds_in_metres_a_second() {
    for (rule, in_seconds, in_hours) in
        [(300.0, 5.000, 18.0), (325.0, 5.417, 19.5), (350.0, 5.833, 21.0), (375.0, 6.250, 22.5), (400.0, 6.667, 24.0)]
    {
        close(per_minute(rule).get(), in_seconds, 0.0005);
        close(per_minute(rule).get() * 3.6, in_hours, 1e-9);
        close(per_minute(rule).per_minute().get(), rule, 1e-9);
    }
}

/// Encyclopaedia, "Canter and gallop": a canter goes at 16 to 27 km/h, up to 7.5 m/s.
#[test]
fn faster_than_a_canter() {
    let normal = Profile::Horse.design_stride();
    for (kilometres_an_hour, fast) in [(16.0, false), (26.9, false), (27.0, false), (27.1, true)] {
        let raised = flags(metres(3.5), normal, per_second(kilometres_an_hour / 3.6)).unwrap();
        assert_eq!(raised.contains(&Flag::Fast), fast, "{kilometres_an_hour} km/h");
    }
}

/// Sideways acceleration v^2/r in units of gravity (arithmetic), and the lean of 19.1 degrees at 350 m/min on a 20 m circle;
/// Brocklehurst, Weller and Pfau found horses within about a degree of it on the lunge.
#[test]
fn lean_on_circles() {
    for (speed, radius, lateral) in
        [(350.0, 5.0, 0.69), (350.0, 7.5, 0.46), (350.0, 10.0, 0.35), (350.0, 15.0, 0.23), (325.0, 10.0, 0.30)]
    {
        close(lean(per_minute(speed), metres(radius)).unwrap().lateral.get(), lateral, 0.005);
    }
    close(lean(per_minute(350.0), metres(10.0)).unwrap().angle.get(), 19.1, 0.05);
    let least = least_radius(per_minute(350.0), LeanLimits::USUAL.advice, Schooling::Usual.radius_floor()).unwrap();
    assert!(least.radius.get() <= 10.0, "a 20 m circle at 350 m/min needs no advice");
}

/// British Dressage, "Circles, serpentines": a volte has 6, 8 or 10 m diameter; larger is a circle.
#[test]
fn least_turns_are_voltes() {
    for (schooling, diameter) in [(Schooling::Schooled, 6.0), (Schooling::Usual, 8.0), (Schooling::Green, 10.0)] {
        close(2.0 * schooling.radius_floor().get(), diameter, 1e-12);
    }
}
