//! The tracks from one fence to the next that can be ridden.
use super::csc::{Bends, Csc, Ends};
use super::error::{TrackError, positive};
use super::fence::Jump;
use super::path::{Piece, pieces};
use super::plane::{Pose, apart};
use crate::stride::{SLACK, room_in_strides};
use crate::units::{Degrees, Metres};

/// How much of a track is straight, and how far it may turn. The straights are choices of ours.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct TrackRules {
    /// The profile's design stride: what landing and take-off take is measured in it.
    pub profile_stride: Metres,
    /// Straight on after the landing: half a stride to recover.
    pub landing_straight: Metres,
    /// Straight before the take-off: a stride.
    pub takeoff_straight: Metres,
    /// A line whose fences are jumped no further off than this is ridden straight, on the angle.
    pub straight_within: Degrees,
    /// A track that turns further is not ridden.
    pub most_turn: Degrees,
}

impl TrackRules {
    /// Half a stride and a stride of the profile; 10 and 270 degrees.
    #[must_use]
    pub fn usual(profile_stride: Metres) -> Self {
        Self {
            profile_stride,
            landing_straight: Metres::nearest(0.5 * profile_stride.get()),
            takeoff_straight: profile_stride,
            straight_within: Degrees::nearest(10.0),
            most_turn: Degrees::nearest(270.0),
        }
    }
}

/// Two fences that are jumped one after the other.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct GroundLine {
    /// The first.
    pub first: Jump,
    /// The next.
    pub second: Jump,
}

/// How a track curves.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Curved {
    /// Which way it bends.
    pub bends: Bends,
    /// Of both arcs.
    pub radius: Metres,
    /// How much longer than the rules ask the straights after landing and before take-off are.
    pub extra_straight: Metres,
}

/// A track from the landing side of the first fence to the take-off side of the second.
#[derive(Debug, Clone, PartialEq)]
pub struct Track {
    /// Along the track.
    pub length: Metres,
    /// All bends together; 0 for a straight one, even where it is jumped on the angle.
    pub turn: Degrees,
    /// None for a straight one.
    pub curved: Option<Curved>,
    pub(crate) path: Path,
}

/// The pieces of a track, and which of them are the curve between the straight runs.
#[derive(Debug, Clone, PartialEq)]
pub(crate) struct Path {
    pub runs: Vec<Piece>,
    pub curve: Vec<Piece>,
}

impl Path {
    pub fn pieces(&self) -> impl Iterator<Item = &Piece> {
        self.runs.iter().chain(&self.curve)
    }
}

/// The poses and lengths from which every track of a line is made.
#[derive(Debug, Clone, Copy)]
pub(crate) struct Setting {
    pub landing: Pose,
    pub take_off: Pose,
    landing_run: f64,
    takeoff_run: f64,
    straight_within: f64,
    most_turn: f64,
}

impl Setting {
    pub fn of(line: &GroundLine, rules: &TrackRules) -> Result<Self, TrackError> {
        let profile = positive("profile_stride", rules.profile_stride)?;
        let room = |jump: &Jump| profile * room_in_strides(jump.fence.height.metres().get());
        Ok(Self {
            landing: line.first.landing(),
            take_off: line.second.take_off(),
            landing_run: room(&line.first) + rules.landing_straight.get(),
            takeoff_run: room(&line.second) + rules.takeoff_straight.get(),
            straight_within: rules.straight_within.get().to_radians(),
            most_turn: rules.most_turn.get().to_radians(),
        })
    }

    /// The length, where the line is ridden straight.
    pub fn straight(&self, extra: f64) -> Option<f64> {
        let between = self.take_off.at - self.landing.at;
        let within = if extra == 0.0 { self.straight_within } else { 0.0 };
        let direction = between.heading();
        let on_it = |pose: Pose| apart(pose.heading, direction) <= within + SLACK;
        let length = between.length();
        (length > SLACK && on_it(self.landing) && on_it(self.take_off)).then_some(length)
    }

    pub const fn runs(&self, extra: f64) -> (f64, f64) {
        (self.landing_run + extra, self.takeoff_run + extra)
    }

    pub fn ends(&self, extra: f64) -> Ends {
        let (landing, takeoff) = self.runs(extra);
        Ends::of(self.landing.on(landing), self.take_off.on(-takeoff))
    }

    pub fn turns_no_further(&self, curve: &Csc) -> bool {
        curve.turn() <= self.most_turn + SLACK
    }

    pub fn straight_track(&self, length: f64) -> Track {
        Track {
            length: Metres::nearest(length),
            turn: Degrees::nearest(0.0),
            curved: None,
            path: Path {
                runs: vec![Piece::Straight { from: self.landing.at, to: self.take_off.at }],
                curve: Vec::new(),
            },
        }
    }

    pub fn curved_track(&self, curve: &Csc, radius: f64, extra: f64) -> Track {
        let (landing, takeoff) = self.runs(extra);
        let begin = self.landing.on(landing);
        let runs = vec![Piece::straight(self.landing, landing), Piece::straight(self.take_off.on(-takeoff), takeoff)];
        Track {
            length: Metres::nearest(landing + radius * curve.length() + takeoff),
            turn: Degrees::nearest(curve.turn().to_degrees()),
            curved: Some(Curved {
                bends: curve.bends,
                radius: Metres::nearest(radius),
                extra_straight: Metres::nearest(extra),
            }),
            path: Path { runs, curve: pieces(begin, curve, radius) },
        }
    }
}

/// The shortest track at that radius, with straights `extra` longer than the rules ask; `None` where it cannot be
/// ridden so: fences too close for a turn, or to be jumped again at once.
///
/// ```
/// use stridewright_core::stride::Profile;
/// use stridewright_core::track::{GroundLine, PlacedFence, Point, TrackRules, track};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = |x, y, heading| PlacedFence {
///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
///     heading: Degrees::nearest(heading),
///     height: Centimetres::new(90).unwrap(),
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// let line = GroundLine { first: fence(10.0, 10.0, 0.0).square(), second: fence(32.0, 19.0, 45.0).square() };
/// let rules = TrackRules::usual(Profile::Horse.design_stride());
/// let bending = track(&line, &rules, Metres::nearest(8.0), Metres::MIN)?.unwrap();
/// assert!(bending.length.get() > 22.0 && (bending.turn.get() - 45.0).abs() < 1e-9);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `radius` or `profile_stride` of 0.
pub fn track(
    line: &GroundLine,
    rules: &TrackRules,
    radius: Metres,
    extra: Metres,
) -> Result<Option<Track>, TrackError> {
    let (setting, radius, extra) = (Setting::of(line, rules)?, positive("radius", radius)?, extra.get());
    if let Some(length) = setting.straight(extra) {
        return Ok(Some(setting.straight_track(length)));
    }
    let ends = setting.ends(extra);
    let ridable = Bends::ALL.into_iter().filter_map(|bends| ends.curve(radius, bends));
    let mut shortest: Option<Csc> = None;
    for curve in ridable.filter(|curve| setting.turns_no_further(curve)) {
        if shortest.is_none_or(|so_far| curve.length() < so_far.length() - SLACK / radius) {
            shortest = Some(curve);
        }
    }
    Ok(shortest.map(|curve| setting.curved_track(&curve, radius, extra)))
}
