//! Distances as handbooks and charts print them, each with its source. They disagree: a barn chooses, and may add its
//! own. Lines of three strides and more follow from the stride ([`super::distance`]); what stands here does not.
use super::profile::Profile;
use crate::units::{Centimetres, Metres};

/// The gait in which a fence or a row of poles is met.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Gait {
    /// At the walk.
    Walk,
    /// At the trot.
    Trot,
    /// At the canter.
    Canter,
}

/// What a distance is for.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum GuideUse {
    /// Between two elements of a combination on a course, fences of that height.
    Combination {
        /// 1 or 2.
        strides: u8,
        /// The height of both, where it matters.
        height: Option<Centimetres>,
    },
    /// In a grid, from one fence to the next.
    Grid {
        /// How the first fence is met.
        approach: Gait,
        /// Which gap: 1 is between the first fence and the second.
        gap: u8,
        /// 0 is a bounce.
        strides: u8,
    },
    /// From one pole on the ground to the next.
    Poles(Gait),
    /// From a pole on the ground to the fence behind it.
    PlacingPole(Gait),
}

/// A distance from a book or a chart.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Guide {
    /// For whom.
    pub profiles: &'static [Profile],
    /// What for.
    pub is_for: GuideUse,
    /// The shortest.
    pub least: Metres,
    /// The longest.
    pub most: Metres,
    /// Where it is printed.
    pub source: &'static str,
}

const CHART: &str = "US Equestrian distance charts, suggested distances under normal conditions";
const MANUAL: &str = "British Horse Society, Manual of Horsemanship, as copied in a riding club's sheet of distances";
const WALK: &str = "summary of German training practice (LPO) on a riders' forum";
const NOTE: &str =
    "web note on pole spacing, French practice: 3 m at the canter, 20 cm less each pony class, half at the trot";

const fn feet(feet: u8, inches: u8) -> Metres {
    Metres::from_feet_inches(feet, inches)
}

const fn guide(
    profiles: &'static [Profile],
    is_for: GuideUse,
    least: Metres,
    most: Metres,
    source: &'static str,
) -> Guide {
    Guide { profiles, is_for, least, most, source }
}

const fn combination(strides: u8, height: u16) -> GuideUse {
    let height = match Centimetres::new(height) {
        Ok(height) if height.get() > 0 => Some(height),
        _ => None,
    };
    GuideUse::Combination { strides, height }
}

const fn grid(approach: Gait, gap: u8, strides: u8) -> GuideUse {
    GuideUse::Grid { approach, gap, strides }
}

use Gait::{Canter, Trot, Walk};

const HORSE: &[Profile] = &[Profile::Horse];
const SMALL: &[Profile] = &[Profile::SmallPony];
const MEDIUM: &[Profile] = &[Profile::MediumPony];
const LARGE: &[Profile] = &[Profile::LargePony];
const PONIES: &[Profile] = &[Profile::SmallPony, Profile::MediumPony, Profile::LargePony];

/// Every distance, by whom it is for and by use.
///
/// ```
/// use stridewright_core::stride::{GUIDES, Gait, GuideUse, Profile};
/// let poles = GUIDES.iter().find(|g| g.profiles.contains(&Profile::Horse) && g.is_for == GuideUse::Poles(Gait::Trot)).unwrap();
/// assert!(poles.least.get() > 1.37 && poles.most.get() < 1.45);
/// ```
pub const GUIDES: &[Guide] = &[
    // 3 ft, 3 ft 6 in, 3 ft 9 in and 4 ft
    guide(HORSE, combination(1, 91), feet(25, 6), feet(25, 6), CHART),
    guide(HORSE, combination(1, 107), feet(26, 0), feet(26, 0), CHART),
    guide(HORSE, combination(1, 114), feet(26, 6), feet(26, 6), CHART),
    guide(HORSE, combination(1, 122), feet(27, 0), feet(27, 0), CHART),
    guide(HORSE, combination(2, 91), feet(36, 6), feet(36, 6), CHART),
    guide(HORSE, combination(2, 107), feet(37, 0), feet(37, 0), CHART),
    guide(HORSE, combination(2, 114), feet(37, 6), feet(37, 6), CHART),
    guide(HORSE, combination(2, 122), feet(38, 0), feet(38, 0), CHART),
    guide(SMALL, combination(1, 0), feet(19, 0), feet(20, 0), CHART),
    guide(SMALL, combination(2, 0), feet(29, 0), feet(30, 0), CHART),
    guide(MEDIUM, combination(1, 0), feet(21, 0), feet(22, 0), CHART),
    guide(MEDIUM, combination(2, 0), feet(31, 6), feet(32, 0), CHART),
    guide(LARGE, combination(1, 0), feet(23, 0), feet(24, 0), CHART),
    guide(LARGE, combination(2, 0), feet(34, 0), feet(34, 6), CHART),
    guide(HORSE, grid(Trot, 1, 0), feet(9, 0), feet(11, 0), MANUAL),
    guide(HORSE, grid(Trot, 1, 1), feet(18, 0), feet(18, 0), MANUAL),
    guide(HORSE, grid(Trot, 1, 2), feet(30, 0), feet(32, 0), MANUAL),
    guide(HORSE, grid(Trot, 2, 1), feet(21, 0), feet(21, 0), MANUAL),
    guide(HORSE, grid(Trot, 3, 1), feet(22, 0), feet(24, 0), MANUAL),
    guide(PONIES, grid(Trot, 1, 0), feet(9, 0), feet(10, 0), MANUAL),
    guide(PONIES, grid(Trot, 1, 1), feet(16, 0), feet(18, 0), MANUAL),
    guide(PONIES, grid(Trot, 1, 2), feet(30, 0), feet(30, 0), MANUAL),
    guide(PONIES, grid(Trot, 2, 1), feet(19, 0), feet(21, 0), MANUAL),
    guide(PONIES, grid(Trot, 3, 1), feet(20, 0), feet(22, 0), MANUAL),
    guide(HORSE, grid(Canter, 1, 0), feet(11, 0), feet(14, 0), MANUAL),
    guide(HORSE, grid(Canter, 1, 1), feet(24, 0), feet(26, 6), MANUAL),
    guide(HORSE, grid(Canter, 1, 2), feet(34, 0), feet(36, 0), MANUAL),
    guide(PONIES, grid(Canter, 1, 0), feet(10, 0), feet(12, 0), MANUAL),
    guide(PONIES, grid(Canter, 1, 1), feet(21, 0), feet(24, 0), MANUAL),
    guide(PONIES, grid(Canter, 1, 2), feet(31, 0), feet(34, 0), MANUAL),
    guide(HORSE, GuideUse::Poles(Trot), feet(4, 6), feet(4, 9), MANUAL),
    guide(PONIES, GuideUse::Poles(Trot), feet(4, 0), feet(4, 6), MANUAL),
    guide(HORSE, GuideUse::Poles(Canter), Metres::nearest(3.0), Metres::nearest(3.0), NOTE),
    guide(LARGE, GuideUse::Poles(Canter), Metres::nearest(2.8), Metres::nearest(2.8), NOTE),
    guide(MEDIUM, GuideUse::Poles(Canter), Metres::nearest(2.6), Metres::nearest(2.6), NOTE),
    guide(SMALL, GuideUse::Poles(Canter), Metres::nearest(2.4), Metres::nearest(2.4), NOTE),
    guide(HORSE, GuideUse::Poles(Walk), Metres::nearest(0.8), Metres::nearest(1.1), WALK),
    guide(HORSE, GuideUse::PlacingPole(Trot), feet(9, 0), feet(9, 0), MANUAL),
    guide(HORSE, GuideUse::PlacingPole(Canter), feet(18, 0), feet(20, 0), MANUAL),
];
