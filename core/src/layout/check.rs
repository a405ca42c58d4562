//! What stands in the way of a layout: fences in each other's place, outside, or ridden in ways that do not suit them.
use super::line_check::{Found, Weight};
use crate::stride::SLACK;
use crate::track::ground::Footprint;
use crate::track::{Aim, Ground, Jump, PlacedFence, Point, TrackError, positive};
use crate::units::{Coordinate, Metres};

/// What a fence is built of.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum FenceKind {
    /// Poles above each other.
    Vertical,
    /// Two or more rails behind each other; square where both are level.
    Oxer,
    /// Rails that rise.
    TripleBar,
    /// Two poles that cross.
    CrossPole,
    /// A wall.
    Wall,
    /// A log.
    Log,
    /// A ditch.
    Ditch,
    /// Open water.
    Water,
    /// A pole on the ground.
    GroundPole,
}

impl FenceKind {
    /// Whether it lies on the ground and is no jump.
    #[must_use]
    pub const fn is_pole(self) -> bool {
        matches!(self, Self::GroundPole)
    }

    /// Whether it may be jumped both ways: common practice, no source.
    const fn suits_both_ways(self, square: bool) -> bool {
        matches!(self, Self::Vertical | Self::CrossPole | Self::GroundPole) || (matches!(self, Self::Oxer) && square)
    }
}

/// A fence of a layout.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LaidFence {
    /// Where it stands.
    pub placed: PlacedFence,
    /// What it is.
    pub kind: FenceKind,
    /// An oxer whose rails are level.
    pub square: bool,
}

impl LaidFence {
    /// Between the wings, where nothing else is said: poles are 3.5 m long (Swedish rules as quoted).
    pub const USUAL_WIDTH: Metres = Metres::nearest(3.5);

    /// The left and the right end of the rail that is met first, as it is ridden: that is set by tape, and what lies
    /// behind it is built from it.
    #[must_use]
    pub fn front_rail(&self, against: bool) -> [Point; 2] {
        let fence = if against { self.placed.turned() } else { self.placed };
        let half = fence.width.get() / 2.0;
        [half, -half].map(|left| {
            let aim = Aim { left: Coordinate::nearest(left), ..Aim::SQUARE };
            Jump { fence, aim }.take_off().at.point()
        })
    }
}

/// How a line of a layout rides one of its fences.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Ridden {
    /// The fence, from 0 in the given order.
    pub fence: usize,
    /// Against its heading.
    pub against: bool,
}

/// What is found about a layout; fences and combinations by their places in the given order.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LayoutFinding {
    /// A corner of the fence lies outside the arena.
    FenceOutside(usize),
    /// Two fences stand in each other's place.
    FootprintsOverlap(usize, usize),
    /// The fence stands where another of the arena stands already.
    OnStanding(usize, usize),
    /// The fence stands where something fixed is.
    OnObstruction(usize, usize),
    /// A fence that is ridden both ways and does not suit it.
    BothWays(usize),
    /// A combination that is shared by horses and ponies has to be set anew between them.
    ResetBetween(usize),
}

/// Strides of profiles that differ by more than this do not share a combination.
const SHARED: f64 = 1.05;

/// What of a layout is impossible, and what a trainer should know: the impossible first, each in the order of
/// [`LayoutFinding`]. `lines` says how fences are ridden, `combinations` has the design strides of those who share each;
/// the ground's other fences are what stands there beside the layout.
///
/// ```
/// use stridewright_core::layout::{FenceKind, LaidFence, LayoutFinding, check_layout};
/// use stridewright_core::track::{ArenaSize, Ground, PlacedFence, Point, Stands};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = |x, y, heading| PlacedFence {
///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
///     heading: Degrees::nearest(heading),
///     height: Centimetres::new(90).unwrap(),
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// let laid = |placed| LaidFence { placed, kind: FenceKind::Vertical, square: false };
/// let ground = Ground {
///     arena: ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) },
///     wall_clearance: Metres::nearest(1.5),
///     others: &[],
///     obstructions: &[],
///     stands: Stands::USUAL,
/// };
/// let fences = [laid(fence(20.0, 2.0, 0.0)), laid(fence(40.0, 14.0, 0.0))];
/// let found = check_layout(&fences, &[], &[], &ground)?;
/// // its wing stands a quarter of a metre beyond the wall
/// assert_eq!(found[0].what, LayoutFinding::FenceOutside(0));
/// assert!((found[0].missing.get() - 0.25).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses an arena's side or a stride of 0, and a line that names a fence that is not there.
pub fn check_layout(
    fences: &[LaidFence],
    lines: &[[Ridden; 2]],
    combinations: &[Vec<Metres>],
    ground: &Ground<'_>,
) -> Result<Vec<Found<LayoutFinding>>, TrackError> {
    let (arena, stands) = (ground.arena, ground.stands);
    arena.sides()?;
    if lines.iter().flatten().any(|ridden| ridden.fence >= fences.len()) {
        return Err(TrackError::UnknownFence);
    }
    for stride in combinations.iter().flatten() {
        positive("profile_stride", *stride)?;
    }
    let prints: Vec<Footprint> = fences.iter().map(|fence| Footprint::of(&fence.placed, stands)).collect();
    let mut list = Vec::new();
    for (i, print) in prints.iter().enumerate() {
        let inside = print.corners().into_iter().map(|corner| arena.inside(corner)).fold(f64::INFINITY, f64::min);
        if inside < -SLACK {
            let missing = Metres::nearest(-inside);
            list.push(Found { what: LayoutFinding::FenceOutside(i), weight: Weight::Impossible, missing });
        }
    }
    for (i, one) in prints.iter().enumerate() {
        for (j, other) in prints.iter().enumerate().skip(i + 1).filter(|(_, other)| one.overlaps(other)) {
            let missing = Metres::nearest(one.depth_in(other));
            list.push(Found { what: LayoutFinding::FootprintsOverlap(i, j), weight: Weight::Impossible, missing });
        }
    }
    let others = ground.others.len();
    for (i, one) in prints.iter().enumerate() {
        for (j, taken) in ground.standing().enumerate().filter(|(_, taken)| one.overlaps(taken)) {
            let missing = Metres::nearest(one.depth_in(&taken));
            let on = j.checked_sub(others);
            let what = on.map_or(LayoutFinding::OnStanding(i, j), |thing| LayoutFinding::OnObstruction(i, thing));
            list.push(Found { what, weight: Weight::Impossible, missing });
        }
    }
    let ridden = |i: usize, against: bool| lines.iter().flatten().any(|r| r.fence == i && r.against == against);
    for (i, fence) in fences.iter().enumerate() {
        if ridden(i, false) && ridden(i, true) && !fence.kind.suits_both_ways(fence.square) {
            list.push(Found { what: LayoutFinding::BothWays(i), weight: Weight::Advice, missing: Metres::MIN });
        }
    }
    for (k, strides) in combinations.iter().enumerate() {
        let least = strides.iter().map(|s| s.get()).fold(f64::INFINITY, f64::min);
        let most = strides.iter().map(|s| s.get()).fold(0.0, f64::max);
        if most / least > SHARED + SLACK {
            let missing = Metres::nearest(most - least);
            list.push(Found { what: LayoutFinding::ResetBetween(k), weight: Weight::Advice, missing });
        }
    }
    Ok(list)
}
