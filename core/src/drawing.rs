//! Drawings as SVG, to scale, in the ink of the page: they work in black on white, and say in words what they show.
mod arena;
mod fences;
mod findings;
mod labels;
mod marks;
mod page;
mod paper;
mod plan;
mod sheet;
mod svg;
mod words;

pub use marks::{PlanGate, PlanPaceMark};
pub use plan::{Plan, PlanFence, PlanFinding, PlanLine, plan, plan_on_page};
pub use sheet::{BothWays, Sheet, SheetFence, SheetLine, SheetPlace, sheet};
