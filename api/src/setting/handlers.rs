//! The addresses of plans and setting sheets.
use super::query::{CardQuery, PlanQuery, SheetQuery};
use super::{shown, stride_card};
use crate::access::file::{Bytes, File};
use crate::access::guard::{May, Read};
use crate::access::query::Query;
use crate::evaluations::lines::BarnReckoning;
use crate::exercises::revision_rows::RevisionRow;
use crate::exercises::revisions::RevisionKey;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::sessions::entities::{SessionKey, Whole};

/// A plan.
///
/// The arena with fences, lines and tracks to scale, as SVG; the same in words inside it.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions/{revision}/plan.svg",
    params(RevisionKey, PlanQuery),
    responses((status = 200, description = "The plan.", body = String, content_type = "image/svg+xml")))]
pub async fn plan_svg(may: May<RevisionRow, Read>, query: Query<PlanQuery>) -> Result<File, Problem> {
    may.read_with(query, |look, row, query| Ok(shown::drawn(look, row, &query)?.version(1))).await
}

/// A card to count a normal stride by.
///
/// Two poles, four rides, and what each count comes to; it prints on A5. A convention for planning.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/normal-stride-card.html", params(BarnKey, CardQuery),
    responses((status = 200, description = "The card.", body = String, content_type = "text/html")))]
pub async fn card_html(may: May<BarnReckoning, Read>, query: Query<CardQuery>) -> Result<File, Problem> {
    may.read_with(query, |look, _, query| stride_card::card(look, query.profile)).await
}

/// A setting sheet.
///
/// What is needed to set the exercise by tape, in the order in which it is done; it prints on A4.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions/{revision}/setting-sheet.html",
    params(RevisionKey, SheetQuery),
    responses((status = 200, description = "The sheet.", body = String, content_type = "text/html")))]
pub async fn sheet_html(may: May<RevisionRow, Read>, query: Query<SheetQuery>) -> Result<File, Problem> {
    may.read_with(query, |look, row, query| Ok(shown::said(look, row, None, &query)?.page()?.version(1))).await
}

/// A setting sheet as PDF.
///
/// The same, page by page.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/exercises/{exercise_id}/revisions/{revision}/setting-sheet.pdf",
    params(RevisionKey, SheetQuery),
    responses((status = 200, description = "The sheet.", body = Bytes, content_type = "application/pdf")))]
pub async fn sheet_pdf(may: May<RevisionRow, Read>, query: Query<SheetQuery>) -> Result<File, Problem> {
    may.read_with(query, |look, row, query| Ok(shown::said(look, row, None, &query)?.pdf()?.version(1))).await
}

/// The setting sheet of a session.
///
/// With its time, whoever asked for it, its fence set, and what changes between its riders.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/setting-sheet.html",
    params(SessionKey, SheetQuery),
    responses((status = 200, description = "The sheet.", body = String, content_type = "text/html")))]
pub async fn session_html(may: May<Whole, Read>, query: Query<SheetQuery>) -> Result<File, Problem> {
    may.read_with(query, |look, whole, query| Ok(shown::of_session(look, &whole, &query)?.page()?.version(whole.tag())))
        .await
}

/// The setting sheet of a session as PDF.
///
/// The same, page by page.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/setting-sheet.pdf",
    params(SessionKey, SheetQuery),
    responses((status = 200, description = "The sheet.", body = Bytes, content_type = "application/pdf")))]
pub async fn session_pdf(may: May<Whole, Read>, query: Query<SheetQuery>) -> Result<File, Problem> {
    may.read_with(query, |look, whole, query| Ok(shown::of_session(look, &whole, &query)?.pdf()?.version(whole.tag())))
        .await
}
