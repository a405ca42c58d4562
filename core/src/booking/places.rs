//! The places of what several may use at once: how many are there together, and who takes which.
use crate::calendar::Instant;

/// The most that are there at one moment from `since` on; who ends when another begins is not there with it.
///
/// ```
/// use stridewright_core::booking::places::most_at_once;
/// use stridewright_core::calendar::Instant;
/// let at = |hour: i64| Instant::from_micros(hour * 3_600_000_000).unwrap();
/// let times = [(at(9), at(11)), (at(10), at(12)), (at(11), at(12))];
/// assert_eq!(most_at_once(&times, at(0)), 2);
/// assert_eq!(most_at_once(&times, at(12)), 0);
/// ```
#[must_use]
pub fn most_at_once(times: &[(Instant, Instant)], since: Instant) -> usize {
    let there = |moment: Instant| times.iter().filter(|(from, to)| *from <= moment && moment < *to).count();
    // it grows only where somebody begins
    times.iter().map(|(from, _)| there((*from).max(since))).max().unwrap_or(0)
}

/// A place for each time, from 0 on, so that no place is taken twice at once: as few as can be, which is
/// [`most_at_once`], since who begins first is seated first (interval partitioning: Kleinberg and Tardos, Algorithm
/// Design, 2005, section 4.1, cited from memory).
///
/// ```
/// use stridewright_core::booking::places::seats;
/// use stridewright_core::calendar::Instant;
/// let at = |hour: i64| Instant::from_micros(hour * 3_600_000_000).unwrap();
/// assert_eq!(seats(&[(at(10), at(11)), (at(9), at(11)), (at(11), at(12))]), [1, 0, 0]);
/// ```
#[must_use]
pub fn seats(times: &[(Instant, Instant)]) -> Vec<usize> {
    let mut order: Vec<(usize, &(Instant, Instant))> = times.iter().enumerate().collect();
    order.sort_by_key(|(at, time)| (**time, *at));
    let (mut until, mut seated): (Vec<Instant>, Vec<(usize, usize)>) = (Vec::new(), Vec::new());
    for (at, (from, to)) in order {
        let place = until.iter().position(|end| end <= from).unwrap_or(until.len());
        match until.get_mut(place) {
            Some(end) => *end = *to,
            None => until.push(*to),
        }
        seated.push((at, place));
    }
    seated.sort_unstable();
    seated.into_iter().map(|(_, place)| place).collect()
}
