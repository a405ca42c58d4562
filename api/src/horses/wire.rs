//! A horse as it crosses the wire.
use crate::wire::bounded::{Calibration, OwnStride};
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::Patch;
use crate::wire::text::Name;
use crate::{choice, input, query};
use serde::Serialize;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Horse, Id};
use stridewright_core::stride::{Mover, Profile};
use stridewright_core::units::{Factor, Metres};
use utoipa::ToSchema;

choice! {
    /// The set of limits that a new horse starts with.
    pub enum LimitPreset { Young, Established, Competing, LessonPony }
}
choice! {
    /// How a normal stride was found.
    pub enum StrideSource { Guess, Counted, Taped }
}

/// The horse's own mean stride in a line it is not asked to change.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct NormalStride {
    pub stride_m: Metres,
    pub source: StrideSource,
    pub measured_on: Day,
}

input! {
    /// A newly measured normal stride.
    pub struct NormalStrideIn {
        pub stride_m: OwnStride,
        pub source: StrideSource,
        pub measured_on: Day,
    }
}

input! {
    /// A new horse.
    pub struct HorseIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Horse>>,
        pub name: Name,
        pub profile: Profile,
        pub mover: Option<Mover>,
        /// Whether the horse is new to jumping.
        pub green: Option<bool>,
        pub limit_preset: Option<LimitPreset>,
        pub normal_stride: Option<NormalStrideIn>,
    }
}

input! {
    /// What to change of a horse.
    pub struct HorsePatch {
        pub name: Patch<Name>,
        pub mover: Patch<Mover>,
        pub green: Patch<bool>,
        /// Measured strides a second over the model's.
        pub calibration: Patch<Calibration>,
        /// Ends the limits of the old preset yesterday and adds those of the new from today on.
        pub limit_preset: Patch<LimitPreset>,
        pub normal_stride: Patch<NormalStrideIn>,
    }
}

/// A horse.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct HorseOut {
    pub id: Id<Horse>,
    pub name: Name,
    pub profile: Profile,
    pub mover: Mover,
    pub green: bool,
    pub calibration: Factor,
    pub limit_preset: LimitPreset,
    pub normal_stride: NormalStride,
    pub created_at: Instant,
}

query! {
    /// Which page of the horses.
    pub struct HorseQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
