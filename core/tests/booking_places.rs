//! Places that several share: held against counting hour by hour.
#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on must stop, and say where")]

use proptest::collection::vec;
use proptest::prelude::*;
use stridewright_core::booking::places::{most_at_once, seats};
use stridewright_core::calendar::Instant;

fn at(hour: i64) -> Instant {
    Instant::from_micros(hour * 3_600_000_000).unwrap()
}

proptest! {
    #![proptest_config(ProptestConfig { failure_persistence: None, ..ProptestConfig::default() })]

    #[test]
    fn nobody_shares_a_place_and_no_place_is_wasted(hours in vec((0_i64..40, 1_i64..9), 0..14), since in -2_i64..50) {
        let times: Vec<_> = hours.iter().map(|(from, long)| (at(*from), at(from + long))).collect();
        let there = |hour: i64| hours.iter().filter(|(from, long)| (*from..from + long).contains(&hour)).count();
        prop_assert_eq!(most_at_once(&times, at(since)), (since..60).map(there).max().unwrap_or(0));
        let seats = seats(&times);
        prop_assert_eq!(seats.len(), times.len());
        for (n, (from, long)) in hours.iter().enumerate() {
            for (m, (other, for_long)) in hours.iter().enumerate().skip(n + 1) {
                let apart = from + long <= *other || other + for_long <= *from;
                prop_assert!(apart || seats[n] != seats[m], "{:?} share a place", (n, m));
            }
        }
        prop_assert_eq!(seats.iter().max().map_or(0, |most| most + 1), (0..60).map(there).max().unwrap_or(0));
    }
}
