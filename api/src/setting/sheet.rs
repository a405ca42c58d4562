//! The setting sheet: what is needed to set an exercise by tape, in the order in which it is done.
use super::Setting;
use super::lengths::COLUMN_UNIT;
use super::query::SetBy;
use super::scene::{Drawn, Scene};
use crate::exercises::layout::{LayoutLine, LineKind, Measured};
use stridewright_core::drawing::{BothWays, Sheet, SheetLine};
use stridewright_core::layout::Weight;
use stridewright_core::stride::steps_on_foot;
use stridewright_core::track::{Bends, Point, TrackError};
use stridewright_core::units::{Centimetres, Coordinate, Metres};

impl Setting<'_> {
    /// All that the sheet says; a layout without a place has neither readings nor a plan.
    pub fn sheet(&self, scene: Option<&Scene>) -> Result<Sheet, TrackError> {
        let placed = scene.map(|scene| self.places(scene)).transpose()?;
        let (rows, out_of_reach) = placed.map_or_else(Default::default, |placed| (placed.rows, placed.out_of_reach));
        let size = self.judge.asked.place.as_ref().map(|place| place.size);
        let when = self.when.as_ref();
        let lines = &self.layout().lines.0;
        let drawn = |n: usize| scene.and_then(|scene| scene.ridden_line(n));
        Ok(Sheet {
            title: self.title.clone(),
            arena: BothWays {
                own: match (&self.arena, size) {
                    (Some(name), Some(_)) => format!("{name},"),
                    (name, _) => name.clone().unwrap_or_default(),
                },
                other: size.map(|s| format!("{} × {} m", s.length.get(), s.width.get())).unwrap_or_default(),
            },
            time: when.map_or_else(Default::default, |when| [format!("{},", when.day), when.hour.clone()]),
            ready_by: when.map(|when| when.ready_by.clone()).unwrap_or_default(),
            asked_by: when.map(|when| when.asked_by.clone()).unwrap_or_default(),
            revision: self.revision.to_string(),
            first: self.first(scene, &out_of_reach),
            poles: self.words.poles.to_owned(),
            method: self.method(),
            readings: self.readings(),
            places: rows,
            fences: self.fence_rows(scene)?,
            lines: lines
                .iter()
                .enumerate()
                .map(|(n, line)| self.sheet_line(line, drawn(n)))
                .collect::<Result<_, _>>()?,
            unit: COLUMN_UNIT.to_owned(),
            step: format!("{} steps", self.lengths.beside(self.step).own),
            between: self.between(),
            equipment: self.equipment(scene),
            from_set: self.from_set(),
            last_check: lines.iter().enumerate().filter_map(|(n, line)| self.check(scene, line, drawn(n))).collect(),
            caution: "Walk every distance before it is jumped. An adult on the ground. Start low and easy.".to_owned(),
            barn: self.barn.clone(),
            plan: scene.map(|scene| self.plan(scene)).transpose()?,
        })
    }

    /// What is done before anything is set; what cannot be set is said here.
    fn first(&self, scene: Option<&Scene>, out_of_reach: &[String]) -> Vec<String> {
        let poles = self.words.poles;
        let mut first = vec![
            "Footing: no holes at take-off and landing.".to_owned(),
            format!("Take out what stands in the {} and is not on the plan.", self.words.arena),
            format!("All {poles} on the ground first; wings, cups and heights after the last check."),
            "Empty cups off every wing.".to_owned(),
        ];
        if scene.is_some() {
            first.push(
                "T, U, Y, Z are the corners in turn: at T, look along the long wall to U, the arena on your left."
                    .to_owned(),
            );
        }
        if scene.is_some() && self.set_by == SetBy::One {
            first.push("Square off by three, four, five: 3 along the wall, 4 in from it, 5 across.".to_owned());
        }
        if scene.is_none() {
            first.push("It has no place here yet: set it by its distances, with room before and after it.".to_owned());
        }
        if !out_of_reach.is_empty() {
            first.push(format!("This tape is too short for {}: take a longer one.", out_of_reach.join(", ")));
        }
        let impossible = scene.iter().flat_map(|scene| &scene.findings).filter(|f| f.weight == Weight::Impossible);
        first.extend(impossible.map(|found| format!("Not as it stands: {} {}", found.words, found.cure)));
        first
    }

    fn sheet_line(&self, line: &LayoutLine, drawn: Option<&Drawn>) -> Result<SheetLine, TrackError> {
        let distance = drawn.map_or_else(|| line.distance_m.whole(), |drawn| self.distance(line, drawn));
        let mut asks = line.asks.iter().flat_map(|asks| &asks.0).map(|ask| ask.get().to_string());
        let first = asks.next().unwrap_or_default();
        let then: Vec<String> = asks.collect();
        Ok(SheetLine {
            fences: format!("{} to {}", line.from.as_str(), line.to.as_str()),
            distance: self.lengths.column(distance),
            steps: self.steps(distance)?,
            measured: measured(line, drawn),
            asked: BothWays {
                other: match (first.is_empty(), then.is_empty()) {
                    (true, _) => "as it comes".to_owned(),
                    (false, true) => String::new(),
                    (false, false) => format!("then {}", then.join(", ")),
                },
                own: first,
            },
        })
    }

    /// In whole steps and tenths of one.
    fn steps(&self, distance: Metres) -> Result<String, TrackError> {
        let walked = steps_on_foot(distance, self.step)?;
        Ok(format!("{:.1}", f64::from(walked.whole) + walked.left_over.get() / self.step.get()))
    }

    /// What is measured once more at the end: a straight line as it is stated, a bend by its straight distance, since a
    /// tape cannot follow the curve; and between the ends of both, which tell a rail that is twisted.
    fn check(&self, scene: Option<&Scene>, line: &LayoutLine, drawn: Option<&Drawn>) -> Option<String> {
        let between = format!("{} to {}", line.from.as_str(), line.to.as_str());
        let stated = format!("{between} {}", self.lengths.line(line.distance_m.whole()));
        let Some((scene, drawn)) = scene.zip(drawn) else { return Some(stated) };
        let ridden = scene.ridden.get(drawn.line).copied()?;
        let rails = ridden.map(|ridden| Some(scene.laid.get(ridden.fence)?.front_rail(ridden.against)));
        let [Some([left, right]), Some([other_left, other_right])] = rails else { return Some(stated) };
        let apart = |from: Point, to: Point| {
            let (along, across) = (to.x.get() - from.x.get(), to.y.get() - from.y.get());
            self.lengths.line(Metres::nearest(along.hypot(across)))
        };
        let middle = |one: Point, other: Point| Point {
            x: Coordinate::nearest(f64::midpoint(one.x.get(), other.x.get())),
            y: Coordinate::nearest(f64::midpoint(one.y.get(), other.y.get())),
        };
        let first = if drawn.track.curved.is_some() {
            let straight = apart(middle(left, right), middle(other_left, other_right));
            format!("{between} {straight}, straight, middle to middle")
        } else {
            stated
        };
        let (lefts, rights) = (apart(left, other_left), apart(right, other_right));
        Some(format!("{first}; front {}: left ends {lefts}, right {rights}", self.words.poles))
    }

    /// What changes from rider to rider, the lowest first: never above what is planned, and distances stay.
    fn between(&self) -> Vec<String> {
        let Some(when) = &self.when else { return Vec::new() };
        let highest = self.layout().one_go().height;
        let mut stands = when.riders.first().and_then(|first| first.height).map_or(highest, |h| h.min(highest));
        let mut changes = Vec::new();
        for rider in when.riders.iter().skip(1) {
            let wanted = rider.height.map_or(highest, |height| height.min(highest));
            if wanted == stands {
                continue;
            }
            let height = self.lengths.height(wanted);
            let which = self.higher_than(stands);
            changes.push(format!(
                "Before {}: {which} up to at most {} {}. All distances stay.",
                rider.who, height.own, height.other
            ));
            stands = wanted;
        }
        changes
    }

    /// The labels of the fences that are planned higher.
    fn higher_than(&self, height: Centimetres) -> String {
        let higher = self.layout().fences.0.iter().filter(|fence| fence.height_cm > height);
        higher.map(|fence| fence.label.as_str()).collect::<Vec<_>>().join(", ")
    }
}

/// Which way the line bends, or between which faces it is measured.
fn measured(line: &LayoutLine, drawn: Option<&Drawn>) -> String {
    let bends = drawn.and_then(|drawn| drawn.track.curved).map(|curved| curved.bends);
    let words = match (bends, line.measured) {
        (Some(Bends::Lsl), _) => "along the track, left",
        (Some(Bends::Rsr), _) => "along the track, right",
        (Some(Bends::Lsr), _) => "along the track, left, right",
        (Some(Bends::Rsl), _) => "along the track, right, left",
        (None, _) if line.kind == LineKind::Bending => "along the track",
        (None, Measured::CentreToCentre) => "centre to centre",
        (None, Measured::InsideToInside) => "inside to inside",
    };
    words.to_owned()
}
