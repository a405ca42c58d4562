//! Puts together what is said about a layout.
use super::course;
use super::course_wire::CourseIn;
use super::findings::Subject;
use super::grounded::Grounded;
use super::layout_wire::{EquipmentOut, EvaluationOut, LayoutFindingOut, LineJudgedOut};
use super::strides::Stride;
use crate::arenas::rows::ArenaRow;
use crate::arenas::wire::Obstruction;
use crate::exercises::check;
use crate::exercises::layout::{Layout, LayoutLine, LineKind, Measured};
use crate::fence_sets::wire::FenceItems;
use crate::problem::Problem;
use crate::wire::leaf::Count;
use stridewright_core::course::RuleSet;
use stridewright_core::layout::{LineCheck, RoomPreset, Weight};
use stridewright_core::stride::{Line, Pair as Level, Profile};
use stridewright_core::track::{ArenaSize, Obstruction as Fixed, Point, TrackError, TrackRules};
use stridewright_core::units::{Coordinate, Metres, in_both_units};

/// How far the stated distance of a straight line may be off where its fences stand.
const STATED_OFF_M: f64 = 0.05;

/// Where a layout is placed.
pub struct Place {
    pub size: ArenaSize,
    pub indoor: bool,
    pub obstructions: Vec<Obstruction>,
}

impl Place {
    /// An arena of the barn.
    pub fn of(row: ArenaRow) -> Self {
        let size = ArenaSize { length: Metres::nearest(row.length_m), width: Metres::nearest(row.width_m) };
        Self { size, indoor: row.indoor, obstructions: row.obstructions.0.0 }
    }
}

/// A layout with all that it is judged by.
pub struct Asked {
    pub place: Option<Place>,
    pub layout: Layout,
    pub stride: Stride,
    pub level: Option<Level>,
    pub room: Option<RoomPreset>,
    pub shared_with: Vec<Profile>,
    pub owned: Option<FenceItems>,
    /// Whose combinations are asked for.
    pub rules: Option<RuleSet>,
    pub course: Option<CourseIn>,
}

/// What can be said about it.
pub fn evaluation(asked: Asked) -> Result<EvaluationOut, Problem> {
    let size = asked.place.as_ref().map(|place| (place.size.length.get(), place.size.width.get()));
    let mut errors = check::faults(&asked.layout, size, "");
    errors.extend(asked.course.iter().flat_map(|wanted| course::faults(wanted, &asked.layout, asked.place.is_some())));
    Problem::unless_fit(errors)?;
    let asked = Asked { layout: asked.layout.completed(), ..asked };
    // each length is fit by itself, but not all go together: no stride or speed comes of them
    Judge::of(&asked).all().map_err(|e| Problem::at_odds("/lines", e.to_string()))
}

/// A layout, and what it is judged by.
pub struct Judge<'a> {
    pub asked: &'a Asked,
    pub level: Level,
    pub rules: TrackRules,
    pub subject: Subject<'a>,
    pub(super) fixed: Vec<Fixed>,
}

impl<'a> Judge<'a> {
    pub fn of(asked: &'a Asked) -> Self {
        let level = asked.level.or(asked.stride.level).unwrap_or_default();
        let (profile, preset) = (asked.stride.profile.design_stride(), asked.room.unwrap_or(RoomPreset::of(level)));
        let obstructions = asked.place.as_ref().map_or(&[][..], |place| place.obstructions.as_slice());
        let fixed = obstructions.iter().map(|thing| Fixed {
            corner: Point { x: Coordinate::nearest(thing.x_m.get()), y: Coordinate::nearest(thing.y_m.get()) },
            length: thing.length_m.whole(),
            width: thing.width_m.whole(),
        });
        Self {
            asked,
            level,
            rules: TrackRules::usual(profile),
            fixed: fixed.collect(),
            subject: Subject {
                layout: &asked.layout,
                obstructions,
                room: preset.room(profile, level),
                wall_clearance: preset.wall_clearance(),
                write: in_both_units,
            },
        }
    }

    /// The same with lengths written otherwise.
    pub const fn writing(mut self, write: fn(Metres) -> String) -> Self {
        self.subject.write = write;
        self
    }

    fn all(&self) -> Result<EvaluationOut, TrackError> {
        let (lines, findings) = match (self.asked.layout.laid(), &self.asked.place) {
            (Some(laid), Some(place)) => {
                let grounded = self.grounded(&laid, place)?;
                (self.lines_on(&grounded)?, self.findings(&grounded, place))
            }
            _ => {
                let lines: Result<_, TrackError> =
                    self.asked.layout.lines.0.iter().map(|line| self.unplaced(line)).collect();
                (lines?, self.by_the_book())
            }
        };
        let needs = self.asked.layout.equipment();
        let one_go = self.asked.layout.one_go();
        let course = self
            .asked
            .course
            .as_ref()
            .map(|wanted| course::walked(wanted, self.asked, &self.rules, self.subject.room.turn_radius));
        let fits = findings.iter().all(|found| found.weight == Weight::Advice);
        Ok(EvaluationOut {
            fits: self.asked.place.is_some().then_some(fits),
            lines,
            findings,
            equipment: EquipmentOut {
                needs: needs.into(),
                lacks: self.asked.owned.as_ref().map(|owned| needs.lacking(owned.into()).into()),
            },
            course: course.transpose()?,
            efforts: Count::of(one_go.efforts),
            pole_passes: Count::of(one_go.pole_passes),
            height_cm: one_go.height,
            cautions: CAUTIONS.map(str::to_owned).to_vec(),
        })
    }

    /// Each line with the counts that fit it, and the track for each.
    fn lines_on(&self, grounded: &Grounded) -> Result<Vec<LineJudgedOut>, TrackError> {
        let mut lines = Vec::with_capacity(grounded.fitting.len());
        for ((line, check), fitting) in
            self.asked.layout.lines.0.iter().zip(&grounded.check.lines).zip(&grounded.fitting)
        {
            let mut judged = self.line(line, check.as_ref().map(|check| &check.track))?;
            for fit in fitting {
                let of = Line { distance: fit.track.length, ..self.reckoned(line) };
                judged.counts.extend(self.fitting(line, &of, fit.n, Some(&fit.track), fit.lean_advice)?);
            }
            lines.push(judged);
        }
        Ok(lines)
    }

    /// What is found about lines, fences and the arena: the impossible first.
    pub fn findings(&self, grounded: &Grounded, place: &Place) -> Vec<LayoutFindingOut> {
        let mut findings = Vec::new();
        for (line, check) in self.asked.layout.lines.0.iter().zip(&grounded.check.lines) {
            match check {
                Some(check) => {
                    findings.extend(check.findings.iter().map(|found| self.subject.of_line(line, check, found)));
                }
                None => findings.push(Subject::not_ridable(line)),
            }
            findings.extend(self.stated_wrongly(line, check.as_ref()));
        }
        findings.extend(grounded.check.findings.iter().map(|found| self.subject.of_layout(found)));
        let area = place.size.area();
        let side = if place.size.length < place.size.width { place.size.length } else { place.size.width };
        let (least_area, least_side) = RuleSet::Luxembourg1999.least_arena(place.indoor);
        if area < least_area || side < least_side {
            findings.push(self.subject.arena_small(side, area));
        }
        findings.extend(self.by_the_book());
        findings.sort_by_key(|found: &LayoutFindingOut| found.weight == Weight::Advice);
        findings
    }

    /// Where a straight line does not say what stands.
    fn stated_wrongly(&self, line: &LayoutLine, check: Option<&LineCheck>) -> Option<LayoutFindingOut> {
        let track = &check?.track;
        let straight =
            line.kind == LineKind::Straight && line.measured == Measured::InsideToInside && track.curved.is_none();
        let off = (track.length.get() - line.distance_m.get()).abs();
        (straight && off > STATED_OFF_M).then(|| self.subject.not_as_stated(line, track.length))
    }

    /// The strides of all who share the layout's combinations, each by itself.
    pub(super) fn combinations(&self) -> Vec<Vec<Metres>> {
        let has = self.asked.layout.fences.0.iter().any(|fence| fence.combination.is_some());
        let everybody = std::iter::once(&self.asked.stride.profile).chain(&self.asked.shared_with);
        if has { vec![everybody.map(|profile| profile.design_stride()).collect()] } else { Vec::new() }
    }
}

pub const CAUTIONS: [&str; 4] = [
    "Walk every distance before it is jumped; start low and easy.",
    "An approved helmet for everybody who rides, an adult on the ground, and never jump alone.",
    "Safety cups carry the back rail of a spread; empty cups come off.",
    "What is reckoned here is for planning: local rules, the trainer on the ground and the vet decide.",
];
