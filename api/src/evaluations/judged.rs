//! Puts together what is said about a layout.
use super::course;
use super::course_wire::CourseIn;
use super::findings::Subject;
use super::layout_wire::{EquipmentOut, EvaluationOut, LayoutFindingOut, LineJudgedOut};
use super::strides::Stride;
use crate::arenas::wire::Obstruction;
use crate::exercises::check;
use crate::exercises::layout::{Layout, LayoutLine, LineKind, Measured};
use crate::fence_sets::wire::FenceItems;
use crate::problem::Problem;
use crate::wire::leaf::Count;
use stridewright_core::course::RuleSet;
use stridewright_core::layout::{
    LaidFence, LayoutWanted, LineCheck, RoomPreset, Weight, check_whole, jumps, others, schooling,
};
use stridewright_core::stride::{LeanLimits, Line, Pair as Level, Profile, canter, least_radius};
use stridewright_core::track::{
    ArenaSize, Ground, Obstruction as Fixed, Point, Stands, TrackError, TrackRules, fitting_counts,
};
use stridewright_core::units::{Coordinate, Metres};

/// How far the stated distance of a straight line may be off where its fences stand.
const STATED_OFF_M: f64 = 0.05;

/// Where a layout is placed.
pub struct Place {
    pub size: ArenaSize,
    pub indoor: bool,
    pub obstructions: Vec<Obstruction>,
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
pub(super) struct Judge<'a> {
    pub asked: &'a Asked,
    pub level: Level,
    pub rules: TrackRules,
    subject: Subject<'a>,
    fixed: Vec<Fixed>,
}

impl<'a> Judge<'a> {
    fn of(asked: &'a Asked) -> Self {
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
            },
        }
    }

    fn all(&self) -> Result<EvaluationOut, TrackError> {
        let (mut lines, mut findings) = (Vec::new(), Vec::new());
        match (self.asked.layout.laid(), &self.asked.place) {
            (Some(laid), Some(place)) => self.on_the_ground(&laid, place, &mut lines, &mut findings)?,
            _ => {
                for line in &self.asked.layout.lines.0 {
                    lines.push(self.unplaced(line)?);
                }
            }
        }
        findings.sort_by_key(|found: &LayoutFindingOut| found.weight == Weight::Advice);
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

    fn on_the_ground(
        &self,
        laid: &[LaidFence],
        place: &Place,
        lines: &mut Vec<LineJudgedOut>,
        findings: &mut Vec<LayoutFindingOut>,
    ) -> Result<(), TrackError> {
        let stride = &self.asked.stride.horse;
        let floor = schooling(self.level).radius_floor();
        let speed = canter(stride.normal_stride(), stride.normal_stride(), stride.calibration())?.speed;
        let ground = Ground {
            arena: place.size,
            wall_clearance: self.subject.wall_clearance,
            others: &[],
            obstructions: &self.fixed,
            stands: Stands::USUAL,
        };
        let wanted = LayoutWanted {
            ground,
            rules: self.rules,
            turn_radius: least_radius(speed, LeanLimits::USUAL.advice, floor)?.radius,
            room: self.subject.room,
        };
        let ridden: Vec<_> =
            self.asked.layout.lines.0.iter().filter_map(|line| self.asked.layout.ridden(line)).collect();
        let check = check_whole(laid, &ridden, &self.combinations(), &wanted)?;
        for ((line, ridden), check) in self.asked.layout.lines.0.iter().zip(&ridden).zip(&check.lines) {
            let own: Vec<LayoutFindingOut> = match check {
                Some(check) => check.findings.iter().map(|found| self.subject.of_line(line, check, found)).collect(),
                None => vec![Subject::not_ridable(line)],
            };
            findings.extend(own);
            findings.extend(stated_wrongly(line, check.as_ref()));
            let others = others(laid, *ridden, &ground);
            let fitting = match jumps(laid, *ridden) {
                Some(on) => fitting_counts(
                    &on,
                    &self.rules,
                    stride,
                    LeanLimits::USUAL,
                    floor,
                    &Ground { others: &others, ..ground },
                )?,
                None => Vec::new(),
            };
            let mut judged = self.line(line, check.as_ref().map(|check| &check.track))?;
            for fit in fitting.iter().filter(|_| line.kind != LineKind::WithCircle) {
                let of = Line { distance: fit.track.length, ..self.reckoned(line) };
                judged.counts.extend(self.fitting(line, &of, fit.n, Some(&fit.track), fit.lean_advice)?);
            }
            lines.push(judged);
        }
        findings.extend(check.findings.iter().map(|found| self.subject.of_layout(found)));
        let (length, width) = (place.size.length.get(), place.size.width.get());
        let (least_area, least_side) = RuleSet::Luxembourg1999.least_arena(place.indoor);
        if length * width < least_area || width.min(length) < least_side.get() {
            findings.push(Subject::arena_small(Metres::nearest(width.min(length)), (length * width).round()));
        }
        Ok(())
    }

    /// The strides of all who share the layout's combinations, each by itself.
    fn combinations(&self) -> Vec<Vec<Metres>> {
        let has = self.asked.layout.fences.0.iter().any(|fence| fence.combination.is_some());
        let everybody = std::iter::once(&self.asked.stride.profile).chain(&self.asked.shared_with);
        if has { vec![everybody.map(|profile| profile.design_stride()).collect()] } else { Vec::new() }
    }
}

const CAUTIONS: [&str; 4] = [
    "Walk every distance before it is jumped; start low and easy.",
    "An approved helmet for everybody who rides, an adult on the ground, and never jump alone.",
    "Safety cups carry the back rail of a spread; empty cups come off.",
    "What is reckoned here is for planning: local rules, the trainer on the ground and the vet decide.",
];

/// Where a straight line does not say what stands.
fn stated_wrongly(line: &LayoutLine, check: Option<&LineCheck>) -> Option<LayoutFindingOut> {
    let track = &check?.track;
    let straight =
        line.kind == LineKind::Straight && line.measured == Measured::InsideToInside && track.curved.is_none();
    let off = (track.length.get() - line.distance_m.get()).abs();
    (straight && off > STATED_OFF_M).then(|| Subject::not_as_stated(line, track.length))
}
