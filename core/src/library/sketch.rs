//! What an exercise consists of before it has a place: fences around a middle, and the lines that ride them.
use crate::layout::{FenceKind, LaidFence, Ridden, TurnRadii, jumps};
use crate::stride::{Pair, Profile, StrideError, distance};
use crate::track::{PlacedFence, Point, Track, TrackError, TrackRules, track};
use crate::units::{Centimetres, Coordinate, Degrees, Metres};

/// The width of a narrow rail: no fence is narrower than 2.5 m (Swedish rules as quoted).
const NARROW_RAIL: Metres = Metres::nearest(2.5);

/// For whom an exercise is laid out.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Terms {
    /// Whose strides.
    pub profile: Profile,
    /// How experienced horse and rider are together.
    pub level: Pair,
}

impl Terms {
    /// How high its fences are: choices of ours, well below what the pair jumps.
    #[must_use]
    pub const fn height(self) -> Centimetres {
        let (horse, pony) = match self.level {
            Pair::Novice => (50, 40),
            Pair::Usual => (80, 60),
            Pair::Schooled => (100, 80),
        };
        let height = if matches!(self.profile, Profile::Horse) { horse } else { pony };
        match Centimetres::new(height) {
            Ok(height) => height,
            Err(_) => Centimetres::GROUND,
        }
    }

    /// About how many jumps of it are enough for one day: choices of ours, below every limit that is proposed.
    #[must_use]
    pub const fn enough(self) -> u32 {
        match self.level {
            Pair::Novice => 12,
            Pair::Usual => 18,
            Pair::Schooled => 20,
        }
    }
}

/// A fence of an exercise.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct SketchFence {
    /// Unlike every other's.
    pub label: &'static str,
    /// Where it is, from the middle of the exercise, and what.
    pub laid: LaidFence,
    /// The combination it is an element of.
    pub combination: Option<&'static str>,
}

/// From one fence to the next.
#[derive(Debug, Clone, PartialEq)]
pub struct SketchLine {
    /// By their places in the exercise.
    pub fences: [usize; 2],
    /// Strides to ask for, in this order; none where it is ridden as it comes.
    pub asks: Vec<u32>,
    /// The diameter of a circle that is ridden between them.
    pub circle: Option<Metres>,
}

/// An exercise without a place.
#[derive(Debug, Clone, PartialEq, Default)]
pub struct Sketch {
    /// In the order in which they are first ridden.
    pub fences: Vec<SketchFence>,
    /// In the order of riding.
    pub lines: Vec<SketchLine>,
}

impl Sketch {
    /// Fences jumped in one go; poles on the ground are none.
    #[must_use]
    pub fn efforts(&self) -> u32 {
        let jumped = self.fences.iter().filter(|fence| fence.laid.kind != FenceKind::GroundPole).count();
        u32::try_from(jumped).unwrap_or(u32::MAX)
    }

    /// How its lines ride its fences.
    #[must_use]
    pub fn ridden(&self) -> Vec<[Ridden; 2]> {
        self.lines.iter().map(|line| line.fences.map(|fence| Ridden { fence, against: false })).collect()
    }

    /// Each of its lines as it is ridden; `None` where it cannot be.
    ///
    /// ```
    /// use stridewright_core::layout::TurnRadii;
    /// use stridewright_core::library::{EXERCISES, Terms};
    /// use stridewright_core::stride::{HorseStride, Pair, Profile};
    /// use stridewright_core::track::TrackRules;
    /// let five = EXERCISES.iter().find(|exercise| exercise.key == "related_five").unwrap();
    /// let sketch = five.sketch(Terms { profile: Profile::Horse, level: Pair::Usual })?;
    /// let radii = TurnRadii::of(&HorseStride::unmeasured(Profile::Horse)?, Pair::Usual)?;
    /// let tracks = sketch.tracks(&TrackRules::usual(Profile::Horse.design_stride()), radii)?;
    /// assert!(tracks[0].as_ref().is_some_and(|track| track.curved.is_none()));
    /// # Ok::<(), Box<dyn std::error::Error>>(())
    /// ```
    ///
    /// # Errors
    /// Refuses a radius or stride of 0.
    pub fn tracks(&self, rules: &TrackRules, radii: TurnRadii) -> Result<Vec<Option<Track>>, TrackError> {
        let laid: Vec<LaidFence> = self.fences.iter().map(|fence| fence.laid).collect();
        let ridden = |line| {
            let Some(on) = jumps(&laid, line) else { return Ok(None) };
            let at = |radius| track(&on, rules, radius, Metres::MIN);
            at(radii.usual)?.map_or_else(|| at(radii.tightest), |track| Ok(Some(track)))
        };
        self.ridden().into_iter().map(ridden).collect()
    }

    pub(super) fn put(&mut self, label: &'static str, part: Part, x: f64, y: f64, heading: f64) -> usize {
        let placed = PlacedFence {
            centre: Point { x: Coordinate::nearest(x), y: Coordinate::nearest(y) },
            heading: Degrees::nearest(heading),
            height: part.height,
            spread: part.spread,
            width: if part.narrow { NARROW_RAIL } else { LaidFence::USUAL_WIDTH },
        };
        let laid = LaidFence { placed, kind: part.kind, square: true };
        self.fences.push(SketchFence { label, laid, combination: None });
        self.fences.len() - 1
    }

    pub(super) fn ride(&mut self, from: usize, to: usize, asks: &[u32]) {
        self.lines.push(SketchLine { fences: [from, to], asks: asks.to_vec(), circle: None });
    }

    /// Fences behind each other, straight on, with those gaps between their inner faces; centred.
    pub(super) fn row(parts: &[(&'static str, Part)], gaps: &[f64]) -> Self {
        let spreads: f64 = parts.iter().map(|(_, part)| part.spread.get()).sum();
        let mut x = -(spreads + gaps.iter().sum::<f64>()) / 2.0;
        let mut sketch = Self::default();
        for (i, (label, part)) in parts.iter().enumerate() {
            let deep = part.spread.get();
            sketch.put(label, *part, x + deep / 2.0, 0.0, 0.0);
            x += deep + gaps.get(i).copied().unwrap_or(0.0);
        }
        sketch
    }
}

/// What a fence of a sketch is built as.
#[derive(Debug, Clone, Copy, PartialEq)]
pub(super) struct Part {
    pub kind: FenceKind,
    pub height: Centimetres,
    pub spread: Metres,
    pub narrow: bool,
}

impl Part {
    pub const POLE: Self = Self { height: Centimetres::GROUND, ..Self::of(FenceKind::GroundPole, Centimetres::GROUND) };

    pub const fn of(kind: FenceKind, height: Centimetres) -> Self {
        Self { kind, height, spread: Metres::MIN, narrow: false }
    }

    pub const fn vertical(terms: &Terms) -> Self {
        Self::of(FenceKind::Vertical, terms.height())
    }

    pub const fn cross(terms: &Terms) -> Self {
        Self::of(FenceKind::CrossPole, terms.height())
    }

    /// As deep as it is high, less a fifth.
    pub fn oxer(terms: &Terms) -> Self {
        let spread = Metres::nearest((terms.height().metres().get() * 0.8 * 20.0).round() / 20.0);
        Self { spread, ..Self::of(FenceKind::Oxer, terms.height()) }
    }

    pub const fn narrow(self) -> Self {
        Self { narrow: true, ..self }
    }
}

/// The distance that rides in `n` of the profile's strides, to the nearest 5 cm.
pub(super) fn rides(terms: &Terms, n: u32, first: Part, second: Part) -> Result<f64, StrideError> {
    let stride = terms.profile.design_stride();
    let exact = distance(n, stride, stride, first.height.metres(), second.height.metres())?;
    Ok((exact.get() * 20.0).round() / 20.0)
}
