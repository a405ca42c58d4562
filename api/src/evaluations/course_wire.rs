//! A course as it crosses the wire: which fences in which order, and what is walked.
use super::layout_wire::LayoutFindingOut;
use crate::wire::length::BothUnits;
use crate::wire::list::{List, Member};
use crate::wire::text::FenceLabel;
use crate::{bounded, input};
use serde::Serialize;
use stridewright_core::course::RuleSet;
use stridewright_core::units::{Degrees, Metres, MetresPerMinute, Seconds, Strides};
use utoipa::ToSchema;

bounded! {
    /// The speed of a class, in metres a minute.
    pub struct CourseSpeed(MetresPerMinute, 200.0 ..= 600.0), example 350.0
}
bounded! {
    /// From the start to the first fence, or from the last one to the finish, in metres.
    pub struct ToLine(Metres, 0.0 ..= 100.0), example 15.0
}

input! {
    /// A fence of a course.
    pub struct CourseFenceIn {
        pub fence: FenceLabel,
        /// Jumped against its heading.
        #[schema(example = false)]
        pub against: Option<bool>,
    }
}

impl Member for CourseFenceIn {
    const LEAST: usize = 1;
    const MOST: usize = 60;
}

input! {
    /// Fences walked as a course.
    pub struct CourseIn {
        /// In the order of riding; a fence may come more than once.
        pub order: List<CourseFenceIn>,
        /// The rule book to check by.
        pub rules: RuleSet,
        /// Of the class.
        pub speed_m_per_min: CourseSpeed,
        /// From the start to the first fence; 15 m where it is not said.
        pub start_m: Option<ToLine>,
        /// From the last fence to the finish; 15 m where it is not said.
        pub finish_m: Option<ToLine>,
    }
}

/// From one jump of a course to the next.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct LegOut {
    pub from: FenceLabel,
    pub to: FenceLabel,
    /// Along the normal track; null where none can be ridden.
    #[schema(example = 24.5)]
    pub length_m: Option<Metres>,
    pub length_text: Option<BothUnits>,
    #[schema(example = 0.0)]
    pub turn_deg: Option<Degrees>,
    /// Strides of the horse's normal length, a fraction.
    #[schema(example = 5.7)]
    pub real_count: Option<Strides>,
    /// The nearest whole count.
    #[schema(minimum = 0, maximum = 3000)]
    pub natural_count: Option<u32>,
    /// Near enough to be counted.
    pub related: bool,
    /// Within one obstacle.
    pub combination: bool,
}

/// A course as it was walked.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct CourseOut {
    pub rules: RuleSet,
    #[schema(example = 350.0)]
    pub speed_m_per_min: MetresPerMinute,
    /// From start to finish, to the metre; null where a leg cannot be ridden.
    #[schema(example = 340.0)]
    pub length_m: Option<Metres>,
    #[schema(example = 59.0)]
    pub time_allowed_s: Option<Seconds>,
    #[schema(example = 118.0)]
    pub time_limit_s: Option<Seconds>,
    /// A combination is one.
    #[schema(minimum = 0, maximum = 60)]
    pub obstacles: u32,
    /// Each element is one.
    #[schema(minimum = 0, maximum = 60)]
    pub efforts: u32,
    #[schema(max_items = 60)]
    pub legs: Vec<LegOut>,
    /// Where the rule book is not kept.
    #[schema(max_items = 200)]
    pub findings: Vec<LayoutFindingOut>,
}
