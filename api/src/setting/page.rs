//! The sheet as a page that prints on A4.
use askama::Template;
use stridewright_core::drawing::{Sheet, plan_on_page};

/// So wide is the plan below the tables, and so high at most.
const PLAN: (u16, u16) = (960, 640);

#[derive(Template)]
#[template(path = "setting_sheet.html")]
struct Page<'a> {
    sheet: &'a Sheet,
    language: &'a str,
    plan: String,
}

/// The page; a template cannot fail on what it is given here.
pub fn page(sheet: &Sheet, language: &str) -> Result<String, askama::Error> {
    let plan = sheet.plan.as_ref().map(|plan| plan_on_page(plan, PLAN.0, PLAN.1)).unwrap_or_default();
    Page { sheet, language, plan }.render()
}
