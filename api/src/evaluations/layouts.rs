//! The addresses at which a whole layout is judged.
use super::judged::{Asked, Place, evaluation};
use super::layout_wire::{BarnEvaluationIn, EvaluationIn, EvaluationOut};
use super::lines::{BarnReckoning, Reckoning};
use super::strides;
use crate::access::guard::{May, Read};
use crate::access::read::Look;
use crate::access::reply::Reply;
use crate::exercises::layout::Layout;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::{arenas, fence_sets};
use stridewright_core::ids::{Arena, FenceSet, Id};
use stridewright_core::track::ArenaSize;

/// Judge a layout.
///
/// For each line the counts that it allows a horse, each on the track that asks the least turning; what does not fit
/// and what would mend it; what it is built of; and a course as it is walked. Nothing is stored. A convention for
/// planning: the trainer on the ground decides.
#[utoipa::path(post, path = "/api/v1/evaluations", request_body = EvaluationIn,
    responses((status = 200, description = "What is said about it.", body = EvaluationOut)))]
pub async fn evaluate(may: May<Reckoning, Read>, body: Json<EvaluationIn>) -> Result<Reply<EvaluationOut>, Problem> {
    may.read_body(body, |_, _, asked| {
        let place = asked.arena.map(|arena| Place {
            size: ArenaSize { length: arena.length_m.whole(), width: arena.width_m.whole() },
            indoor: arena.indoor == Some(true),
            obstructions: arena.obstructions.unwrap_or_default().0,
        });
        Ok(Reply::ok(&evaluation(Asked {
            place,
            layout: Layout { fences: asked.fences, lines: asked.lines.unwrap_or_default() },
            stride: strides::stated(asked.horse, "/horse")?,
            level: asked.level,
            room: asked.room,
            shared_with: asked.shared_with.unwrap_or_default().0,
            owned: asked.fence_set,
            rules: asked.rules,
            course: asked.course,
        })?))
    })
    .await
}

/// Judge a layout for a horse of the barn.
///
/// In an arena of the barn, from its fence set, with the horse's own normal stride and the range that its rides show.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/evaluations", params(BarnKey), request_body = BarnEvaluationIn,
    responses((status = 200, description = "What is said about it.", body = EvaluationOut)))]
pub async fn barn_evaluate(
    may: May<BarnReckoning, Read>,
    body: Json<BarnEvaluationIn>,
) -> Result<Reply<EvaluationOut>, Problem> {
    may.read_body(body, |look, _, asked| {
        let place = asked.arena_id.map(|id| place(look, id)).transpose()?;
        let owned = asked.fence_set_id.map(|id| owned(look, id)).transpose()?;
        Ok(Reply::ok(&evaluation(Asked {
            place,
            layout: Layout { fences: asked.fences, lines: asked.lines.unwrap_or_default() },
            stride: strides::ridden(look, asked.horse_id, asked.pairing_id, "")?,
            level: asked.level,
            room: asked.room,
            shared_with: asked.shared_with.unwrap_or_default().0,
            owned,
            rules: asked.rules,
            course: asked.course,
        })?))
    })
    .await
}

/// An arena of the barn.
fn place(look: &mut Look<'_>, id: Id<Arena>) -> Result<Place, Problem> {
    let barn = look.who.barn_id;
    let row = arenas::rows::find(look.conn(), barn, id)?;
    let row = row.ok_or_else(|| Problem::unknown_reference("/arena_id", "arena"))?;
    Ok(Place::of(row))
}

fn owned(look: &mut Look<'_>, id: Id<FenceSet>) -> Result<fence_sets::wire::FenceItems, Problem> {
    let barn = look.who.barn_id;
    let row = fence_sets::rows::find(look.conn(), barn, id)?;
    Ok(row.ok_or_else(|| Problem::unknown_reference("/fence_set_id", "fence set"))?.items.0)
}
