//! Limits to start from, as a barn's own soft rows to edit: conventions, not veterinary advice, and to be shown
//! with those words.
//!
//! Leaning on: warm-ups of 2 to 15 jumps (Chatel et al., Comparative Exercise Physiology, 2021) before a round
//! of at most 15 efforts (FEI pony rules, 2006, art. 3116); two starts a day at most (rules of the Danish
//! sport-pony championship); muscle enzymes not recovered five days after a competition (Assenza et al.,
//! Veterinary World 9, 2016); 1.00 m for four-year-olds (Swedish competition rules, TR III, 373). Jumping once
//! or twice a week, and not two days running for young horses: common practice, no source. The rest is our choice.
use super::{Limit, Rule, Source};
use crate::units::Centimetres;
use std::num::NonZeroU32;

/// Up to about five years, or in the first jumping year. `id` gives each row its id.
///
/// ```
/// use stridewright_core::rest::presets;
/// let mut next = 0..;
/// let limits = presets::young(|| next.next().unwrap_or(0));
/// assert_eq!(limits.len(), 10);
/// ```
pub fn young<K>(id: impl FnMut() -> K) -> Vec<Limit<K>> {
    rows(id, None, &[Some(20), Some(20), Some(40), Some(130), Some(2)], 100, &[(1, 1), (15, 2)], 3)
}

/// A horse in regular work.
pub fn established<K>(id: impl FnMut() -> K) -> Vec<Limit<K>> {
    rows(id, None, &[Some(30), Some(35), Some(70), Some(220), Some(3)], 120, &[(20, 1)], 2)
}

/// A horse that competes.
pub fn competing<K>(id: impl FnMut() -> K) -> Vec<Limit<K>> {
    rows(id, None, &[Some(35), Some(50), Some(110), Some(280), Some(4)], 140, &[(25, 1)], 2)
}

/// Many low efforts under beginners on most days of the week: efforts count from 50 cm on, rides at any height.
pub fn lesson_pony<K>(mut id: impl FnMut() -> K) -> Vec<Limit<K>> {
    let sessions = row(id(), Rule::MaxSessionsPerDay { value: 2 }, None);
    let from = Centimetres::new(50).ok();
    let others = rows(id, from, &[None, Some(30), Some(100), Some(340), Some(5)], 80, &[(25, 1)], 1);
    std::iter::once(sessions).chain(others).collect()
}

/// `most`: efforts a session, a day, 7 days, 28 days, and jumping days in 7.
fn rows<K>(
    mut id: impl FnMut() -> K,
    from_height: Option<Centimetres>,
    most: &[Option<u32>; 5],
    height: u16,
    clear: &[(u32, u32)],
    after_competition: u32,
) -> Vec<Limit<K>> {
    let [session, day, week, four_weeks, days] = *most;
    let mut rules = Vec::new();
    rules.extend(session.map(|value| Rule::MaxEffortsPerSession { value }));
    rules.extend(day.map(|value| Rule::MaxEffortsPerDay { value }));
    rules.extend(week.map(|value| Rule::MaxEffortsPer7Days { value }));
    rules.extend(four_weeks.map(|value| Rule::MaxEffortsPer28Days { value }));
    rules.extend(days.map(|value| Rule::MaxJumpingDaysPer7Days { value }));
    rules.extend(Centimetres::new(height).ok().map(|value| Rule::MaxHeightCm { value }));
    rules.extend(clear.iter().filter_map(|&(efforts, clear_days)| {
        NonZeroU32::new(efforts).map(|min_efforts| Rule::ClearDaysAfterEfforts { min_efforts, clear_days })
    }));
    rules.push(Rule::ClearDaysAfterCompetition { clear_days: after_competition });
    rules.push(Rule::ReturnRamp { after_gap_days: 28, ramp_days: 14, max_per_session: 10, max_per_7_days: 20 });
    rules.into_iter().map(|rule| row(id(), rule, from_height.filter(|_| rule.may_start_at_a_height()))).collect()
}

const fn row<K>(id: K, rule: Rule, from_height: Option<Centimetres>) -> Limit<K> {
    Limit { id, rule, source: Source::BarnDefault, hard: false, valid_from: None, valid_to: None, from_height }
}
