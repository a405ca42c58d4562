//! Distance profiles: the stride a course is designed for.
use crate::units::Metres;

/// Whom a distance is set for. The profile fixes the design stride, and with it the room for landing
/// and take-off; a horse's own stride moves from week to week, planned distances must not.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Profile {
    /// A horse.
    Horse,
    /// A small pony, up to 12.2 hands.
    SmallPony,
    /// A medium pony, up to 13.2 hands.
    MediumPony,
    /// A large pony, up to 14.2 hands.
    LargePony,
}

impl Profile {
    /// All profiles, the largest stride first.
    pub const ALL: [Self; 4] = [Self::Horse, Self::LargePony, Self::MediumPony, Self::SmallPony];

    /// The design stride.
    ///
    /// Sources: for horses the trade's 12 ft ("How to rock the course walk", excerpt of the *Jump Course
    /// Design Manual*, 2016); for ponies the normal pace of the US Equestrian distance charts (10 ft,
    /// 10 ft 6 in, 11 ft 3 in).
    ///
    /// ```
    /// use stridewright_core::stride::Profile;
    /// assert!((Profile::Horse.design_stride().get() - 3.6576).abs() < 1e-12);
    /// ```
    #[must_use]
    pub const fn design_stride(self) -> Metres {
        match self {
            Self::Horse => Metres::from_feet_inches(12, 0),
            Self::SmallPony => Metres::from_feet_inches(10, 0),
            Self::MediumPony => Metres::from_feet_inches(10, 6),
            Self::LargePony => Metres::from_feet_inches(11, 3),
        }
    }
}
