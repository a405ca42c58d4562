//! An entry as it crosses the wire.
use super::wire::CautionText;
use crate::problem::RuleReason;
use crate::wire::leaf::Count;
use crate::wire::list::{List, Member};
use crate::wire::patch::{Patch, PatchNull};
use crate::wire::text::{Label, Name, Reason};
use crate::{choice, input, whole};
use serde::{Deserialize, Serialize};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Entry, Horse, Id, Person, Session};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::Status;
use utoipa::ToSchema;

whole! {
    /// A number of strides.
    pub struct StrideCount(0 ..= 40), example 5
}

input! {
    /// What is asked on a line.
    #[derive(Serialize, Deserialize, PartialEq, Eq)]
    pub struct AskIn {
        pub line: Label,
        /// The number of strides; absent for "as it comes".
        pub asked: Option<StrideCount>,
    }
}

impl Member for AskIn {
    const MOST: usize = 60;
}

input! {
    /// One horse and rider in a session.
    pub struct EntryIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Entry>>,
        /// May be chosen later.
        pub horse_id: Option<Id<Horse>>,
        /// Absent where the horse goes loose or on the lunge, or the rider is not known yet.
        pub rider_id: Option<Id<Person>>,
        /// Jump efforts planned; one go of the session's exercise, its poles and its height where it is not said.
        pub planned_efforts: Option<Count>,
        pub planned_height_cm: Option<Centimetres>,
        pub planned_pole_passes: Option<Count>,
        pub asks: Option<List<AskIn>>,
        /// A trainer's reason to pass soft limits; the owners see it.
        pub override_reason: Option<Reason>,
        /// A rider's wish to have it confirmed at once.
        pub confirm: Option<bool>,
    }
}

impl Member for EntryIn {
    const MOST: usize = 12;
}

choice! {
    /// What became of efforts that were planned and not logged.
    pub enum ClosingAnswer { NotJumped, AsPlanned, Efforts }
}

input! {
    /// The answer to what became of planned efforts.
    pub struct ClosingIn {
        pub answer: ClosingAnswer,
        /// With `efforts`: how many were jumped in all.
        pub efforts_in_all: Option<Count>,
    }
}

input! {
    /// What to change of an entry. Riders may cancel theirs, and change what is only requested.
    pub struct EntryPatch {
        /// `booked` confirms, `declined` refuses, `cancelled` calls off.
        pub status: Patch<Status>,
        /// Why it is declined or cancelled.
        pub reason: Patch<Reason>,
        pub horse_id: PatchNull<Id<Horse>>,
        pub rider_id: PatchNull<Id<Person>>,
        pub planned_efforts: Patch<Count>,
        pub planned_height_cm: PatchNull<Centimetres>,
        pub planned_pole_passes: Patch<Count>,
        pub asks: Patch<List<AskIn>>,
        pub override_reason: Patch<Reason>,
        /// What became of planned efforts, where the entry is unresolved.
        pub closing: Patch<ClosingIn>,
    }
}

impl EntryPatch {
    /// Whether it says anything beside the answer to what became of planned efforts.
    pub fn says_more_than_closing(&self) -> bool {
        let plan = matches!(self.planned_efforts, Patch::Set(_)) || matches!(self.planned_pole_passes, Patch::Set(_));
        let pair = self.horse_id != PatchNull::Keep || self.rider_id != PatchNull::Keep;
        let rest = matches!(self.status, Patch::Set(_)) || matches!(self.asks, Patch::Set(_));
        let words = matches!(self.reason, Patch::Set(_)) || matches!(self.override_reason, Patch::Set(_));
        plan || pair || rest || words || self.planned_height_cm != PatchNull::Keep
    }
}

/// An entry as its reader may see it.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct EntryOut {
    pub id: Id<Entry>,
    pub session_id: Id<Session>,
    pub horse_id: Option<Id<Horse>>,
    /// The horse's name, so that whoever sees the entry can call it.
    pub horse_name: Option<Name>,
    pub rider_id: Option<Id<Person>>,
    pub rider_name: Option<Name>,
    pub status: Status,
    #[schema(minimum = 0, maximum = 500)]
    pub planned_efforts: i32,
    pub planned_height_cm: Option<Centimetres>,
    #[schema(minimum = 0, maximum = 500)]
    pub planned_pole_passes: i32,
    #[schema(max_items = 60)]
    pub asks: Vec<AskIn>,
    /// Why it was declined or cancelled.
    pub reason: Option<Reason>,
    /// Why a trainer passed soft limits, and which.
    pub override_reason: Option<Reason>,
    #[schema(max_items = 100)]
    pub overridden: Vec<RuleReason>,
    /// Of a request that lies ahead: what speaks against confirming it, as things stand now. Of one that is over: what
    /// broke the booking after it was confirmed.
    #[schema(max_items = 100)]
    pub flags: Vec<RuleReason>,
    /// Efforts planned and not logged, where nobody has said yet what became of them.
    #[schema(minimum = 0, maximum = 500)]
    pub unanswered_efforts: Option<i32>,
    #[schema(max_items = 20)]
    pub cautions: Vec<CautionText>,
    /// The version that If-Match names.
    #[schema(minimum = 1, maximum = 1000000000)]
    pub version: i64,
    pub created_at: Instant,
}
