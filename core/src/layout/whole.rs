//! A whole layout: its fences, and each of its lines on the ground that the other fences leave.
use super::check::{LaidFence, LayoutFinding, Ridden, check_layout};
use super::line_check::{Found, LineCheck, LineFinding, Weight, check_line};
use super::room::{RoomWanted, TurnRadii};
use crate::track::{Ground, GroundLine, PlacedFence, TrackError, TrackRules};
use crate::units::Metres;

/// What a layout has and wants.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LayoutWanted<'a> {
    /// The arena, what stands in it beside the layout, and how far from the walls tracks stay.
    pub ground: Ground<'a>,
    /// Of the tracks.
    pub rules: TrackRules,
    /// Of the turns between fences.
    pub turn_radii: TurnRadii,
    /// Before, after and around.
    pub room: RoomWanted,
}

/// A layout on its ground.
#[derive(Debug, Clone, PartialEq)]
pub struct LayoutCheck {
    /// What is found about fences.
    pub findings: Vec<Found<LayoutFinding>>,
    /// Each line on its shortest track; `None` where it cannot be ridden.
    pub lines: Vec<Option<LineCheck>>,
}

impl LayoutCheck {
    /// Whether nothing is impossible.
    #[must_use]
    pub fn fits(&self) -> bool {
        let lines = self.lines.iter().all(|line| line.as_ref().is_some_and(LineCheck::fits));
        lines && self.findings.iter().all(|found| found.weight == Weight::Advice)
    }

    /// How many things are found.
    #[must_use]
    pub fn len(&self) -> usize {
        self.findings.len() + self.lines.iter().flatten().map(|line| line.findings.len()).sum::<usize>()
    }

    /// Whether nothing is found.
    #[must_use]
    pub fn is_empty(&self) -> bool {
        self.len() == 0
    }
}

/// The two jumps of a line; `None` where it names a fence that is not there.
#[must_use]
pub fn jumps(fences: &[LaidFence], line: [Ridden; 2]) -> Option<GroundLine> {
    let jump = |ridden: Ridden| {
        let placed = fences.get(ridden.fence)?.placed;
        Some(if ridden.against { placed.turned() } else { placed }.square())
    };
    Some(GroundLine { first: jump(line[0])?, second: jump(line[1])? })
}

/// The fences that are in the way of a line: the layout's own but its two, then what stands there beside it.
#[must_use]
pub fn others(fences: &[LaidFence], line: [Ridden; 2], ground: &Ground<'_>) -> Vec<PlacedFence> {
    let ends = line.map(|ridden| ridden.fence);
    let own = fences.iter().enumerate().filter(|(i, _)| !ends.contains(i)).map(|(_, fence)| fence.placed);
    own.chain(ground.others.iter().copied()).collect()
}

/// Checks the fences and every line. Between two lines that follow each other nobody turns on or off, so that no room
/// for it is asked there. `combinations` as for [`check_layout`].
///
/// ```
/// use stridewright_core::layout::{FenceKind, LaidFence, LayoutWanted, Ridden, RoomPreset, TurnRadii, check_whole};
/// use stridewright_core::stride::{HorseStride, Pair, Profile};
/// use stridewright_core::track::{ArenaSize, Ground, PlacedFence, Point, Stands, TrackRules};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let laid = |x| LaidFence {
///     placed: PlacedFence {
///         centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(13.0) },
///         heading: Degrees::nearest(0.0),
///         height: Centimetres::new(90).unwrap(),
///         spread: Metres::MIN,
///         width: Metres::nearest(3.5),
///     },
///     kind: FenceKind::Vertical,
///     square: false,
/// };
/// let ridden = |fence| Ridden { fence, against: false };
/// let stride = Profile::Horse.design_stride();
/// let room = RoomPreset::Usual;
/// let wanted = LayoutWanted {
///     ground: Ground {
///         arena: ArenaSize { length: Metres::nearest(78.0), width: Metres::nearest(27.0) },
///         wall_clearance: room.wall_clearance(),
///         others: &[],
///         obstructions: &[],
///         stands: Stands::USUAL,
///     },
///     rules: TrackRules::usual(stride),
///     turn_radii: TurnRadii::of(&HorseStride::unmeasured(Profile::Horse)?, Pair::Usual)?,
///     room: room.room(stride, Pair::Usual),
/// };
/// // the middle fence is nobody's approach and nobody's get-away
/// let fences = [laid(22.0), laid(32.0), laid(54.0)];
/// let check = check_whole(&fences, &[[ridden(0), ridden(1)], [ridden(1), ridden(2)]], &[], &wanted)?;
/// assert!(check.fits() && check.is_empty());
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a radius, stride or side of 0, and a line that names a fence that is not there.
pub fn check_whole(
    fences: &[LaidFence],
    lines: &[[Ridden; 2]],
    combinations: &[Vec<Metres>],
    wanted: &LayoutWanted<'_>,
) -> Result<LayoutCheck, TrackError> {
    let findings = check_layout(fences, lines, combinations, &wanted.ground)?;
    let mut checks = Vec::with_capacity(lines.len());
    for line in lines {
        let on = jumps(fences, *line).ok_or(TrackError::UnknownFence)?;
        let others = others(fences, *line, &wanted.ground);
        let comes = lines.iter().any(|before| before[1] == line[0]);
        let goes_on = lines.iter().any(|after| after[0] == line[1]);
        let room = RoomWanted {
            approach: if comes { Metres::MIN } else { wanted.room.approach },
            getaway: if goes_on { Metres::MIN } else { wanted.room.getaway },
            ..wanted.room
        };
        let ground = Ground { others: &others, ..wanted.ground };
        let at = |radius| check_line(&on, &wanted.rules, radius, &ground, room);
        let mut check = at(wanted.turn_radii.usual)?;
        if !check.as_ref().is_some_and(LineCheck::fits) {
            // what the normal canter cannot turn, a steadier one may
            let steadier = at(wanted.turn_radii.tightest)?;
            if check.is_none() || steadier.as_ref().is_some_and(LineCheck::fits) {
                check = steadier;
            }
        }
        if let Some(check) = &mut check {
            check.findings.retain(|found| match found.what {
                LineFinding::ApproachShort => !comes,
                LineFinding::GetawayShort => !goes_on,
                _ => true,
            });
        }
        checks.push(check);
    }
    Ok(LayoutCheck { findings, lines: checks })
}
