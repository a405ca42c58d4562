//! The stride counts that a line allows a horse, each on the track that asks least turning for it.
use super::csc::{Bends, Csc};
use super::error::{TrackError, positive};
use super::ground::{Ground, Obstacles};
use super::ridable::{GroundLine, Setting, Track, TrackRules};
use crate::stride::{
    HorseStride, LeanLimits, MOST_COUNTED, MOST_RELATED, SLACK, canter, least_radius, room_in_strides,
};
use crate::units::Metres;

/// Radii and extra straights that are tried: from 4 to 25 m in halves, and to 7.5 m in quarters.
const RADII: (f64, f64, u32) = (4.0, 0.5, 43);
const EXTRAS: (f64, f64, u32) = (0.0, 0.25, 31);
/// Strides that differ no more than this from the nearest to normal are as good.
const AS_GOOD: f64 = 0.02;
/// What leaning further than advised counts for, in turning: a choice of ours.
const LEAN_COUNTS: f64 = 10.0;

/// A count that a line allows.
#[derive(Debug, Clone, PartialEq)]
pub struct FittingCount {
    /// Strides between the fences.
    pub n: u32,
    /// The mean stride.
    pub stride: Metres,
    /// The track for it.
    pub track: Track,
    /// The horse leans further than is advised.
    pub lean_advice: bool,
    /// Too many to be called related.
    pub unrelated: bool,
}

/// One track of the family, not yet drawn.
#[derive(Debug, Clone, Copy)]
struct Candidate {
    length: f64,
    /// In degrees.
    turn: f64,
    /// The radius, the extra straight and the curve; none for a straight one.
    curve: Option<(f64, f64, Csc)>,
}

/// A candidate for one count.
#[derive(Debug, Clone, Copy)]
struct Serving {
    candidate: usize,
    stride: f64,
    /// How far that is from the normal stride, as the logarithm of the ratio.
    off: f64,
    lean_advice: bool,
}

/// The counts that the line allows this horse on this ground, ascending, up to ten.
///
/// ```
/// use stridewright_core::stride::{HorseStride, LeanLimits, Profile, Schooling};
/// use stridewright_core::track::{ArenaSize, Ground, GroundLine, PlacedFence, Point, Stands, TrackRules, fitting_counts};
/// use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};
/// let fence = |x, y, heading| PlacedFence {
///     centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
///     heading: Degrees::nearest(heading),
///     height: Centimetres::new(90).unwrap(),
///     spread: Metres::MIN,
///     width: Metres::nearest(3.5),
/// };
/// let bending = GroundLine { first: fence(12.0, 10.0, 0.0).square(), second: fence(34.0, 19.0, 45.0).square() };
/// let (rules, horse) = (TrackRules::usual(Profile::Horse.design_stride()), HorseStride::unmeasured(Profile::Horse)?);
/// let ground = Ground {
///     arena: ArenaSize { length: Metres::nearest(58.0), width: Metres::nearest(27.0) },
///     wall_clearance: Metres::nearest(1.5),
///     others: &[],
///     obstructions: &[],
///     stands: Stands::USUAL,
/// };
/// let floor = Schooling::Usual.radius_floor();
/// let counts = fitting_counts(&bending, &rules, &horse, LeanLimits::USUAL, floor, &ground)?;
/// assert_eq!(counts.iter().map(|count| count.n).collect::<Vec<_>>(), [6, 7]);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a stride, radius or side of 0, and a lean that is not between 0 and 90 degrees.
pub fn fitting_counts(
    line: &GroundLine,
    rules: &TrackRules,
    horse: &HorseStride,
    lean: LeanLimits,
    radius_floor: Metres,
    ground: &Ground<'_>,
) -> Result<Vec<FittingCount>, TrackError> {
    let setting = Setting::of(line, rules)?;
    let obstacles = Obstacles::of(ground, [&line.first.fence, &line.second.fence])?;
    let profile = positive("profile_stride", rules.profile_stride)?;
    let [first, second] = [&line.first, &line.second].map(|jump| room_in_strides(jump.fence.height.metres().get()));
    let family = Family {
        candidates: candidates(&setting, profile * (first + second) + horse.range().longest().get() * 10.0),
        room: profile * first + profile * second,
        setting,
        obstacles,
    };
    let mut known = vec![None; family.candidates.len()];
    let mut counts = Vec::new();
    for n in 1..=MOST_COUNTED {
        let serving = family.serving(n, horse, lean, radius_floor)?;
        if let Some(best) = family.best(serving, &mut known) {
            counts.push(FittingCount {
                n,
                stride: Metres::nearest(best.stride),
                track: family.track(best.candidate),
                lean_advice: best.lean_advice,
                unrelated: n > MOST_RELATED,
            });
        }
    }
    Ok(counts)
}

/// Every track of the family that is no longer than the longest that can be counted.
fn candidates(setting: &Setting, longest: f64) -> Vec<Candidate> {
    let mut list = Vec::new();
    let mut straight = false;
    for step in 0..EXTRAS.2 {
        let extra = EXTRAS.0 + EXTRAS.1 * f64::from(step);
        if let Some(length) = setting.straight(extra) {
            if !straight {
                list.push(Candidate { length, turn: 0.0, curve: None });
            }
            straight = true;
            continue;
        }
        let (landing, takeoff) = setting.runs(extra);
        let ends = setting.ends(extra);
        for step in 0..RADII.2 {
            let radius = RADII.0 + RADII.1 * f64::from(step);
            for curve in Bends::ALL.into_iter().filter_map(|bends| ends.curve(radius, bends)) {
                let length = landing + radius * curve.length() + takeoff;
                if length <= longest + SLACK && setting.turns_no_further(&curve) {
                    let turn = curve.turn().to_degrees();
                    list.push(Candidate { length, turn, curve: Some((radius, extra, curve)) });
                }
            }
        }
    }
    list
}

struct Family {
    candidates: Vec<Candidate>,
    room: f64,
    setting: Setting,
    obstacles: Obstacles,
}

impl Family {
    /// What the horse can ride in that count without leaning too far.
    fn serving(
        &self,
        n: u32,
        horse: &HorseStride,
        lean: LeanLimits,
        floor: Metres,
    ) -> Result<Vec<Serving>, TrackError> {
        let (shortest, longest) = (horse.range().shortest().get(), horse.range().longest().get());
        let normal = horse.normal_stride();
        let mut list = Vec::new();
        for (candidate, track) in self.candidates.iter().enumerate() {
            let rest = track.length - self.room;
            let n = f64::from(n);
            if rest <= SLACK || n < rest / longest - SLACK || n > rest / shortest + SLACK {
                continue;
            }
            let stride = rest / n;
            let mut lean_advice = false;
            if let Some((radius, ..)) = track.curve {
                let speed = canter(Metres::nearest(stride), normal, horse.calibration())?.speed;
                if radius < least_radius(speed, lean.most, floor)?.radius.get() - SLACK {
                    continue;
                }
                lean_advice = radius < least_radius(speed, lean.advice, floor)?.radius.get() - SLACK;
            }
            list.push(Serving { candidate, stride, off: (stride / normal.get()).ln().abs(), lean_advice });
        }
        Ok(list)
    }

    /// The best of them that the ground has room for: near the normal stride, then the least turning, then the shortest.
    fn best(&self, serving: Vec<Serving>, known: &mut [Option<bool>]) -> Option<Serving> {
        let of = |serving: &Serving| self.candidates.get(serving.candidate).copied();
        let number = |f: fn(&(f64, f64, Csc)) -> f64| {
            move |serving: &Serving| of(serving).and_then(|c| c.curve).map_or(0.0, |curve| f(&curve))
        };
        let near = self.least(serving, AS_GOOD, known, |s| s.off);
        let turn = |s: &Serving| of(s).map_or(0.0, |c| c.turn) + if s.lean_advice { LEAN_COUNTS } else { 0.0 };
        // turns are compared in radians, as everything else is in metres
        let left = self.least(near, 0.0, known, |s| turn(s).to_radians());
        let left = self.least(left, 0.0, known, |s| of(s).map_or(0.0, |c| c.length));
        let left = self.least(left, 0.0, known, number(|curve| curve.0));
        let left = self.least(left, 0.0, known, number(|curve| curve.1));
        left.into_iter().find(|s| self.has_room(s.candidate, known))
    }

    /// Those within `more` of the least for which there is room.
    fn least(
        &self,
        mut list: Vec<Serving>,
        more: f64,
        known: &mut [Option<bool>],
        value: impl Fn(&Serving) -> f64,
    ) -> Vec<Serving> {
        let mut order: Vec<(f64, Serving)> = list.drain(..).map(|s| (value(&s), s)).collect();
        let mut sorted: Vec<usize> = (0..order.len()).collect();
        let at = |i: &usize| order.get(*i).map_or(f64::NAN, |(value, _)| *value);
        sorted.sort_by(|a, b| at(a).total_cmp(&at(b)));
        let found = sorted.iter().find(|i| order.get(**i).is_some_and(|(_, s)| self.has_room(s.candidate, known)));
        let Some(least) = found.map(at) else { return Vec::new() };
        order.retain(|(value, _)| *value <= least + more + SLACK);
        order.into_iter().map(|(_, serving)| serving).collect()
    }

    fn has_room(&self, candidate: usize, known: &mut [Option<bool>]) -> bool {
        let Some(slot) = known.get_mut(candidate) else { return false };
        *slot.get_or_insert_with(|| self.obstacles.leave_room_for(&self.track(candidate).path))
    }

    fn track(&self, candidate: usize) -> Track {
        match self.candidates.get(candidate) {
            Some(Candidate { curve: Some((radius, extra, curve)), .. }) => {
                self.setting.curved_track(curve, *radius, *extra)
            }
            Some(Candidate { length, .. }) => self.setting.straight_track(*length),
            None => self.setting.straight_track(0.0),
        }
    }
}
