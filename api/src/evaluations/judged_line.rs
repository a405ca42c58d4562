//! What is said about one line of a layout.
use super::card::{between, count};
use super::judged::Judge;
use super::layout_wire::{CircleCountOut, CircleOut, FittingOut, LineJudgedOut, TrackOut};
use super::wire::BetweenOut;
use crate::exercises::layout::{LayoutLine, LineKind, Measured};
use crate::wire::text::Label;
use stridewright_core::layout::schooling;
use stridewright_core::stride::{LeanLimits, Line, Places, StrideError, between_counts, count_card, stride_card};
use stridewright_core::track::{Track, TrackError, circle_between};
use stridewright_core::units::Metres;

/// So many counts of a line with a circle are told.
const MOST_CIRCLED: usize = 100;

impl Judge<'_> {
    /// The line as its distance is stated.
    pub fn reckoned(&self, line: &LayoutLine) -> Line {
        let height = |label| self.asked.layout.fence(label).map_or(Metres::MIN, |fence| fence.height_cm.metres());
        Line { distance: line.distance_m.whole(), first: height(&line.from), second: height(&line.to) }
    }

    /// A line of a layout without a place: its stated distance is what there is.
    pub(super) fn unplaced(&self, line: &LayoutLine) -> Result<LineJudgedOut, TrackError> {
        let mut judged = self.line(line, None)?;
        if line.kind != LineKind::WithCircle {
            let stated = self.inside(line);
            for card in stride_card(&stated, &self.asked.stride.horse, Places::default())? {
                judged.counts.extend(self.fitting(line, &stated, card.n, None, false)?);
            }
            judged.between_counts = self.between(&stated)?;
        }
        Ok(judged)
    }

    /// The stated distance from face to face.
    pub(super) fn inside(&self, line: &LayoutLine) -> Line {
        let of = self.reckoned(line);
        let half = |label| self.asked.layout.fence(label).map_or(0.0, |fence| fence.spread().get() / 2.0);
        let off = match line.measured {
            Measured::InsideToInside => 0.0,
            Measured::CentreToCentre => half(&line.from) + half(&line.to),
        };
        Line { distance: Metres::nearest((of.distance.get() - off).max(0.0)), ..of }
    }

    fn between(&self, line: &Line) -> Result<Option<BetweenOut>, StrideError> {
        let horse = &self.asked.stride.horse;
        Ok(Some(between(between_counts(line, horse.normal_stride(), horse.profile_stride(), self.level)?)))
    }

    pub(super) fn line(&self, line: &LayoutLine, track: Option<&Track>) -> Result<LineJudgedOut, TrackError> {
        let circled = line.kind == LineKind::WithCircle;
        let on_track = track.map(|track| Line { distance: track.length, ..self.reckoned(line) });
        let between = match &on_track {
            Some(of) if !circled => self.between(of)?,
            _ => None,
        };
        let around = on_track.unwrap_or(self.inside(line));
        Ok(LineJudgedOut {
            label: line.label.clone().unwrap_or_else(|| Label::joined(&line.from, &line.to)),
            from: line.from.clone(),
            to: line.to.clone(),
            kind: line.kind,
            stated_m: line.distance_m.whole(),
            stated_text: line.distance_m.whole().into(),
            track: track.map(Into::into),
            counts: Vec::new(),
            between_counts: between,
            circle: if circled { self.circle(line, &around)? } else { None },
        })
    }

    pub(super) fn fitting(
        &self,
        line: &LayoutLine,
        of: &Line,
        n: u32,
        track: Option<&Track>,
        lean_advice: bool,
    ) -> Result<Option<FittingOut>, StrideError> {
        let stride = &self.asked.stride;
        let Some(card) = count_card(of, &stride.horse, Places::default(), n)? else { return Ok(None) };
        let chance = stride.chance(card.stride);
        let card = count(card, stride.horse.is_timed());
        Ok(Some(FittingOut { card, track: track.map(Into::into), lean_advice, chance, asked: asks(line, n) }))
    }

    fn circle(&self, line: &LayoutLine, of: &Line) -> Result<Option<CircleOut>, TrackError> {
        let Some(diameter) = line.circle_m.map(|circle| circle.whole()) else { return Ok(None) };
        let (horse, floor) = (&self.asked.stride.horse, schooling(self.level).radius_floor());
        let circle = circle_between(of, diameter, &self.rules, horse, LeanLimits::USUAL, floor)?;
        let counts = circle.counts.iter().map(|count| CircleCountOut {
            count: count.n,
            stride_m: count.stride,
            stride_text: count.stride.into(),
            lean_advice: count.lean_advice,
            asked: asks(line, count.n),
        });
        Ok(Some(CircleOut {
            diameter_m: diameter,
            total_m: circle.total,
            total_text: circle.total.into(),
            touches_from_m: circle.touch.map(|(from, _)| from),
            touches_to_m: circle.touch.map(|(_, to)| to),
            counts: counts.take(MOST_CIRCLED).collect(),
        }))
    }
}

fn asks(line: &LayoutLine, n: u32) -> bool {
    line.asks.iter().flat_map(|asks| &asks.0).any(|ask| u32::try_from(ask.get()) == Ok(n))
}

impl From<&Track> for TrackOut {
    fn from(track: &Track) -> Self {
        Self {
            length_m: track.length,
            length_text: track.length.into(),
            turn_deg: track.turn,
            bends: track.curved.map(|curved| curved.bends),
            radius_m: track.curved.map(|curved| curved.radius),
            extra_straight_m: track.curved.map(|curved| curved.extra_straight),
        }
    }
}
