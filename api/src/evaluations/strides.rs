//! Whose stride is reckoned with: one that is stated, or a horse's or pair's of the barn.
use super::wire::StrideIn;
use crate::access::read::Look;
use crate::adjustability::progress::Progress;
use crate::horses;
use crate::horses::pairings::rows as pairings;
use crate::problem::Problem;
use crate::wire::bounded::{Calibration, LongestStride, OwnStride, ShortestStride};
use crate::wire::either::{Either, either};
use crate::wire::patch::Patch;
use stridewright_core::adjustability::Range;
use stridewright_core::ids::{Horse, Id, Pairing};
use stridewright_core::stride::{HorseStride, Pair as Level, Profile, StrideError, StrideRange};
use stridewright_core::units::{Metres, Probability};

/// A stride with the profile it belongs to.
#[derive(Debug, Clone)]
pub struct Stride {
    pub profile: Profile,
    pub horse: HorseStride,
    /// Of the pair, where one was named.
    pub level: Option<Level>,
    /// What its rides show, where it is of the barn.
    pub range: Option<Range>,
}

impl Stride {
    /// The chance that such a stride succeeds, where rides support one.
    pub fn chance(&self, stride: Metres) -> Option<Probability> {
        let range = self.range.as_ref()?;
        let x = range.stretch(stride)?;
        let end = if x.get() < 0.0 { range.short_end() } else { range.long_end() };
        (!end.assumed).then(|| range.forecast_chance(x))
    }
}

/// The stride that a body states; `at` points to it.
pub fn stated(stated: Option<StrideIn>, at: &str) -> Result<Stride, Problem> {
    let StrideIn { profile, normal_stride_m, shortest_m, longest_m, calibration } = stated.unwrap_or_default();
    let (shortest, longest) = (shortest_m.map(ShortestStride::whole), longest_m.map(LongestStride::whole));
    let profile = profile.unwrap_or(Profile::Horse);
    let normal = normal_stride_m.map_or(profile.design_stride(), OwnStride::whole);
    let assumed = StrideRange::assumed(normal).map_err(|e| refused(&e, at))?;
    let range = StrideRange::new(shortest.unwrap_or(assumed.shortest()), longest.unwrap_or(assumed.longest()));
    let range = range.map_err(|e| refused(&e, at))?;
    let horse = HorseStride::new(profile.design_stride(), normal, range, calibration.map(Calibration::whole));
    Ok(Stride { profile, horse: horse.map_err(|e| refused(&e, at))?, level: None, range: None })
}

/// The stride of a horse or a pair as its rides show it today; who may not read a horse's range gets their own
/// pair's.
pub fn ridden(
    look: &mut Look<'_>,
    horse: Patch<Id<Horse>>,
    pairing: Patch<Id<Pairing>>,
    at: &str,
) -> Result<Stride, Problem> {
    let named = either(at, ("horse_id", horse), ("pairing_id", pairing))?;
    shown(look, named, &format!("{at}/"))
}

/// The same of whichever is named; pointers to it begin with `at`.
pub fn shown(look: &mut Look<'_>, named: Either<Id<Horse>, Id<Pairing>>, at: &str) -> Result<Stride, Problem> {
    let (who, today) = (look.who, look.who.today(look.now));
    let of_horse = format!("{at}horse_id");
    let (horse, rider, level) = match named {
        Either::First(horse) => {
            let whole = who.roles.trainer || who.owned_as_owner().contains(&horse);
            let own = who.pairs.iter().find(|(paired, _)| *paired == horse).map(|(_, rider)| *rider);
            if !whole && own.is_none() {
                return Err(Problem::unknown_reference(&of_horse, "horse"));
            }
            (horse, own.filter(|_| !whole), None)
        }
        Either::Second(pairing) => {
            let pointer = format!("{at}pairing_id");
            let row = pairings::by_id(look.conn(), who.barn_id, pairing)?
                .filter(|p| who.roles.trainer || who.owned_as_owner().contains(&p.horse_id) || who.is_own(p.rider_id))
                .ok_or_else(|| Problem::unknown_reference(&pointer, "pairing"))?;
            (row.horse_id, Some(row.rider_id), Some(row.level.0))
        }
    };
    let row = horses::rows::find(look.conn(), who.barn_id, horse)?
        .ok_or_else(|| Problem::unknown_reference(&of_horse, "horse"))?;
    let (profile, calibration) = (row.profile.0, row.calibration);
    let progress = Progress::load(look.conn(), &who.zone, row, rider, today)?;
    Ok(Stride { profile, horse: progress.stride(calibration)?, level, range: Some(progress.range()) })
}

/// A question that core refuses, with the field at fault.
pub fn refused(error: &StrideError, at: &str) -> Problem {
    let field = match error.field() {
        "stride_min" => "shortest_m",
        "stride_max" => "longest_m",
        "calibration" => "calibration",
        "members" => "members",
        "distance_min" => "distance_min_m",
        "distance_max" => "distance_max_m",
        "served_ratio" => "served_ratio",
        "step" => "step_m",
        "distance" => "distance_m",
        _ => "normal_stride_m",
    };
    Problem::at_odds(&format!("{at}/{field}"), error.to_string())
}
