//! Strides between two fences, and the canter that rides them.
//!
//! A line is measured inside to inside. Landing and take-off take a fixed room that depends on the
//! fence's height and on the profile's design stride ([`allowance`]); what is left is ridden in equal
//! strides. So 66 ft between two fences of a metre leave 54 ft, four and a half strides of 12 ft.
//! [`stride_card`] puts together all there is to say about every count that a horse can ride.
//!
//! Everything here is a convention for planning: the trainer on the ground decides. Comparisons with a
//! limit allow 1e-9 in favour of the rider; what makes no sense is refused with a [`StrideError`], never
//! clamped.

mod allowance;
mod band;
mod canter;
mod card;
mod count;
mod error;
mod group;
mod guide;
mod horse;
mod line;
mod normal;
mod on_foot;
mod profile;
mod rehearsal;
mod turn;

pub use allowance::allowance;
pub(crate) use allowance::room_in_strides;
pub use band::{Band, Effort, effort};
pub use canter::{Canter, Flag, UNCALIBRATED_SPREAD, calibration, canter, flags, stride_from_speed};
pub use card::{CountCard, Places, count_card, stride_card};
pub use count::{
    Ask, BetweenCounts, Finding, FindingWeight, MOST_COUNTED, MOST_RELATED, NaturalCount, Pair, asks, between_counts,
    natural_count,
};
pub use error::StrideError;
pub(crate) use error::{metres, positive};
pub use group::{GroupDistance, GroupMember, GroupQuery, GroupRide, MOST_MEMBERS, SetAs, group_distance};
pub use guide::{GUIDES, Gait, Guide, GuideUse};
pub use horse::{HorseStride, StrideRange};
pub use line::{Line, distance, required_stride};
pub use normal::{
    CountedRide, Feel, Mover, NormalStride, counted_stride, counting_distance, guessed_stride, taped_stride,
};
pub use on_foot::{HUMAN_STEP, StepsOnFoot, steps_on_foot};
pub use profile::Profile;
pub use rehearsal::{Gate, PaceMark, count_in_gate, pace_mark};
pub use turn::{Lean, LeanLimits, LeastRadius, Schooling, lean, least_radius};

/// What every comparison with a limit allows, in favour of the rider.
pub(crate) const SLACK: f64 = 1e-9;
