//! One distance for a group, or the fewest times a fence is rolled out.
mod cover;

use super::SLACK;
use super::count::counts_in_range;
use super::error::{StrideError, metres};
use super::horse::HorseStride;
use super::line::Line;
use crate::units::{Factor, LogOff, Metres};
use cover::{Candidate, least_cover};

/// The most horses in one group.
pub const MOST_MEMBERS: usize = 12;
/// Distances are tried every twentieth of a metre.
const PER_METRE: u32 = 20;
/// Further than ten strides reach.
const FURTHEST: f64 = 200.0;

/// What stands there for a member.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum SetAs {
    /// Fences of the heights given.
    Fences,
    /// Poles on the ground, whatever heights are given.
    Poles,
}

/// One horse of the group and what it jumps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroupMember {
    /// Its stride.
    pub horse: HorseStride,
    /// Height of its first fence.
    pub first: Metres,
    /// Height of its second fence.
    pub second: Metres,
    /// Fences or poles.
    pub set_as: SetAs,
}

/// What is asked for a group.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupQuery {
    /// Who rides: 1 to [`MOST_MEMBERS`].
    pub members: Vec<GroupMember>,
    /// The shortest distance that may be set.
    pub distance_min: Metres,
    /// The longest, at most 200 m.
    pub distance_max: Metres,
    /// Where several sets are equally good, the one nearest to this is taken.
    pub wanted: Option<Metres>,
    /// A distance serves a member whose stride there is within this factor of its normal stride.
    pub served_ratio: Factor,
}

impl GroupQuery {
    /// The factor used unless another is asked for: a tenth either way.
    pub const SERVED_RATIO: Factor = Factor::nearest(1.10);
}

/// How one member rides.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroupRide {
    /// The distance at which it rides.
    pub distance: Metres,
    /// In how many strides.
    pub n: u32,
    /// The mean stride.
    pub stride: Metres,
    /// How far that is from its normal stride.
    pub log_off: LogOff,
}

/// The distances for a group.
#[derive(Debug, Clone, PartialEq)]
pub struct GroupDistance {
    /// As few as will do, ascending; none where nobody is served.
    pub distances: Vec<Metres>,
    /// One a member, in the order asked; `None` for those that no distance serves.
    pub rides: Vec<Option<GroupRide>>,
    /// The indices of those that no distance serves.
    pub unserved: Vec<usize>,
    /// The worst of `log_off`; `None` where nobody is served.
    pub worst: Option<LogOff>,
    /// The sum of `log_off`; `None` where nobody is served.
    pub total: Option<LogOff>,
}

impl GroupDistance {
    /// How often the fence is rolled out in between.
    #[must_use]
    pub const fn rolls(&self) -> usize {
        self.distances.len().saturating_sub(1)
    }
}

/// The smallest set of distances such that each member rides one of them within the served ratio of its normal
/// stride, in a count within its range.
///
/// Among the smallest sets the one whose worst member is best off, then the one with the least sum of `log_off`,
/// then the nearest to the wanted distance, then the shortest. Members that no distance serves are left out and
/// listed. Exact, on a grid of 5 cm.
///
/// ```
/// use stridewright_core::stride::{GroupMember, GroupQuery, HorseStride, Profile, SetAs, group_distance};
/// let member = |profile| -> Result<_, Box<dyn std::error::Error>> {
///     let horse = HorseStride::unmeasured(profile)?;
///     Ok(GroupMember { horse, first: "80 cm".parse()?, second: "80 cm".parse()?, set_as: SetAs::Fences })
/// };
/// let answer = group_distance(&GroupQuery {
///     members: vec![member(Profile::Horse)?, member(Profile::LargePony)?],
///     distance_min: "17 m".parse()?,
///     distance_max: "25 m".parse()?,
///     wanted: None,
///     served_ratio: GroupQuery::SERVED_RATIO,
/// })?;
/// assert_eq!(answer.rolls(), 0); // one distance serves both
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a group of nobody or more than [`MOST_MEMBERS`], a `served_ratio` below 1, a `distance_min` above
/// `distance_max`, and a `distance_max` above 200 m.
pub fn group_distance(query: &GroupQuery) -> Result<GroupDistance, StrideError> {
    let members = &query.members;
    if members.is_empty() || members.len() > MOST_MEMBERS {
        return Err(StrideError::GroupSize);
    }
    if query.served_ratio.get() < 1.0 {
        return Err(StrideError::ServedRatio);
    }
    if query.distance_min > query.distance_max {
        return Err(StrideError::DistancesReversed);
    }
    if query.distance_max.get() > FURTHEST {
        return Err(StrideError::TooFar);
    }
    let limit = query.served_ratio.get().ln() + SLACK;
    let mut grid = Vec::new();
    for distance in grid_distances(query.distance_min, query.distance_max) {
        let mut rides = Vec::with_capacity(members.len());
        for member in members {
            rides.push(best_ride(member, distance)?.filter(|ride| ride.log_off.get() <= limit));
        }
        if rides.iter().any(Option::is_some) {
            grid.push((distance, rides));
        }
    }
    let candidates: Vec<_> = grid
        .iter()
        .map(|(distance, rides)| Candidate {
            off_wanted: query.wanted.map_or(0.0, |wanted| (distance - wanted.get()).abs()),
            keys: rides.iter().map(|ride| ride.map(|ride| ride.log_off.get())).collect(),
        })
        .collect();
    let chosen: Vec<_> = least_cover(&candidates).into_iter().filter_map(|at| grid.get(at)).collect();
    let rides: Vec<_> = (0..members.len()).map(|member| least_ride(&chosen, member)).collect();
    let log_offs: Vec<f64> = rides.iter().flatten().map(|ride| ride.log_off.get()).collect();
    let (mut worst, mut total) = (None, None);
    if !log_offs.is_empty() {
        let figure = |value| LogOff::new(value).map_err(StrideError::result("log_off"));
        worst = Some(figure(log_offs.iter().copied().fold(0.0, f64::max))?);
        total = Some(figure(log_offs.iter().sum())?);
    }
    Ok(GroupDistance {
        distances: chosen.iter().map(|(at, _)| metres("distance", *at)).collect::<Result<_, _>>()?,
        unserved: rides.iter().enumerate().filter(|(_, ride)| ride.is_none()).map(|(at, _)| at).collect(),
        rides,
        worst,
        total,
    })
}

/// The grid's distances, ends included.
fn grid_distances(least: Metres, most: Metres) -> impl Iterator<Item = f64> {
    let per_metre = f64::from(PER_METRE);
    let (from, to) = ((per_metre * least.get() - SLACK).ceil(), (per_metre * most.get() + SLACK).floor());
    (super::count::whole(from)..=super::count::whole(to)).map(move |step| f64::from(step) / per_metre)
}

/// The count in its range at which a member is nearest to its normal stride, ties to the smaller count.
fn best_ride(member: &GroupMember, distance: f64) -> Result<Option<GroupRide>, StrideError> {
    let (first, second) = match member.set_as {
        SetAs::Fences => (member.first, member.second),
        SetAs::Poles => (Metres::MIN, Metres::MIN),
    };
    let distance = metres("distance", distance)?;
    let rest = Line { distance, first, second }.rest(member.horse.profile_stride().get());
    let normal = member.horse.normal_stride().get();
    let counts = counts_in_range(rest, member.horse.range()).map(|n| {
        let stride = rest / f64::from(n);
        (n, stride, (stride / normal).ln().abs())
    });
    let Some((n, stride, log_off)) = least_by(counts.collect(), |(_, _, key)| *key) else { return Ok(None) };
    let log_off = LogOff::new(log_off).map_err(StrideError::result("log_off"))?;
    Ok(Some(GroupRide { distance, n, stride: metres("stride", stride)?, log_off }))
}

/// The ride with a member's least key at the chosen distances, ties to the smaller distance.
fn least_ride(chosen: &[&(f64, Vec<Option<GroupRide>>)], member: usize) -> Option<GroupRide> {
    let rides = chosen.iter().filter_map(|(_, rides)| rides.get(member).copied().flatten());
    least_by(rides.collect(), |ride| ride.log_off.get())
}

/// The first whose key is the least, give or take the slack.
fn least_by<T>(all: Vec<T>, key: impl Fn(&T) -> f64) -> Option<T> {
    let least = all.iter().map(&key).fold(f64::INFINITY, f64::min);
    all.into_iter().find(|one| key(one) <= least + SLACK)
}
