//! The setting sheet: what is needed to set an exercise by tape, in the order in which it is done.
use super::Setting;
use super::lengths::COLUMN_UNIT;
use super::scene::{Drawn, Scene};
use crate::exercises::layout::{LayoutLine, LineKind, Measured};
use stridewright_core::drawing::{BothWays, Sheet, SheetLine};
use stridewright_core::layout::Weight;
use stridewright_core::stride::steps_on_foot;
use stridewright_core::track::TrackError;
use stridewright_core::units::{Centimetres, Metres};

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
            format!("{}{} on the ground until the last check is right.", poles[..1].to_uppercase(), &poles[1..]),
            "Empty cups off every wing.".to_owned(),
        ];
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
            steps: steps_on_foot(distance, self.step)?.whole.to_string(),
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

    /// What is measured once more at the end: a straight line as it is stated, a bend by its straight distance, since a
    /// tape cannot follow the curve.
    fn check(&self, scene: Option<&Scene>, line: &LayoutLine, drawn: Option<&Drawn>) -> Option<String> {
        let between = format!("{} to {}", line.from.as_str(), line.to.as_str());
        let Some(drawn) = drawn.filter(|drawn| drawn.track.curved.is_some()) else {
            return Some(format!("{between} {}", self.lengths.line(line.distance_m.whole())));
        };
        let [from, to] = scene?.ridden.get(drawn.line).copied()?;
        let middle = |fence: usize| scene?.laid.get(fence).map(|laid| laid.placed.centre);
        let (from, to) = (middle(from.fence)?, middle(to.fence)?);
        let straight = (to.x.get() - from.x.get()).hypot(to.y.get() - from.y.get());
        Some(format!("{between} {}, middle to middle", self.lengths.line(Metres::nearest(straight))))
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

fn measured(line: &LayoutLine, drawn: Option<&Drawn>) -> String {
    let bends = drawn.map_or(line.kind == LineKind::Bending, |drawn| drawn.track.curved.is_some());
    match (bends, line.measured) {
        (true, _) | (false, Measured::CentreToCentre) => "centre to centre".to_owned(),
        (false, Measured::InsideToInside) => "inside to inside".to_owned(),
    }
}
