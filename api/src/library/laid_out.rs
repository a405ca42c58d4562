//! From an exercise of the library to a layout as it is stored and sent.
use crate::exercises::layout::{
    CircleDiameter, Distance, Element, Fence, InCombination, Layout, LayoutLine, LineKind, Measured, Position,
    RailLength, StrideCount,
};
use crate::wire::list::List;
use crate::wire::text::FenceLabel;
use stridewright_core::layout::{FenceKind, LaidFence};
use stridewright_core::library::{Sketch, SketchFence, SketchLine};
use stridewright_core::track::Track;
use stridewright_core::units::{Centimetres, Coordinate};

const ELEMENTS: [Element; 6] = [Element::A, Element::B, Element::C, Element::D, Element::E, Element::F];

/// The layout of a sketch with its tracks; `placed` where it stands somewhere. None where core draws what the wire
/// does not take, which a test rules out.
pub fn layout(sketch: &Sketch, tracks: &[Option<Track>], placed: Option<&[LaidFence]>) -> Option<Layout> {
    let fences = sketch.fences.iter().enumerate().map(|(n, fence)| {
        let laid = match placed {
            Some(placed) => Some(placed.get(n)?),
            None => None,
        };
        of_fence(sketch, n, fence, laid)
    });
    let lines = sketch.lines.iter().zip(tracks).map(|(line, track)| of_line(sketch, line, track.as_ref()?));
    let (fences, lines) = (fences.collect::<Option<Vec<_>>>()?, lines.collect::<Option<Vec<_>>>()?);
    Some(Layout { fences: List(fences), lines: List(lines) }.completed())
}

fn label(label: &str) -> Option<FenceLabel> {
    FenceLabel::try_from(label.to_owned()).ok()
}

fn of_fence(sketch: &Sketch, n: usize, fence: &SketchFence, laid: Option<&LaidFence>) -> Option<Fence> {
    let placed = &fence.laid.placed;
    let before = sketch.fences.iter().take(n).filter(|other| other.combination == fence.combination).count();
    let combination = match fence.combination {
        Some(of) => Some(InCombination { label: label(of)?, element: *ELEMENTS.get(before)? }),
        None => None,
    };
    let usual = (placed.width.get() - LaidFence::USUAL_WIDTH.get()).abs() < 1e-9;
    #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "no spread is above 10 m")]
    let spread = (placed.spread.get() * 100.0).round() as u16;
    Some(Fence {
        label: label(fence.label)?,
        kind: fence.laid.kind,
        height_cm: placed.height,
        spread_cm: if spread > 0 { Some(Centimetres::new(spread).ok()?) } else { None },
        width_m: if usual { None } else { Some(RailLength::try_from(placed.width.get()).ok()?) },
        square: (fence.laid.kind == FenceKind::Oxer).then_some(fence.laid.square),
        combination,
        position: laid.map(|laid| Position {
            x_m: centimetres(laid.placed.centre.x),
            y_m: centimetres(laid.placed.centre.y),
            heading_deg: laid.placed.heading,
        }),
    })
}

/// To the centimetre: no tape tells more.
fn centimetres(at: Coordinate) -> Coordinate {
    Coordinate::nearest((at.get() * 100.0).round() / 100.0)
}

fn of_line(sketch: &Sketch, line: &SketchLine, track: &Track) -> Option<LayoutLine> {
    let end = |n: usize| label(sketch.fences.get(n)?.label);
    let [from, to] = line.fences;
    let kind = match (line.circle, track.curved) {
        (Some(_), _) => LineKind::WithCircle,
        (None, None) => LineKind::Straight,
        (None, Some(_)) => LineKind::Bending,
    };
    let asks = line.asks.iter().map(|n| StrideCount::try_from(i64::from(*n)).ok()).collect::<Option<Vec<_>>>()?;
    Some(LayoutLine {
        label: None,
        from: end(from)?,
        to: end(to)?,
        from_against: None,
        to_against: None,
        kind,
        distance_m: Distance::try_from((track.length.get() * 100.0).round() / 100.0).ok()?,
        measured: if track.curved.is_some() { Measured::CentreToCentre } else { Measured::InsideToInside },
        circle_m: match line.circle {
            Some(circle) => Some(CircleDiameter::try_from(circle.get()).ok()?),
            None => None,
        },
        asks: Some(List(asks)),
        combination: None,
    })
}
