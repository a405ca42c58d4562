//! Whose stride is reckoned with: one that is stated, or a horse's or pair's of the barn.
use super::wire::StrideIn;
use crate::access::read::Look;
use crate::adjustability::progress::Progress;
use crate::horses;
use crate::horses::pairings::rows as pairings;
use crate::problem::Problem;
use crate::problem::table::Kind;
use stridewright_core::ids::{Horse, Id, Pairing};
use stridewright_core::stride::{HorseStride, Pair as Level, Profile, StrideError, StrideRange};
use stridewright_core::units::{Factor, Metres};

/// A stride with the profile it belongs to.
#[derive(Debug, Clone, Copy)]
pub struct Stride {
    pub profile: Profile,
    pub horse: HorseStride,
    /// Of the pair, where one was named.
    pub level: Option<Level>,
}

/// The stride that a body states; `at` points to it.
pub fn stated(stated: Option<StrideIn>, at: &str) -> Result<Stride, Problem> {
    let none = StrideIn { profile: None, normal_stride_m: None, shortest_m: None, longest_m: None, calibration: None };
    let StrideIn { profile, normal_stride_m, shortest_m, longest_m, calibration } = stated.unwrap_or(none);
    let within = |field: &str, value: Option<f64>, least: f64, most: f64| match value {
        Some(value) if !(least..=most).contains(&value) => {
            Err(Problem::invalid(&format!("{at}/{field}"), format!("must be from {least} to {most}")))
        }
        _ => Ok(()),
    };
    within("normal_stride_m", normal_stride_m.map(Metres::get), 1.0, 6.0)?;
    within("shortest_m", shortest_m.map(Metres::get), 0.5, 6.0)?;
    within("longest_m", longest_m.map(Metres::get), 0.5, 8.0)?;
    within("calibration", calibration.map(Factor::get), 0.85, 1.15)?;
    let profile = profile.unwrap_or(Profile::Horse);
    let normal = normal_stride_m.unwrap_or(profile.design_stride());
    let assumed = StrideRange::assumed(normal).map_err(|e| refused(&e, at))?;
    let range = StrideRange::new(shortest_m.unwrap_or(assumed.shortest()), longest_m.unwrap_or(assumed.longest()));
    let range = range.map_err(|e| refused(&e, at))?;
    let horse = HorseStride::new(profile.design_stride(), normal, range, calibration);
    Ok(Stride { profile, horse: horse.map_err(|e| refused(&e, at))?, level: None })
}

/// The stride of a horse or a pair as its rides show it today; who may not read a horse's range gets their own
/// pair's.
pub fn ridden(
    look: &mut Look<'_>,
    horse: Option<Id<Horse>>,
    pairing: Option<Id<Pairing>>,
    at: &str,
) -> Result<Stride, Problem> {
    let (who, today) = (look.who, look.who.today(look.now));
    let of_horse = format!("{at}/horse_id");
    let (horse, rider, level) = match (horse, pairing) {
        (Some(horse), None) => {
            let whole = who.roles.trainer || who.owned.contains(&horse);
            let own = who.pairs.iter().find(|(paired, _)| *paired == horse).map(|(_, rider)| *rider);
            if !whole && own.is_none() {
                return Err(Problem::unknown_reference(&of_horse, "horse"));
            }
            (horse, own.filter(|_| !whole), None)
        }
        (None, Some(pairing)) => {
            let pointer = format!("{at}/pairing_id");
            let row = pairings::by_id(look.conn(), who.barn_id, pairing)?
                .filter(|p| who.roles.trainer || who.owned.contains(&p.horse_id) || who.is_own(p.rider_id))
                .ok_or_else(|| Problem::unknown_reference(&pointer, "pairing"))?;
            (row.horse_id, Some(row.rider_id), Some(row.level.0))
        }
        (None, None) => {
            let rule = "is required, or else pairing_id";
            return Err(Problem::field(Kind::InvalidBody, &of_horse, "required", rule));
        }
        (Some(_), Some(_)) => return Err(Problem::invalid(&of_horse, "must not stand beside pairing_id")),
    };
    let row = horses::rows::find(look.conn(), who.barn_id, horse)?
        .ok_or_else(|| Problem::unknown_reference(&of_horse, "horse"))?;
    let (profile, calibration) = (row.profile.0, row.calibration);
    let progress = Progress::load(look.conn(), &who.zone, row, rider, today)?;
    Ok(Stride { profile, horse: progress.stride(calibration)?, level })
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
    Problem::invalid(&format!("{at}/{field}"), error.to_string())
}
