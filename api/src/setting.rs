//! Setting an exercise: its plan to scale, and the sheet that it is set by.
mod equipment;
mod fences;
pub mod handlers;
pub mod lengths;
mod page;
mod pdf;
mod places;
mod plan;
mod query;
mod scene;
mod sheet;
mod shown;
mod stride_card;
mod when;

use crate::evaluations::judged::Judge;
use crate::exercises::layout::Layout;
use crate::labels::Words;
use lengths::Lengths;
use query::SetBy;
use stridewright_core::units::Metres;
use when::When;

/// An exercise that is drawn or set, and how its readers want it said.
pub struct Setting<'a> {
    pub judge: &'a Judge<'a>,
    pub title: String,
    pub revision: i32,
    /// The name of its arena, where it has one.
    pub arena: Option<String>,
    pub barn: String,
    pub words: &'static Words,
    pub lengths: Lengths,
    pub step: Metres,
    pub tape: Metres,
    pub set_by: SetBy,
    /// Of the session that it is set for.
    pub when: Option<When>,
}

impl Setting<'_> {
    const fn layout(&self) -> &Layout {
        &self.judge.asked.layout
    }

    /// The arena's name and size.
    fn place(&self) -> String {
        let size = self.judge.asked.place.as_ref().map(|place| place.size);
        match (&self.arena, size) {
            (Some(name), Some(size)) => format!("{name}, {} × {} m", size.length.get(), size.width.get()),
            _ => String::new(),
        }
    }
}
