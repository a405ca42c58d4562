//! An exercise of the library for somebody, and in an arena.
use super::laid_out::layout;
use super::wire::{LaidOut, LibraryLayoutOut, PlacingQuery};
use crate::evaluations::judged::{Asked, CAUTIONS, Judge, Place};
use crate::evaluations::layout_wire::LayoutFindingOut;
use crate::evaluations::strides;
use crate::evaluations::wire::StrideIn;
use crate::exercises::layout::Layout;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::leaf::Count;
use crate::wire::list::List;
use stridewright_core::ids::{Arena, Id};
use stridewright_core::layout::TurnRadii;
use stridewright_core::library::{Exercise, Sketch, Terms, place};
use stridewright_core::stride::{HorseStride, Pair as Level, Profile};
use stridewright_core::track::TrackRules;

/// The exercise and for whom it is laid out.
pub struct Chosen {
    pub exercise: &'static Exercise,
    pub terms: Terms,
}

impl Chosen {
    /// By its key; a level that it is not for is refused.
    pub fn of(exercise: &'static Exercise, profile: Option<Profile>, level: Option<Level>) -> Result<Self, Problem> {
        let first = exercise.levels.first().copied().unwrap_or_default();
        let (profile, level) = (profile.unwrap_or(Profile::Horse), level.unwrap_or(first));
        if !exercise.levels.contains(&level) {
            return Err(Problem::at_odds("?level", "is none of the levels that this exercise is for"));
        }
        Ok(Self { exercise, terms: Terms { profile, level } })
    }

    fn sketch(&self) -> Result<Sketch, Problem> {
        self.exercise.sketch(self.terms).map_err(|_| Problem::new(Kind::Internal))
    }

    /// By its distances alone.
    pub fn unplaced(&self) -> Result<LibraryLayoutOut, Problem> {
        let (sketch, rules) = (self.sketch()?, TrackRules::usual(self.terms.profile.design_stride()));
        let internal = |_| Problem::new(Kind::Internal);
        let horse = HorseStride::unmeasured(self.terms.profile).map_err(internal)?;
        let radii = TurnRadii::of(&horse, self.terms.level).map_err(internal)?;
        let tracks = sketch.tracks(&rules, radii).map_err(|_| Problem::new(Kind::Internal))?;
        let laid_out = layout(&sketch, &tracks, None).ok_or_else(|| Problem::new(Kind::Internal))?;
        self.shown(laid_out, None, Vec::new())
    }

    /// Where it fits best in an arena; refused where it fits nowhere.
    pub fn placed(&self, id: Id<Arena>, ground: Place, query: &PlacingQuery) -> Result<LibraryLayoutOut, Problem> {
        let internal = |_| Problem::new(Kind::Internal);
        let stride = StrideIn { profile: Some(self.terms.profile), ..StrideIn::default() };
        let mut asked = Asked {
            place: Some(ground),
            layout: Layout { fences: List::default(), lines: List::default() },
            stride: strides::stated(Some(stride), "?")?,
            level: Some(self.terms.level),
            room: query.room,
            shared_with: Vec::new(),
            owned: None,
            rules: None,
            course: None,
        };
        let sketch = self.sketch()?;
        let found = {
            let judge = Judge::of(&asked);
            let Some(ground) = &asked.place else { return Err(Problem::new(Kind::Internal)) };
            place(&sketch, &judge.wanted(ground).map_err(internal)?).map_err(internal)?
        };
        let Some(found) = found else { return Err(Problem::new(Kind::NoRoom)) };
        let tracks: Vec<_> =
            found.check.lines.iter().map(|line| line.as_ref().map(|line| line.track.clone())).collect();
        let laid_out = layout(&sketch, &tracks, Some(&found.fences)).ok_or_else(|| Problem::new(Kind::Internal))?;
        asked.layout = laid_out.clone();
        let findings = match (asked.layout.laid(), &asked.place) {
            (Some(laid), Some(ground)) => {
                let judge = Judge::of(&asked);
                judge.findings(&judge.grounded(&laid, ground).map_err(internal)?, ground)
            }
            _ => Vec::new(),
        };
        self.shown(laid_out, Some(id), findings)
    }

    fn shown(
        &self,
        layout: Layout,
        arena_id: Option<Id<Arena>>,
        findings: Vec<LayoutFindingOut>,
    ) -> Result<LibraryLayoutOut, Problem> {
        let (go, terms) = (layout.one_go(), self.terms);
        let repeats = self.exercise.repeats(terms).map_err(|_| Problem::new(Kind::Internal))?;
        Ok(LibraryLayoutOut {
            exercise: self.exercise.into(),
            profile: terms.profile,
            revision: LaidOut { arena_id, level: terms.level, fences: layout.fences, lines: layout.lines },
            repeats: Count::of(repeats),
            efforts: Count::of(go.efforts),
            pole_passes: Count::of(go.pole_passes),
            findings,
            cautions: CAUTIONS.map(str::to_owned).to_vec(),
        })
    }
}
