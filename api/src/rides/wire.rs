//! A ride as it crosses the wire.
use crate::exercises::layout::{Distance, Element, StrideCount};
use crate::wire::leaf::{Count, Leaf};
use crate::wire::list::{List, Member};
use crate::wire::page::{Cursor, PageSize};
use crate::wire::text::{FenceLabel, Label, Note};
use crate::{choice, input, query, whole};
use serde::{Deserialize, Serialize};
use stridewright_core::adjustability::{Approach, Fault};
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Entry, Horse, Id, Person, Ride};
use stridewright_core::units::{Centimetres, Seconds};
use stridewright_core::workload::Outcome;
use utoipa::ToSchema;

choice! {
    /// What is logged: a go with its fences, one more fence, or "about so many".
    pub enum LogKind { Go, ExtraFence, About }
}
choice! {
    /// What was logged: `closing` is what the answer to an unresolved entry added.
    pub enum RideKind { Go, ExtraFence, About, Closing }
}
choice! {
    /// Whether a version of a ride counts: only `counted` does. `disputed` waits for a trainer's choice.
    pub enum Standing { Counted, Superseded, Disputed, Withdrawn }
}
choice! {
    /// What became of a fence. A rail down is an effort; a refusal, a run-out and a fall are none.
    pub enum FenceOutcome { Jumped, Rail, Refusal, RunOut, Fall }
}
choice! {
    /// The first thing that was lost.
    pub enum LostFirst { Direction, Speed, Rhythm, Balance, Timing }
}
choice! {
    /// What became of one ride of a batch: stored and counted, known before, or stored and disputed.
    pub enum LogOutcome { Stored, Known, Disputed }
}
whole! {
    /// The number of a go in its entry.
    pub struct GoNumber(1 ..= 500), example 3
}

impl Leaf for Fault {}
impl Leaf for Approach {}

impl From<LogKind> for RideKind {
    fn from(kind: LogKind) -> Self {
        match kind {
            LogKind::Go => Self::Go,
            LogKind::ExtraFence => Self::ExtraFence,
            LogKind::About => Self::About,
        }
    }
}

input! {
    /// A fence that was come to, in the order ridden.
    pub struct FenceIn {
        /// Its label, or its combination's.
        pub fence: FenceLabel,
        /// Which element of the combination.
        #[schema(example = json!(null))]
        pub element: Option<Element>,
        pub outcome: FenceOutcome,
        /// Whether it is a pole on the ground: passing it is no effort.
        #[schema(example = false)]
        pub ground_pole: Option<bool>,
    }
}

impl Member for FenceIn {
    const MOST: usize = 100;
}

/// A fence that was come to.
#[derive(Debug, Clone, PartialEq, Eq, Serialize, Deserialize, ToSchema)]
pub struct FencePassed {
    pub fence: FenceLabel,
    pub element: Option<Element>,
    pub outcome: FenceOutcome,
    pub ground_pole: bool,
}

impl FencePassed {
    /// As it counts.
    pub const fn counts_as(&self) -> Outcome {
        match self.outcome {
            FenceOutcome::Jumped | FenceOutcome::Rail if self.ground_pole => Outcome::Pole,
            FenceOutcome::Jumped => Outcome::Jumped,
            FenceOutcome::Rail => Outcome::Rail,
            FenceOutcome::Refusal => Outcome::Refusal,
            FenceOutcome::RunOut => Outcome::RunOut,
            FenceOutcome::Fall => Outcome::Fall,
        }
    }
}

input! {
    /// One line as ridden. What is left out of distance, heights and the three marks stands as in the
    /// session's exercise.
    pub struct AttemptIn {
        /// The line's name, or its two fences' labels.
        pub line: Label,
        /// Strides asked for; absent for "as it comes".
        pub asked: Option<StrideCount>,
        /// Strides ridden; absent where the line was not completed.
        pub ridden: Option<StrideCount>,
        pub distance_m: Option<Distance>,
        pub first_height_cm: Option<Centimetres>,
        pub second_height_cm: Option<Centimetres>,
        /// Poles on the ground at both ends.
        #[schema(example = false)]
        pub poles: Option<bool>,
        #[schema(example = false)]
        pub combination: Option<bool>,
        /// A circle was ridden between the fences.
        #[schema(example = false)]
        pub circle: Option<bool>,
        #[schema(example = json!(null))]
        pub fault: Option<Fault>,
        pub approach: Option<Approach>,
        #[schema(example = json!(null))]
        pub lost_first: Option<LostFirst>,
        pub seconds: Option<Seconds>,
    }
}

impl Member for AttemptIn {
    const MOST: usize = 100;
}

/// The fields of a ride, after those that only one kind of request has.
macro_rules! ride_input {
    ($(#[$meta:meta])* $name:ident { $($extra:tt)* }) => {
        input! {
            $(#[$meta])*
            pub struct $name {
                $($extra)*
                /// An id made by the client, so that a ride sent twice counts once; the service makes one
                /// where it is absent.
                pub id: Option<Id<Ride>>,
                /// A go where it is absent.
                pub kind: Option<LogKind>,
                /// The number of a go; the next free one where it is absent.
                pub go: Option<GoNumber>,
                /// When; absent for the session's planned start, where that is not on a day to come.
                pub at: Option<Instant>,
                /// Of a go: every fence in the order ridden. A fall ends the list.
                pub fences: Option<List<FenceIn>>,
                /// Of a go: the lines in it.
                pub attempts: Option<List<AttemptIn>>,
                /// Of `about` only: how many were jumped. A go's are counted from its fences.
                #[schema(example = json!(null))]
                pub efforts: Option<Count>,
                /// The greatest height jumped; where it is absent, that of the fences as known.
                pub height_cm: Option<Centimetres>,
                /// Poles passed that are not among the fences.
                #[schema(example = 0)]
                pub pole_passes: Option<Count>,
                pub note: Option<Note>,
            }
        }
    };
}

ride_input! {
    /// A ride to log.
    RideIn {}
}
ride_input! {
    /// A ride of a batch.
    BatchRideIn {
        /// The entry it belongs to.
        pub entry_id: Id<Entry>,
    }
}
ride_input! {
    /// The ride as it really was: a new version, with a new id.
    CorrectionIn {
        /// It was logged by mistake: then nothing else but an id and a note is given.
        #[schema(example = false)]
        pub withdrawn: Option<bool>,
    }
}

macro_rules! into_ride {
    ($($name:ident),*) => { $(
        impl From<$name> for RideIn {
            fn from(of: $name) -> Self {
                let $name { id, kind, go, at, fences, attempts, efforts, height_cm, pole_passes, note, .. } = of;
                Self { id, kind, go, at, fences, attempts, efforts, height_cm, pole_passes, note }
            }
        }
    )* };
}
into_ride!(BatchRideIn, CorrectionIn);

impl Member for BatchRideIn {
    const MOST: usize = 500;
}

input! {
    /// Rides logged while there was no signal.
    pub struct RideBatchIn {
        pub rides: List<BatchRideIn>,
    }
}

input! {
    /// A trainer's choice between versions of one go.
    pub struct ChoiceIn {
        /// Whether this version is the one that counts.
        pub keep: bool,
    }
}

query! {
    /// Which page of an entry's rides.
    pub struct EntryRideQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}

query! {
    /// Which rides, and which page of them.
    pub struct RideQuery {
        /// Only this horse's.
        pub horse_id: Option<Id<Horse>>,
        /// Only this rider's.
        pub rider_id: Option<Id<Person>>,
        /// The first day, on the barn's calendar.
        pub from: Option<Day>,
        /// The last day.
        pub to: Option<Day>,
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}
