//! The distances for a group.
use super::group_wire::{GroupDistancesOut, MemberRideOut, SetDistanceOut, Terms};
use super::strides::{Stride, refused};
use crate::problem::Problem;
use crate::wire::text::Label;
use stridewright_core::stride::{
    GroupMember, GroupQuery, GroupRide, HorseStride, SetAs, StrideError, effort, group_distance,
};
use stridewright_core::units::Centimetres;

/// One member with what it jumps, where that differs from the group's.
pub struct Rider {
    pub stride: Stride,
    pub label: Option<Label>,
    pub first: Option<Centimetres>,
    pub second: Option<Centimetres>,
    pub set_as: Option<SetAs>,
}

/// The fewest distances for these members.
pub fn distances(terms: &Terms, riders: Vec<Rider>) -> Result<GroupDistancesOut, Problem> {
    let members = riders.iter().map(|rider| GroupMember {
        horse: rider.stride.horse,
        first: rider.first.unwrap_or(terms.first).metres(),
        second: rider.second.unwrap_or(terms.second).metres(),
        set_as: rider.set_as.unwrap_or(terms.set_as),
    });
    let query = GroupQuery {
        members: members.collect(),
        distance_min: terms.distance_min,
        distance_max: terms.distance_max,
        wanted: terms.wanted,
        served_ratio: terms.served_ratio.unwrap_or(GroupQuery::SERVED_RATIO),
    };
    reckoned(&query, riders).map_err(|e| refused(&e, ""))
}

fn reckoned(query: &GroupQuery, riders: Vec<Rider>) -> Result<GroupDistancesOut, StrideError> {
    let found = group_distance(query)?;
    let place = |n: usize| u8::try_from(n).unwrap_or(u8::MAX);
    let distances = found.distances.iter().map(|&distance| {
        // both come from the same grid: they are equal to the last bit, or steps apart
        let here = |ride: &GroupRide| (ride.distance.get() - distance.get()).abs() < 0.01;
        let members = found.rides.iter().enumerate().filter(|(_, ride)| ride.as_ref().is_some_and(here));
        SetDistanceOut {
            distance_m: distance,
            distance_text: distance.into(),
            members: members.map(|(n, _)| place(n)).collect(),
        }
    });
    let distances = distances.collect();
    let rides = riders.into_iter().zip(&found.rides).enumerate();
    let rides = rides.map(|(n, (rider, ride))| shown(place(n), rider.label, &rider.stride.horse, ride.as_ref()));
    Ok(GroupDistancesOut {
        distances,
        rolls: place(found.rolls()),
        rides: rides.collect::<Result<_, _>>()?,
        unserved: found.unserved.iter().map(|n| place(*n)).collect(),
    })
}

fn shown(
    member: u8,
    label: Option<Label>,
    horse: &HorseStride,
    ride: Option<&GroupRide>,
) -> Result<MemberRideOut, StrideError> {
    let effort = ride.map(|ride| effort(ride.stride, horse.normal_stride())).transpose()?;
    Ok(MemberRideOut {
        member,
        label,
        served: ride.is_some(),
        distance_m: ride.map(|ride| ride.distance),
        distance_text: ride.map(|ride| ride.distance.into()),
        count: ride.map(|ride| ride.n),
        stride_m: ride.map(|ride| ride.stride),
        stride_text: ride.map(|ride| ride.stride.into()),
        percent: effort.map(|effort| effort.percent),
        band: effort.map(|effort| effort.band.into()),
    })
}
