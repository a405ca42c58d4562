//! For whom, and how, an exercise is drawn and set.
use crate::access::read::Look;
use crate::evaluations::strides::{self, Stride};
use crate::evaluations::wire::StrideIn;
use crate::problem::Problem;
use crate::wire::either::Either;
use crate::wire::typed::{QueryStep, QueryTape};
use crate::{choice, query};
use stridewright_core::ids::{Horse, Id, Pairing};
use stridewright_core::stride::Profile;

choice! {
    /// How many set it: alone with the tape pinned in a corner, or two with a tape from each of two corners.
    pub enum SetBy { One, Two }
}

query! {
    /// For whom a plan is drawn: a horse or a pair of the barn with the range that its rides show, or a profile.
    pub struct PlanQuery {
        /// Whose canter and counts; a horse of the usual profile where nobody is named.
        pub horse_id: Option<Id<Horse>>,
        /// This, or `horse_id`.
        pub pairing_id: Option<Id<Pairing>>,
        /// Where no horse is named.
        pub profile: Option<Profile>,
    }
}

query! {
    /// For whom a sheet is made, and how its readers measure.
    pub struct SheetQuery {
        /// Whose canter and counts; a horse of the usual profile where nobody is named.
        pub horse_id: Option<Id<Horse>>,
        /// This, or `horse_id`.
        pub pairing_id: Option<Id<Pairing>>,
        /// Where no horse is named.
        pub profile: Option<Profile>,
        /// One, where it is not said.
        pub set_by: Option<SetBy>,
        /// 50 m, or 165 ft, where it is not said.
        pub tape_m: Option<QueryTape>,
        /// The step of whoever walks it; 3 ft where it is not said.
        pub step_m: Option<QueryStep>,
    }
}

query! {
    /// For whom a card is made.
    pub struct CardQuery {
        /// A horse where it is not said.
        pub profile: Option<Profile>,
    }
}

/// Whose strides are reckoned with.
pub struct Whose {
    pub horse_id: Option<Id<Horse>>,
    pub pairing_id: Option<Id<Pairing>>,
    pub profile: Option<Profile>,
}

impl Whose {
    /// Their stride as it is today.
    pub fn stride(self, look: &mut Look<'_>) -> Result<Stride, Problem> {
        let named = match (self.horse_id, self.pairing_id) {
            (Some(_), Some(_)) => return Err(Problem::at_odds("?pairing_id", "must not stand beside horse_id")),
            (Some(horse), None) => Either::First(horse),
            (None, Some(pairing)) => Either::Second(pairing),
            (None, None) => {
                let none = StrideIn { profile: self.profile, ..StrideIn::default() };
                return strides::stated(Some(none), "?");
            }
        };
        if self.profile.is_some() {
            return Err(Problem::at_odds("?profile", "is a horse's own where one is named"));
        }
        strides::shown(look, named, "?")
    }
}

impl From<&PlanQuery> for Whose {
    fn from(query: &PlanQuery) -> Self {
        Self { horse_id: query.horse_id, pairing_id: query.pairing_id, profile: query.profile }
    }
}

impl From<&SheetQuery> for Whose {
    fn from(query: &SheetQuery) -> Self {
        Self { horse_id: query.horse_id, pairing_id: query.pairing_id, profile: query.profile }
    }
}
