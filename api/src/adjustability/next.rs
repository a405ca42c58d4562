//! The proposal for a line.
use super::progress::Progress;
use super::wire::{AskOut, NextAskOut, NextAskQuery, Rung};
use crate::problem::Problem;
use crate::problem::table::Kind;
use stridewright_core::adjustability::{Ask, Kind as LineKind, Line, Side, Verdict, next_ask};
use stridewright_core::rest::{Book, Candidate};
use stridewright_core::stride::Line as Fences;
use stridewright_core::units::Metres;
use uuid::Uuid;

/// What is said with every proposal (common practice, no source).
const CAUTIONS: [&str; 3] = [
    "Start low and easy; two stops mean lower or easier.",
    "A fall ends the ride; stop when the horse tires.",
    "The trainer on the ground decides.",
];

/// Said first where the range shrinks, whatever is proposed.
const DECLINING: &str = "It has been declining: a sudden decline is a reason to look for its cause with the vet.";

/// Said first where limits or a stand-down speak against the jumps today.
const RESTS: &str = "Its limits or a stand-down speak against this today: read what its rest requires first.";

/// Proposes the next ask.
///
/// With the horse's book, where the proposal is for today, it says when limits speak against it.
pub fn propose(progress: &Progress, query: &NextAskQuery, book: Option<&Book<Uuid>>) -> Result<NextAskOut, Problem> {
    let distance = query.distance_m.0.whole();
    let (first, second) = (query.first_height_cm.0.metres(), query.second_height_cm.0.metres());
    let poles = query.poles.is_some_and(|poles| poles.0);
    let allowance = Fences { distance, first, second }.allowance(progress.profile_stride);
    let line = Line {
        distance,
        allowance: allowance.map_err(|_| Problem::new(Kind::Internal))?,
        side: query.side.unwrap_or(Side::Either),
        height: Metres::nearest(first.get().max(second.get())),
        kind: if poles { LineKind::Pole } else { LineKind::Fence },
        combination: query.combination.is_some_and(|combination| combination.0),
    };
    let next = next_ask(&line, &progress.range(), progress.own(), progress.as_of, &progress.settings)
        .ok_or_else(|| Problem::at_odds("?distance_m", "must leave room for a stride between these heights"))?;
    let efforts = if poles { 0 } else { 2 * next.ladder.len() };
    let height = query.first_height_cm.0.max(query.second_height_cm.0);
    let rests = book.is_some_and(|book| {
        let efforts = u32::try_from(efforts).unwrap_or(u32::MAX);
        let poles = if poles { 2 } else { 0 };
        let asked = Candidate { efforts, height: Some(height), pole_passes: poles, ..Candidate::on(progress.as_of) };
        !book.decision(&asked).reasons.is_empty()
    });
    let declining = progress.trend().verdict == Verdict::Declining;
    Ok(NextAskOut {
        as_of: progress.as_of,
        distance_m: distance,
        distance_text: distance.into(),
        natural: next.natural,
        status: next.status,
        status_words: next.status.words(),
        reason: next.reason,
        reason_words: next.reason.map(|reason| reason.words()),
        ask: next.ask.as_ref().map(ask),
        efforts,
        ladder: next.ladder,
        rungs: next.rungs_m.into_iter().map(|m| Rung { distance_m: m, distance_text: m.into() }).collect(),
        next_line_m: next.next_line_m,
        next_line_text: next.next_line_m.map(Into::into),
        cautions: [(rests, RESTS), (declining, DECLINING)]
            .into_iter()
            .filter_map(|(said, words)| said.then_some(words))
            .chain(CAUTIONS)
            .collect(),
    })
}

fn ask(ask: &Ask) -> AskOut {
    AskOut {
        count: ask.count,
        distance_m: ask.distance_m,
        distance_text: ask.distance_m.into(),
        stride_m: ask.stride_m,
        stride_text: ask.stride_m.into(),
        stretch: ask.stretch,
        chance: ask.chance,
        cautious_chance: ask.cautious_chance,
        forecast_chance: ask.forecast_chance,
        approach_hint: ask.approach_hint,
        approach_words: ask.approach_hint.map(|hint| hint.words()),
    }
}
