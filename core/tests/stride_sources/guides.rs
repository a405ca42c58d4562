//! Printed distances: their feet against the metres that are printed beside them, and against each other.
use stridewright_core::stride::{GUIDES, Gait, Guide, GuideUse, Profile};
use stridewright_core::units::Centimetres;

fn guide(profile: Profile, is_for: GuideUse) -> Guide {
    *GUIDES.iter().find(|g| g.profiles.contains(&profile) && g.is_for == is_for).unwrap()
}

fn metres(profile: Profile, is_for: GuideUse) -> (f64, f64) {
    let found = guide(profile, is_for);
    (found.least.get(), found.most.get())
}

fn near((least, most): (f64, f64), (expected_least, expected_most): (f64, f64)) -> bool {
    (least - expected_least).abs() < 0.006 && (most - expected_most).abs() < 0.006
}

const fn combination(strides: u8, height: Option<Centimetres>) -> GuideUse {
    GuideUse::Combination { strides, height }
}

/// US Equestrian distance charts, horses: one and two strides, in feet and in metres.
#[test]
fn combinations_for_horses_grow_with_height() {
    let printed = [(91, 7.77, 11.13), (107, 7.92, 11.28), (114, 8.08, 11.43), (122, 8.23, 11.58)];
    for (height, one, two) in printed {
        let height = Centimetres::new(height).ok();
        assert!(near(metres(Profile::Horse, combination(1, height)), (one, one)), "{height:?}");
        assert!(near(metres(Profile::Horse, combination(2, height)), (two, two)), "{height:?}");
    }
    // longer than two and three strides of 12 ft
    assert!(metres(Profile::Horse, combination(1, Centimetres::new(91).ok())).0 > 2.0 * 12.0 * 0.3048);
    assert!(metres(Profile::Horse, combination(2, Centimetres::new(91).ok())).0 > 3.0 * 12.0 * 0.3048);
}

/// The same charts, ponies.
#[test]
fn combinations_for_ponies_grow_with_size() {
    let printed = [
        (Profile::SmallPony, (5.79, 6.10), (8.84, 9.14)),
        (Profile::MediumPony, (6.40, 6.71), (9.60, 9.75)),
        (Profile::LargePony, (7.01, 7.32), (10.36, 10.52)),
    ];
    for (profile, one, two) in printed {
        assert!(near(metres(profile, combination(1, None)), one), "{profile:?}");
        assert!(near(metres(profile, combination(2, None)), two), "{profile:?}");
    }
}

/// British Horse Society, Manual of Horsemanship: a grid from the trot opens from gap to gap; metres as printed.
#[test]
fn a_grid_from_the_trot_opens() {
    let grid = |profile, gap, strides| metres(profile, GuideUse::Grid { approach: Gait::Trot, gap, strides });
    assert!(near(grid(Profile::Horse, 1, 0), (2.74, 3.35)) && near(grid(Profile::Horse, 1, 2), (9.14, 9.75)));
    assert!(near(grid(Profile::Horse, 1, 1), (5.49, 5.49)) && near(grid(Profile::Horse, 2, 1), (6.40, 6.40)));
    assert!(near(grid(Profile::Horse, 3, 1), (6.71, 7.32)));
    for profile in Profile::ALL {
        for gap in 1..3 {
            assert!(grid(profile, gap, 1).0 < grid(profile, gap + 1, 1).0, "{profile:?}");
            assert!(grid(profile, gap, 1).1 <= grid(profile, gap + 1, 1).1, "{profile:?}");
        }
        // and is shorter than from the canter
        let canter = metres(profile, GuideUse::Grid { approach: Gait::Canter, gap: 1, strides: 1 });
        assert!(grid(profile, 1, 1).1 < canter.0, "{profile:?}");
    }
}

/// The same manual in metres, and a French rule on the web: half the canter's distance at the trot.
#[test]
fn poles() {
    let poles = |profile, gait| metres(profile, GuideUse::Poles(gait));
    assert!(near(poles(Profile::Horse, Gait::Trot), (1.37, 1.45)));
    assert!(near(poles(Profile::LargePony, Gait::Trot), (1.22, 1.37)));
    for (profile, canter) in
        [(Profile::Horse, 3.0), (Profile::LargePony, 2.8), (Profile::MediumPony, 2.6), (Profile::SmallPony, 2.4)]
    {
        assert!(near(poles(profile, Gait::Canter), (canter, canter)));
        let (least, most) = poles(profile, Gait::Trot);
        // the two sources agree within a hand's breadth
        assert!(canter / 2.0 > least - 0.11 && canter / 2.0 < most + 0.11, "{profile:?}");
    }
    assert!(near(metres(Profile::Horse, GuideUse::PlacingPole(Gait::Trot)), (2.74, 2.74)));
    assert!(near(metres(Profile::Horse, GuideUse::PlacingPole(Gait::Canter)), (5.49, 6.10)));
}

#[test]
fn every_distance_has_a_source_and_its_ends_in_order() {
    assert!(GUIDES.iter().all(|g| g.least <= g.most && g.source.len() > 20 && !g.profiles.is_empty()));
    for (i, one) in GUIDES.iter().enumerate() {
        let again = GUIDES
            .iter()
            .skip(i + 1)
            .any(|g| g.is_for == one.is_for && g.profiles.iter().any(|p| one.profiles.contains(p)));
        assert!(!again, "{one:?} stands there twice");
    }
}
