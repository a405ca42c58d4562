//! The room that tracks want around them: presets of ours.
use crate::stride::{HorseStride, LeanLimits, Pair, Schooling, StrideError, canter, least_radius};
use crate::units::Metres;

/// How much room a line is given.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum RoomPreset {
    /// Three strides before a line and two after it, 1.5 m from the walls.
    #[default]
    Usual,
    /// 15 m before and after, 3 m from the walls: for novices and green horses.
    Roomy,
    /// Two strides before and one and a half after, 1 m from the walls: for schooled pairs only.
    Tight,
}

impl RoomPreset {
    /// What a trainer would give such a pair; never the tight one, which is to be chosen.
    #[must_use]
    pub const fn of(level: Pair) -> Self {
        match level {
            Pair::Novice => Self::Roomy,
            Pair::Usual | Pair::Schooled => Self::Usual,
        }
    }

    /// How far tracks and turns stay from the walls.
    #[must_use]
    pub const fn wall_clearance(self) -> Metres {
        Metres::nearest(match self {
            Self::Usual => 1.5,
            Self::Roomy => 3.0,
            Self::Tight => 1.0,
        })
    }

    /// Before, after and around a line of that design stride, ridden by such a pair.
    ///
    /// ```
    /// use stridewright_core::layout::RoomPreset;
    /// use stridewright_core::stride::{Pair, Profile};
    /// let room = RoomPreset::of(Pair::Novice).room(Profile::Horse.design_stride(), Pair::Novice);
    /// // three balanced strides after landing take 15 to 18 m (a breeding association's guide to judging)
    /// assert_eq!((room.approach.get(), room.turn_radius.get()), (15.0, 9.0));
    /// ```
    #[must_use]
    pub fn room(self, profile_stride: Metres, level: Pair) -> RoomWanted {
        let strides = |n: f64| Metres::nearest(n * profile_stride.get());
        let (approach, getaway) = match self {
            Self::Usual => (strides(3.0), strides(2.0)),
            Self::Roomy => (Metres::nearest(15.0), Metres::nearest(15.0)),
            Self::Tight => (strides(2.0), strides(1.5)),
        };
        let turn_radius = turn_radius(level);
        RoomWanted { approach, getaway, turn_radius, fence_clearance: Metres::nearest(1.5) }
    }
}

/// Of the turns before, after and between lines.
#[must_use]
pub const fn turn_radius(level: Pair) -> Metres {
    Metres::nearest(match level {
        Pair::Novice => 9.0,
        Pair::Usual => 7.0,
        Pair::Schooled => 5.0,
    })
}

/// How well a horse of such a pair knows tight turns.
#[must_use]
pub const fn schooling(level: Pair) -> Schooling {
    match level {
        Pair::Novice => Schooling::Green,
        Pair::Usual => Schooling::Usual,
        Pair::Schooled => Schooling::Schooled,
    }
}

/// The room that a line wants around it.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct RoomWanted {
    /// Straight before the first fence.
    pub approach: Metres,
    /// Straight after the last.
    pub getaway: Metres,
    /// Of the turns beyond.
    pub turn_radius: Metres,
    /// From other fences, and from what else stands there.
    pub fence_clearance: Metres,
}

impl RoomWanted {
    /// Three strides before and two after, in the profile's stride; turns of 7 m, and 1.5 m from other fences.
    #[must_use]
    pub fn usual(profile_stride: Metres) -> Self {
        RoomPreset::Usual.room(profile_stride, Pair::Usual)
    }
}

/// How tightly a horse turns between fences, leaning no further than is advised.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TurnRadii {
    /// In its normal canter.
    pub usual: Metres,
    /// In the steadiest that it can be asked for.
    pub tightest: Metres,
}

impl TurnRadii {
    /// Of that horse with a rider of that experience.
    ///
    /// ```
    /// use stridewright_core::layout::TurnRadii;
    /// use stridewright_core::stride::{HorseStride, Pair, Profile};
    /// let radii = TurnRadii::of(&HorseStride::unmeasured(Profile::Horse)?, Pair::Usual)?;
    /// assert_eq!((radii.usual.get().round(), radii.tightest.get().round()), (11.0, 6.0));
    /// # Ok::<(), stridewright_core::stride::StrideError>(())
    /// ```
    ///
    /// # Errors
    /// Where a speed lies beyond the range of its quantity.
    pub fn of(horse: &HorseStride, level: Pair) -> Result<Self, StrideError> {
        let floor = schooling(level).radius_floor();
        let at = |stride| -> Result<Metres, StrideError> {
            let speed = canter(stride, horse.normal_stride(), horse.calibration())?.speed;
            Ok(least_radius(speed, LeanLimits::USUAL.advice, floor)?.radius)
        };
        Ok(Self { usual: at(horse.normal_stride())?, tightest: at(horse.range().shortest())? })
    }
}
