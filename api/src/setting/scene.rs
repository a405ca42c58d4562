//! A placed layout as it is set and ridden: its tracks, the ways to and from them, and where the canter is chosen.
use crate::evaluations::grounded::Grounded;
use crate::evaluations::judged::{Judge, Place};
use crate::evaluations::layout_wire::LayoutFindingOut;
use crate::exercises::layout::{LayoutLine, LineKind};
use stridewright_core::layout::{LaidFence, LineCheck, Ridden, Side, TurnWanted, circle_on, jumps, way_off, way_on};
use stridewright_core::stride::{CountCard, Line, Places, allowance, count_card};
use stridewright_core::track::{ArenaSize, Passage, Point, Track, TrackError};
use stridewright_core::units::{Coordinate, Metres};

/// A line as it is drawn.
pub struct Drawn {
    /// Its place in the layout.
    pub line: usize,
    /// For the count that is asked first; the shortest where none is, or where it does not fit.
    pub track: Track,
    /// Counts that fit, and whether each is asked for.
    pub counts: Vec<(u32, bool)>,
    /// From the first fence to the landing, and the stride of the count that is asked first.
    pub strides: Option<(Metres, Metres)>,
    /// Of the count that is asked first.
    pub card: Option<CountCard>,
}

/// Two markers beside the track.
pub struct Gate {
    pub line: usize,
    pub from: Point,
    pub to: Point,
    pub length: Metres,
    pub count: u32,
}

/// Where the canter is chosen.
pub struct Mark {
    pub line: usize,
    pub at: Passage,
    pub before: Metres,
}

/// All of it.
pub struct Scene {
    pub size: ArenaSize,
    pub laid: Vec<LaidFence>,
    /// How each line rides its fences.
    pub ridden: Vec<[Ridden; 2]>,
    pub lines: Vec<Drawn>,
    /// Turns that nothing is asked on.
    pub turns: Vec<Drawn>,
    pub ways: Vec<Track>,
    pub marks: Vec<Mark>,
    pub gate: Option<Gate>,
    pub findings: Vec<LayoutFindingOut>,
}

/// So much of the way is drawn beyond the place where the canter is chosen.
const BEYOND_MARK_M: f64 = 3.0;

impl Scene {
    /// A line of the layout as it is ridden; none where it cannot be.
    pub fn ridden_line(&self, n: usize) -> Option<&Drawn> {
        self.lines.iter().chain(&self.turns).find(|drawn| drawn.line == n)
    }

    /// Of a layout that is placed; `None` where it is not.
    pub fn of(judge: &Judge<'_>) -> Result<Option<Self>, TrackError> {
        let (Some(laid), Some(place)) = (judge.asked.layout.laid(), &judge.asked.place) else { return Ok(None) };
        let grounded = judge.grounded(&laid, place)?;
        let mut scene = Self {
            size: place.size,
            lines: Vec::new(),
            turns: Vec::new(),
            ways: Vec::new(),
            marks: Vec::new(),
            gate: None,
            findings: judge.findings(&grounded, place),
            ridden: grounded.ridden.clone(),
            laid,
        };
        for (n, line) in judge.asked.layout.lines.0.iter().enumerate() {
            scene.line(judge, &grounded, place, n, line)?;
        }
        Ok(Some(scene))
    }

    fn line(
        &mut self,
        judge: &Judge<'_>,
        grounded: &Grounded,
        place: &Place,
        n: usize,
        line: &LayoutLine,
    ) -> Result<(), TrackError> {
        let (Some(Some(check)), Some(ridden)) = (grounded.check.lines.get(n), grounded.ridden.get(n).copied()) else {
            return Ok(()); // a finding says why it cannot be ridden
        };
        let drawn = drawn(judge, grounded, n, line, check)?;
        self.circle(judge, line, &drawn.track)?;
        let wanted = TurnWanted {
            straight: judge.subject.room.approach,
            radius: judge.subject.room.turn_radius,
            wall_clearance: judge.subject.wall_clearance,
        };
        if let Some(on) = jumps(&self.laid, ridden) {
            if !grounded.ridden.iter().any(|[_, last]| *last == ridden[0]) {
                let mark = drawn.card.as_ref().map(|card| card.pace_mark.mark);
                let side = check.approach.sides.first().copied().unwrap_or(Side::Left);
                let long = mark.map_or(0.0, |mark| mark.get() + BEYOND_MARK_M);
                let way = within(place.size, wanted, long, |length| way_on(&on.first, wanted, side, length))?;
                self.marks.extend(mark.zip(way.as_ref()).and_then(|(before, way)| marked(n, way, before)));
                self.ways.extend(way);
            }
            if !grounded.ridden.iter().any(|[first, _]| *first == ridden[1]) {
                let side = check.getaway.sides.first().copied().unwrap_or(Side::Left);
                let wanted = TurnWanted { straight: judge.subject.room.getaway, ..wanted };
                self.ways.extend(within(place.size, wanted, 0.0, |length| way_off(&on.second, wanted, side, length))?);
            }
        }
        if let Some(card) = drawn.card.as_ref().filter(|_| self.gate.is_none()) {
            self.gate = gate(n, card, &self.laid, place.size);
        }
        // a turn that nothing is asked on is a way from the one line to the next
        if drawn.track.curved.is_some() && line.asks.iter().all(|asks| asks.0.is_empty()) {
            self.ways.push(drawn.track.clone());
            self.turns.push(drawn);
        } else {
            self.lines.push(drawn);
        }
        Ok(())
    }

    /// The circle of a line that has one, hung on the middle of where it may be, away from the nearer wall.
    fn circle(&mut self, judge: &Judge<'_>, line: &LayoutLine, track: &Track) -> Result<(), TrackError> {
        let Some(diameter) = line.circle_m.filter(|_| line.kind == LineKind::WithCircle) else { return Ok(()) };
        let middle = Metres::nearest(track.length.get() / 2.0);
        let circles = [Side::Left, Side::Right].map(|side| circle_on(track, middle, diameter.whole(), side));
        let room = |circle: &Track| {
            let far = circle.at(Metres::nearest(circle.length.get() / 2.0)).at;
            inside(judge.asked.place.as_ref().map_or(self.size, |place| place.size), far)
        };
        let [left, right] = circles;
        let (left, right) = (left?, right?);
        self.ways.push(if room(&left) >= room(&right) { left } else { right });
        Ok(())
    }
}

fn drawn(
    judge: &Judge<'_>,
    grounded: &Grounded,
    n: usize,
    line: &LayoutLine,
    check: &LineCheck,
) -> Result<Drawn, TrackError> {
    let fitting = grounded.fitting.get(n).map_or(&[][..], Vec::as_slice);
    let asks: Vec<u32> =
        line.asks.iter().flat_map(|asks| &asks.0).filter_map(|ask| u32::try_from(ask.get()).ok()).collect();
    let first = asks.first().and_then(|ask| fitting.iter().find(|fit| fit.n == *ask));
    let track = first.map_or(&check.track, |fit| &fit.track).clone();
    let on_track = Line { distance: track.length, ..judge.reckoned(line) };
    let (horse, height) = (&judge.asked.stride.horse, on_track.first);
    let card = match first {
        Some(fit) => count_card(&on_track, horse, Places::default(), fit.n)?,
        None => None,
    };
    let landing = allowance(height, horse.profile_stride())?;
    Ok(Drawn {
        line: n,
        counts: fitting.iter().map(|fit| (fit.n, asks.contains(&fit.n))).collect(),
        strides: first.map(|fit| (landing, fit.stride)),
        track,
        card,
    })
}

/// The longest way that stays in the arena: as far as is wanted, to the end of the turn, or straight.
fn within(
    size: ArenaSize,
    wanted: TurnWanted,
    long: f64,
    way: impl Fn(Metres) -> Result<Track, TrackError>,
) -> Result<Option<Track>, TrackError> {
    let (straight, turn) = (wanted.straight.get(), wanted.radius.get() * std::f64::consts::FRAC_PI_2);
    for length in [long, straight + turn, straight + turn / 2.0, straight, straight / 2.0] {
        let way = way(Metres::nearest(length))?;
        if length > 0.0 && stays(&way, size) {
            return Ok(Some(way));
        }
    }
    Ok(None)
}

/// Whether every metre of it lies in the arena.
fn stays(way: &Track, size: ArenaSize) -> bool {
    let mut along = std::iter::successors(Some(0.0), |at| Some(at + 1.0)).take_while(|at| *at < way.length.get());
    let end = inside(size, way.at(way.length).at) > 0.0;
    end && along.all(|at| inside(size, way.at(Metres::nearest(at)).at) > 0.0)
}

/// How far it lies from the nearest wall; below 0 outside.
fn inside(size: ArenaSize, at: Point) -> f64 {
    let (x, y) = (at.x.get(), at.y.get());
    x.min(y).min(size.length.get() - x).min(size.width.get() - y)
}

fn marked(line: usize, way: &Track, before: Metres) -> Option<Mark> {
    let along = way.length.get() - before.get();
    (along >= 0.0).then(|| Mark { line, at: way.at(Metres::nearest(along)), before })
}

/// How far from a long wall a gate stands.
const GATE_OFF_WALL_M: f64 = 2.5;
/// How much of the wall is left at both of its ends, for the turns.
const GATE_FROM_CORNER_M: f64 = 8.0;
/// Nearer to a fence's wing nobody rides past at leisure.
const GATE_FROM_FENCE_M: f64 = 2.0;

/// Along the long wall that is further from the fences; none where it is too long or a fence stands there.
fn gate(line: usize, card: &CountCard, laid: &[LaidFence], size: ArenaSize) -> Option<Gate> {
    let (length, long, wide) = (card.gate.between_markers, size.length.get(), size.width.get());
    if length.get() > long - 2.0 * GATE_FROM_CORNER_M {
        return None;
    }
    let ends = [(long - length.get()) / 2.0, f64::midpoint(long, length.get())];
    let free = |y: f64| {
        let off = |fence: &LaidFence| {
            let (x, up) = (fence.placed.centre.x.get(), (fence.placed.centre.y.get() - y).abs());
            let beside = (ends[0] - x).max(x - ends[1]).max(0.0);
            beside.hypot(up) - fence.placed.width.get() / 2.0
        };
        laid.iter().map(off).fold(f64::INFINITY, f64::min)
    };
    let (low, high) = (GATE_OFF_WALL_M, wide - GATE_OFF_WALL_M);
    let upper = free(high) >= free(low);
    let y = if upper { high } else { low };
    if free(y) < GATE_FROM_FENCE_M {
        return None;
    }
    // the way round that has the arena's middle on its left
    let (from, to) = if upper { (ends[1], ends[0]) } else { (ends[0], ends[1]) };
    let point = |x: f64| Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) };
    Some(Gate { line, from: point(from), to: point(to), length, count: card.n })
}
