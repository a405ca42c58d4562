//! The distances of a group against trying every set.
use super::metres;
use proptest::prelude::*;
use stridewright_core::stride::{
    GroupMember, GroupQuery, HorseStride, SetAs, StrideError, StrideRange, allowance, group_distance,
};
use stridewright_core::units::Factor;

fn member(profile: f64, normal: f64, shorter: f64, longer: f64, height: f64) -> GroupMember {
    let range = StrideRange::new(metres(normal * shorter), metres(normal * longer)).unwrap();
    let horse = HorseStride::new(metres(profile), metres(normal), range, None).unwrap();
    GroupMember { horse, first: metres(height), second: metres(height), set_as: SetAs::Fences }
}

fn query(members: Vec<GroupMember>, least: f64, most: f64, wanted: Option<f64>, ratio: f64) -> GroupQuery {
    GroupQuery {
        members,
        distance_min: metres(least),
        distance_max: metres(most),
        wanted: wanted.map(metres),
        served_ratio: Factor::new(ratio).unwrap(),
    }
}

/// The least |ln(stride / normal)| of one member at one distance, if it is served, by trying ten counts.
fn key(query: &GroupQuery, member: &GroupMember, distance: f64) -> Option<f64> {
    let room = |height| allowance(height, member.horse.profile_stride()).unwrap().get();
    let rest = distance - room(member.first) - room(member.second);
    let (least, most) = (member.horse.range().shortest().get(), member.horse.range().longest().get());
    (1..=10)
        .map(|n| rest / f64::from(n))
        .filter(|stride| rest > 1e-9 && *stride >= least - 1e-9 && *stride <= most + 1e-9)
        .map(|stride| (stride / member.horse.normal_stride().get()).ln().abs())
        .min_by(f64::total_cmp)
        .filter(|key| *key <= query.served_ratio.get().ln() + 1e-9)
}

/// Every set of the smallest size that serves all who can be served, then rule after rule.
fn by_trying_all(query: &GroupQuery) -> Vec<f64> {
    let steps = (query.distance_min.get() * 20.0 - 1e-9).ceil() as u32
        ..=(query.distance_max.get() * 20.0 + 1e-9).floor() as u32;
    let grid: Vec<f64> = steps.map(|step| f64::from(step) / 20.0).collect();
    let keys: Vec<Vec<Option<f64>>> =
        grid.iter().map(|at| query.members.iter().map(|member| key(query, member, *at)).collect()).collect();
    let served: Vec<usize> =
        (0..query.members.len()).filter(|member| keys.iter().any(|row| row[*member].is_some())).collect();
    let mut sets: Vec<Vec<usize>> = vec![vec![]];
    for _ in 0..query.members.len() {
        if served.is_empty() {
            return vec![];
        }
        sets = sets
            .iter()
            .flat_map(|set| {
                (set.last().map_or(0, |last| last + 1)..grid.len())
                    .map(|next| set.iter().copied().chain([next]).collect())
            })
            .collect();
        let least = |set: &[usize], member: usize| set.iter().filter_map(|at| keys[*at][member]).min_by(f64::total_cmp);
        let mut good: Vec<(f64, f64, f64, &Vec<usize>)> = sets
            .iter()
            .filter_map(|set| {
                let keys = served.iter().map(|member| least(set, *member)).collect::<Option<Vec<f64>>>()?;
                let off =
                    query.wanted.map_or(0.0, |wanted| set.iter().map(|at| (grid[*at] - wanted.get()).abs()).sum());
                Some((keys.iter().copied().fold(0.0, f64::max), keys.iter().sum(), off, set))
            })
            .collect();
        if good.is_empty() {
            continue;
        }
        for rule in [|s: &(f64, f64, f64, _)| s.0, |s: &(f64, f64, f64, _)| s.1, |s: &(f64, f64, f64, _)| s.2] {
            let least = good.iter().map(rule).fold(f64::INFINITY, f64::min);
            good.retain(|set| rule(set) <= least + 1e-9);
        }
        return good.iter().map(|set| set.3).min().unwrap().iter().map(|at| grid[*at]).collect();
    }
    vec![]
}

/// Strides of which many fit the grid exactly, so that sets tie.
fn normal_stride() -> impl Strategy<Value = f64> {
    prop_oneof![Just(3.0), Just(3.2), Just(3.5), Just(2.5), Just(3.6), (2.4..4.2f64),]
}

fn any_member() -> impl Strategy<Value = GroupMember> {
    (
        prop_oneof![Just(3.5), Just(3.0), Just(3.6576)],
        normal_stride(),
        0.85..0.999f64,
        1.001..1.12f64,
        prop_oneof![Just(1.0), Just(0.0), Just(0.6)],
    )
        .prop_map(|(profile, normal, shorter, longer, height)| member(profile, normal, shorter, longer, height))
}

proptest! {
    #![proptest_config(ProptestConfig::with_cases(60))]

    #[test]
    fn no_set_is_better(
        members in prop::collection::vec(any_member(), 1..=4), least in 7.0..20.0f64, span in 0.0..1.5f64,
        wanted in prop::option::of(7.0..21.0f64), ratio in prop_oneof![Just(1.10), Just(1.02), Just(1.005), Just(1.0)],
    ) {
        let query = query(members, least, least + span, wanted, ratio);
        let answer = group_distance(&query).unwrap();
        let distances: Vec<f64> = answer.distances.iter().map(|at| at.get()).collect();
        prop_assert_eq!(distances, by_trying_all(&query));
    }

    #[test]
    fn whoever_rides_is_served(
        members in prop::collection::vec(any_member(), 1..=12), least in 7.0..20.0f64, span in 0.0..8.0f64,
    ) {
        let query = query(members, least, least + span, None, 1.10);
        let answer = group_distance(&query).unwrap();
        let mut served = 0;
        for (index, (member, ride)) in query.members.iter().zip(&answer.rides).enumerate() {
            prop_assert_eq!(ride.is_none(), answer.unserved.contains(&index));
            if let Some(ride) = ride {
                served += 1;
                let ratio = ride.stride.get() / member.horse.normal_stride().get();
                prop_assert!((1.0 / 1.10 - 1e-9..=1.10 + 1e-9).contains(&ratio));
                prop_assert!(answer.distances.contains(&ride.distance));
                prop_assert!(ride.distance.get() >= least - 1e-9 && ride.distance.get() <= least + span + 1e-9);
                prop_assert!(ride.log_off <= answer.worst.unwrap());
            }
        }
        prop_assert!(answer.distances.len() <= served);
        prop_assert_eq!(answer.rolls(), answer.distances.len().saturating_sub(1));
        prop_assert_eq!(answer.worst.is_none(), served == 0);
    }
}

/// Twelve horses that hardly share a distance, each with several equally good ones: millions of sets tie.
#[test]
fn many_ties_end_soon() {
    let members: Vec<_> = (0..12).map(|at| member(3.0, 3.0 + 0.05 * f64::from(at), 0.9999, 1.0001, 0.0)).collect();
    let answer = group_distance(&query(members, 5.0, 40.0, Some(20.0), 1.001)).unwrap();
    assert!(answer.unserved.is_empty());
    assert_eq!(answer.distances.len(), 11);
    assert!(answer.total.unwrap().get() < 1e-9);
}

/// Equally good distances whose keys differ by rounding alone: the wanted one decides.
#[test]
fn rounding_decides_nothing() {
    for normal in [2.9, 3.1, 3.2, 3.3, 3.4, 3.6, 3.7] {
        for n in 3..=6 {
            let true_distance = 3.5 + f64::from(n) * normal;
            let one = member(3.5, normal, 0.999, 1.001, 1.0);
            let answer = group_distance(&query(vec![one], 10.0, 30.0, Some(true_distance + 0.4), 1.1)).unwrap();
            assert!((answer.distances[0].get() - true_distance).abs() < 1e-9, "{n} strides of {normal} m");
        }
    }
}

#[test]
fn groups_that_make_no_sense_are_refused() {
    let one = member(3.6576, 3.6576, 0.9, 1.1, 1.0);
    let refused = |members, least, most, ratio| group_distance(&query(members, least, most, None, ratio)).err();
    assert_eq!(refused(vec![], 20.0, 21.0, 1.1), Some(StrideError::GroupSize));
    assert_eq!(refused(vec![one; 13], 20.0, 21.0, 1.1), Some(StrideError::GroupSize));
    assert_eq!(refused(vec![one; 12], 20.0, 21.0, 1.1), None);
    assert_eq!(refused(vec![one], 21.0, 20.0, 1.1), Some(StrideError::DistancesReversed));
    assert_eq!(refused(vec![one], 20.0, 21.0, 0.99), Some(StrideError::ServedRatio));
    assert_eq!(refused(vec![one], 20.0, 201.0, 1.1), Some(StrideError::TooFar));
}
