//! A distance for a group, as it crosses the wire.
use super::wire::StrideIn;
use crate::input;
use crate::wire::bounded::{LineDistance, ServedRatio};
use crate::wire::length::BothUnits;
use crate::wire::list::{List, Member, numbers};
use crate::wire::patch::Patch;
use crate::wire::text::Label;
use serde::Serialize;
use stridewright_core::ids::{Horse, Id, Pairing};
use stridewright_core::stride::{MOST_MEMBERS, SetAs};
use stridewright_core::units::{Centimetres, Factor, Metres, Percent};
use utoipa::ToSchema;
use utoipa::openapi::{RefOr, Schema};

input! {
    /// One horse of the group; what is left out holds for the whole group.
    pub struct MemberIn {
        /// What it is called in the answer.
        pub label: Option<Label>,
        /// A horse of the usual profile where it is not said.
        pub horse: Option<StrideIn>,
        pub first_height_cm: Option<Centimetres>,
        pub second_height_cm: Option<Centimetres>,
        pub set_as: Option<SetAs>,
    }
}

input! {
    /// One horse or pair of the barn; what is left out holds for the whole group.
    pub struct BarnMemberIn {
        /// This or `pairing_id`.
        pub horse_id: Patch<Id<Horse>>,
        pub pairing_id: Patch<Id<Pairing>>,
        pub first_height_cm: Option<Centimetres>,
        pub second_height_cm: Option<Centimetres>,
        pub set_as: Option<SetAs>,
    }
}

impl Member for MemberIn {
    const LEAST: usize = 1;
    const MOST: usize = MOST_MEMBERS;
}
impl Member for BarnMemberIn {
    const LEAST: usize = 1;
    const MOST: usize = MOST_MEMBERS;
}

macro_rules! group {
    ($(#[$doc:meta])* $name:ident of $member:ty) => {
        input! {
            $(#[$doc])*
            pub struct $name {
                pub members: List<$member>,
                /// The shortest distance that may be set.
                #[schema(example = 17.0)]
                pub distance_min_m: LineDistance,
                /// The longest.
                #[schema(example = 25.0)]
                pub distance_max_m: LineDistance,
                /// Where several are equally good, the one nearest to this is taken.
                #[schema(example = 21.0)]
                pub wanted_m: Option<Metres>,
                /// A distance serves a horse whose stride there is within this factor of its normal stride; 1.1 where
                /// it is not said.
                pub served_ratio: Option<ServedRatio>,
                /// Fences where it is not said.
                pub set_as: Option<SetAs>,
                pub first_height_cm: Centimetres,
                pub second_height_cm: Centimetres,
            }
        }

        impl $name {
            /// What holds for the whole group.
            pub fn terms(&self) -> Terms {
                Terms {
                    distance_min: self.distance_min_m.whole(),
                    distance_max: self.distance_max_m.whole(),
                    wanted: self.wanted_m,
                    served_ratio: self.served_ratio.map(ServedRatio::whole),
                    set_as: self.set_as.unwrap_or(SetAs::Fences),
                    first: self.first_height_cm,
                    second: self.second_height_cm,
                }
            }
        }
    };
}

/// What holds for a whole group.
#[derive(Debug, Clone, Copy)]
pub struct Terms {
    pub distance_min: Metres,
    pub distance_max: Metres,
    pub wanted: Option<Metres>,
    pub served_ratio: Option<Factor>,
    pub set_as: SetAs,
    pub first: Centimetres,
    pub second: Centimetres,
}

group! {
    /// A group of horses whose strides are stated.
    GroupIn of MemberIn
}
group! {
    /// A group of horses or pairs of the barn.
    BarnGroupIn of BarnMemberIn
}

/// One distance to be set.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct SetDistanceOut {
    pub distance_m: Metres,
    pub distance_text: BothUnits,
    /// Who rides at it, by their place in the request, from 0.
    #[schema(schema_with = places)]
    pub members: Vec<u8>,
}

/// How one member rides.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct MemberRideOut {
    /// The member's place in the request, from 0.
    #[schema(minimum = 0, maximum = 11)]
    pub member: u8,
    /// As the request calls it.
    pub label: Option<Label>,
    /// False where no distance serves it; then nothing follows.
    pub served: bool,
    pub distance_m: Option<Metres>,
    pub distance_text: Option<BothUnits>,
    #[schema(minimum = 1, maximum = 10)]
    pub count: Option<u32>,
    pub stride_m: Option<Metres>,
    pub stride_text: Option<BothUnits>,
    /// Stride over normal stride, as a change in hundredths.
    pub percent: Option<Percent>,
    /// How much that asks, from 1, everyday work, to 4.
    #[schema(minimum = 1, maximum = 4)]
    pub band: Option<u8>,
}

/// The fewest distances that give every horse a count it can ride.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct GroupDistancesOut {
    /// Ascending; none where nobody is served.
    #[schema(max_items = 12)]
    pub distances: Vec<SetDistanceOut>,
    /// How often the fence is rolled out in between.
    #[schema(minimum = 0, maximum = 11)]
    pub rolls: u8,
    /// One a member, in the order of the request.
    #[schema(max_items = 12)]
    pub rides: Vec<MemberRideOut>,
    /// Those that no distance serves, by their place in the request.
    #[schema(schema_with = places)]
    pub unserved: Vec<u8>,
}

fn places() -> RefOr<Schema> {
    numbers(11, 12)
}
