//! What stands in the way of a line where it lies.
use super::room::RoomWanted;
use super::turn_room::{TurnRoom, TurnWanted, approach_room, backwards, getaway_room, run};
use crate::stride::SLACK;
use crate::track::ground::Footprint;
use crate::track::{Ground, GroundLine, Track, TrackError, TrackRules, track};
use crate::units::{Clearance, Metres};

/// How much a finding weighs.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Weight {
    /// It cannot be ridden or set so.
    Impossible,
    /// It can, and a trainer should know.
    Advice,
}

/// What is found about one line.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash)]
pub enum LineFinding {
    /// The track leaves the arena.
    TrackOutside,
    /// It comes nearer to the wall than is wanted.
    TrackNearWall,
    /// No turn fits before the first fence.
    ApproachShort,
    /// No turn fits after the last.
    GetawayShort,
    /// It curves over its own first (0) or second (1) fence.
    TrackCrossesOwn(usize),
    /// Track, approach or get-away go through another fence.
    TrackCrossesFence(usize),
    /// They come nearer to one than is wanted.
    TrackNearFence(usize),
    /// They go through what else stands in the arena.
    TrackCrossesObstruction(usize),
    /// They come nearer to it than is wanted.
    TrackNearObstruction(usize),
}

/// A finding, and by how much it fails.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Found<W> {
    /// What.
    pub what: W,
    /// How much it weighs.
    pub weight: Weight,
    /// How many metres are lacking.
    pub missing: Metres,
}

/// One line on its ground.
#[derive(Debug, Clone, PartialEq)]
pub struct LineCheck {
    /// The track.
    pub track: Track,
    /// How far it stays from the walls.
    pub wall_clearance: Clearance,
    /// How near track, approach and get-away come to each of the other fences.
    pub to_fences: Vec<[Metres; 3]>,
    /// The same to what else stands in the arena.
    pub to_obstructions: Vec<[Metres; 3]>,
    /// How near the curve comes to the line's own two fences; `None` for a straight one.
    pub to_own: Option<[Metres; 2]>,
    /// The room before.
    pub approach: TurnRoom,
    /// The room after.
    pub getaway: TurnRoom,
    /// What is found: the impossible first, each in the order of [`LineFinding`].
    pub findings: Vec<Found<LineFinding>>,
}

/// Checks the line's shortest track at that radius; `None` where there is none.
///
/// ```
/// use stridewright_core::layout::{LineFinding, RoomWanted, check_line};
/// use stridewright_core::stride::Profile;
/// use stridewright_core::track::{ArenaSize, Ground, GroundLine, PlacedFence, Point, Stands, TrackRules};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = |x, y, heading| PlacedFence {
///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
///     heading: Degrees::nearest(heading),
///     height: Centimetres::new(90).unwrap(),
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// // straight on, and 6 m from the wall behind the second fence
/// let line = GroundLine { first: fence(30.0, 12.0, 0.0).square(), second: fence(52.0, 12.0, 0.0).square() };
/// let ground = Ground {
///     arena: ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) },
///     wall_clearance: Metres::nearest(1.5),
///     others: &[],
///     obstructions: &[],
///     stands: Stands::USUAL,
/// };
/// let profile = Profile::Horse.design_stride();
/// let check = check_line(&line, &TrackRules::usual(profile), "8 m".parse()?, &ground, RoomWanted::usual(profile))?;
/// let found = check.unwrap().findings;
/// assert_eq!(found.iter().map(|found| found.what).collect::<Vec<_>>(), [LineFinding::GetawayShort]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a radius, stride or side of 0.
pub fn check_line(
    line: &GroundLine,
    rules: &TrackRules,
    radius: Metres,
    ground: &Ground<'_>,
    wanted: RoomWanted,
) -> Result<Option<LineCheck>, TrackError> {
    ground.arena.sides()?;
    let Some(track) = track(line, rules, radius, Metres::MIN)? else { return Ok(None) };
    let turn = |straight| TurnWanted { straight, radius: wanted.turn_radius, wall_clearance: ground.wall_clearance };
    let approach = approach_room(&line.first, turn(wanted.approach), ground.arena)?;
    let getaway = getaway_room(&line.second, turn(wanted.getaway), ground.arena)?;
    let wall = track.path.pieces().map(|piece| ground.arena.clearance(piece)).fold(f64::INFINITY, f64::min);
    let runs = [run(backwards(line.first.take_off()), wanted.approach), run(line.second.landing(), wanted.getaway)];
    let mut to_fences: Vec<[Metres; 3]> = ground
        .standing()
        .map(|print| {
            let [before, after] = [0, 1].map(|i| runs.get(i).map_or(f64::INFINITY, |run| print.distance(run)));
            [print.distance_to_all(track.path.pieces()), before, after].map(Metres::nearest)
        })
        .collect();
    let to_obstructions = to_fences.split_off(ground.others.len());
    let to_own = (!track.path.curve.is_empty()).then(|| {
        [&line.first.fence, &line.second.fence]
            .map(|fence| Metres::nearest(Footprint::of(fence, ground.stands).distance_to_all(track.path.curve.iter())))
    });
    let mut check = LineCheck {
        track,
        wall_clearance: Clearance::nearest(wall),
        to_fences,
        to_obstructions,
        to_own,
        approach,
        getaway,
        findings: Vec::new(),
    };
    check.findings = check.found(ground, wanted);
    Ok(Some(check))
}

impl LineCheck {
    /// Whether nothing is impossible.
    #[must_use]
    pub fn fits(&self) -> bool {
        self.findings.iter().all(|found| found.weight == Weight::Advice)
    }

    fn found(&self, ground: &Ground<'_>, wanted: RoomWanted) -> Vec<Found<LineFinding>> {
        let mut list = Vec::new();
        let mut note = |what, impossible: bool, missing: f64| {
            let weight = if impossible { Weight::Impossible } else { Weight::Advice };
            list.push(Found { what, weight, missing: Metres::nearest(missing) });
        };
        let (wall, least) = (self.wall_clearance.get(), ground.wall_clearance.get());
        if wall < -SLACK {
            note(LineFinding::TrackOutside, true, -wall);
        } else if wall < least - SLACK {
            note(LineFinding::TrackNearWall, false, least - wall);
        }
        for (room, what) in [(&self.approach, LineFinding::ApproachShort), (&self.getaway, LineFinding::GetawayShort)] {
            if let Some(missing) = room.missing {
                note(what, room.longest_straight.is_none(), missing.get());
            }
        }
        for (i, near) in self.to_own.iter().flatten().enumerate() {
            if near.get() <= SLACK {
                note(LineFinding::TrackCrossesOwn(i), true, 0.0);
            }
        }
        type Of = fn(usize) -> LineFinding;
        let fences: (_, Of, Of) = (&self.to_fences, LineFinding::TrackCrossesFence, LineFinding::TrackNearFence);
        let obstructions: (_, Of, Of) =
            (&self.to_obstructions, LineFinding::TrackCrossesObstruction, LineFinding::TrackNearObstruction);
        for (distances, crosses, comes_near) in [fences, obstructions] {
            for (i, near) in distances.iter().enumerate() {
                let nearest = near.iter().map(|near| near.get()).fold(f64::INFINITY, f64::min);
                if nearest <= SLACK {
                    note(crosses(i), true, wanted.fence_clearance.get());
                } else if nearest < wanted.fence_clearance.get() - SLACK {
                    note(comes_near(i), false, wanted.fence_clearance.get() - nearest);
                }
            }
        }
        list.sort_by_key(|found| found.weight == Weight::Advice);
        list
    }
}
