//! Puts together what a plan or a sheet is made of, and makes it.
use super::lengths::Lengths;
use super::query::{PlanQuery, SetBy, SheetQuery, Whose};
use super::scene::Scene;
use super::when::When;
use super::{Setting, page, pdf};
use crate::access::file::File;
use crate::access::read::Look;
use crate::barns::rows::BarnRow;
use crate::barns::wire::Units;
use crate::evaluations::judged::{Asked, Judge, Place};
use crate::evaluations::strides::Stride;
use crate::exercises::revision_rows::{self, RevisionRow};
use crate::labels::Words;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::sessions::entities::Whole;
use crate::{arenas, barns, exercises};
use stridewright_core::drawing::{Sheet, plan, sheet};
use stridewright_core::ids::{Arena, Id};
use stridewright_core::stride::HUMAN_STEP;
use stridewright_core::units::Metres;

/// The tape that a yard has.
const fn usual_tape(units: Units) -> Metres {
    match units {
        Units::Metric => Metres::nearest(50.0),
        Units::Imperial => Metres::from_feet_inches(165, 0),
    }
}

/// What stands in the database of one exercise.
struct Found {
    asked: Asked,
    title: String,
    revision: i32,
    arena: Option<String>,
    placed_in: Option<Id<Arena>>,
    barn: BarnRow,
}

impl Found {
    fn of(look: &mut Look<'_>, row: RevisionRow, stride: Stride) -> Result<Self, Problem> {
        let (barn, internal) = (row.barn_id, || Problem::new(Kind::Internal));
        let exercise = exercises::rows::find(look.conn(), barn, row.exercise_id)?.ok_or_else(internal)?;
        let arena = match row.arena_id {
            Some(id) => Some(arenas::rows::find(look.conn(), barn, id)?.ok_or_else(internal)?),
            None => None,
        };
        Ok(Self {
            placed_in: row.arena_id,
            arena: arena.as_ref().map(|arena| arena.name.clone()),
            asked: Asked {
                place: arena.map(Place::of),
                layout: row.layout.0,
                stride,
                level: Some(row.level.0),
                room: None,
                shared_with: Vec::new(),
                owned: None,
                rules: None,
                course: None,
            },
            title: exercise.name,
            revision: row.revision,
            barn: barns::rows::find(look.conn(), barn)?.ok_or_else(internal)?,
        })
    }

    fn write(&self) -> fn(Metres) -> String {
        match self.barn.units.0 {
            Units::Metric => |length| Lengths(Units::Metric).line(length),
            Units::Imperial => |length| Lengths(Units::Imperial).line(length),
        }
    }

    /// A session in another arena than the exercise is placed in sets it by its distances.
    fn moved_to(&mut self, look: &mut Look<'_>, whole: &Whole) -> Result<(), Problem> {
        let session = &whole.session;
        let Some(id) = session.arena_id.filter(|id| Some(*id) != self.placed_in) else { return Ok(()) };
        let arena =
            arenas::rows::find(look.conn(), session.barn_id, id)?.ok_or_else(|| Problem::new(Kind::Internal))?;
        (self.asked.place, self.arena) = (None, Some(arena.name));
        Ok(())
    }

    fn setting<'a>(&self, judge: &'a Judge<'a>, asked: Option<&SheetQuery>, when: Option<When>) -> Setting<'a> {
        let units = self.barn.units.0;
        Setting {
            judge,
            title: self.title.clone(),
            revision: self.revision,
            arena: self.arena.clone(),
            barn: self.barn.name.clone(),
            words: Words::of(self.barn.labels.0),
            lengths: Lengths(units),
            step: asked.and_then(|asked| asked.step_m).map_or(HUMAN_STEP, |step| step.0.whole()),
            tape: asked.and_then(|asked| asked.tape_m).map_or(usual_tape(units), |tape| tape.0.whole()),
            set_by: asked.and_then(|asked| asked.set_by).unwrap_or(SetBy::One),
            when,
        }
    }
}

/// The plan of a revision.
pub fn drawn(look: &mut Look<'_>, row: RevisionRow, query: &PlanQuery) -> Result<File, Problem> {
    let stride = Whose::from(query).stride(look)?;
    let found = Found::of(look, row, stride)?;
    let judge = Judge::of(&found.asked).writing(found.write());
    let Some(scene) = Scene::of(&judge).map_err(|_| Problem::new(Kind::Internal))? else {
        return Err(Problem::new(Kind::NotPlaced));
    };
    let drawing = found.setting(&judge, None, None).plan(&scene).map_err(|_| Problem::new(Kind::Internal))?;
    Ok(File::svg(plan(&drawing)))
}

/// A sheet with the language it is in.
pub struct Said {
    sheet: Sheet,
    language: &'static str,
}

/// The sheet of a revision.
pub fn said(look: &mut Look<'_>, row: RevisionRow, whole: Option<&Whole>, query: &SheetQuery) -> Result<Said, Problem> {
    let stride = Whose::from(query).stride(look)?;
    let mut found = Found::of(look, row, stride)?;
    if let Some(whole) = whole {
        found.moved_to(look, whole)?;
    }
    let when = whole.map(|whole| When::of(look, whole, found.barn.labels.0)).transpose()?;
    let judge = Judge::of(&found.asked).writing(found.write());
    let setting = found.setting(&judge, Some(query), when);
    let sheet = Scene::of(&judge).and_then(|scene| setting.sheet(scene.as_ref()));
    Ok(Said { sheet: sheet.map_err(|_| Problem::new(Kind::Internal))?, language: setting.words.language })
}

/// The sheet of a session.
pub fn of_session(look: &mut Look<'_>, whole: &Whole, query: &SheetQuery) -> Result<Said, Problem> {
    let session = &whole.session;
    let (Some(exercise), Some(revision)) = (session.exercise_id, session.revision) else {
        return Err(Problem::new(Kind::NothingToSet));
    };
    let row = revision_rows::find(look.conn(), session.barn_id, exercise, revision)?;
    said(look, row.ok_or_else(|| Problem::new(Kind::Internal))?, Some(whole), query)
}

impl Said {
    pub fn page(&self) -> Result<File, Problem> {
        page::page(&self.sheet, self.language).map(File::html).map_err(|_| Problem::new(Kind::Internal))
    }

    pub fn pdf(&self) -> Result<File, Problem> {
        let written = pdf::pdf(&sheet(&self.sheet), &self.sheet.title, self.language);
        written.map(File::pdf).map_err(|why| {
            tracing::error!(%why, "no sheet came of it");
            Problem::new(Kind::Internal)
        })
    }
}
