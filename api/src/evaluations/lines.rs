//! The addresses at which one line is reckoned.
use super::card::{Circumstances, card};
use super::strides;
use super::wire::{BarnLineIn, LineIn, StrideCardOut};
use crate::access::caller::Caller;
use crate::access::guard::{Entity, May, NoKey, Read};
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::people;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::wire::bounded::WalkedStep;
use crate::wire::json::Json;
use crate::wire::length::distance;
use diesel::QueryResult;
use stridewright_core::policy::{Relation, Resource};
use stridewright_core::stride::{Line, Places};

/// What anybody who is signed in may have reckoned.
pub struct Reckoning;

impl Entity for Reckoning {
    const NAME: &'static str = "reckoning";
    const RESOURCE: Resource = Resource::Account;
    type Key = NoKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &NoKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    fn relation(&self, who: &Standing) -> Relation {
        Relation { own: matches!(who.caller, Caller::Account { .. }), ..Relation::default() }
    }
}

/// What the members of a barn may have reckoned from its horses' own data.
pub struct BarnReckoning;

impl Entity for BarnReckoning {
    const NAME: &'static str = "barn_reckoning";
    const RESOURCE: Resource = Resource::Evaluation;
    type Key = BarnKey;

    fn find(_: &mut AnyConn, _: &Standing, _: &BarnKey) -> QueryResult<Option<Self>> {
        Ok(Some(Self))
    }

    fn relation(&self, _: &Standing) -> Relation {
        Relation::default()
    }
}

/// Reckon a line.
///
/// Every count that the horse can be asked for, with its stride, canter, pace mark and count-in gate. Nothing is
/// stored. A convention for planning: the trainer on the ground decides.
#[utoipa::path(post, path = "/api/v1/lines", request_body = LineIn,
    responses((status = 200, description = "The stride card.", body = StrideCardOut)))]
pub async fn line(may: May<Reckoning, Read>, body: Json<LineIn>) -> Result<Reply<StrideCardOut>, Problem> {
    may.read_body(body, |_, _, asked| {
        let stride = strides::stated(asked.horse, "/horse")?;
        let line = Line {
            distance: distance(asked.distance_m, asked.distance)?,
            first: asked.first_height_cm.metres(),
            second: asked.second_height_cm.metres(),
        };
        let places = Places { room_before: asked.room_before_m, straight: asked.straight_m };
        let around = Circumstances { level: asked.level, places, step: asked.step_m.map(WalkedStep::whole) };
        Ok(Reply::ok(&card(&line, &stride, &around)?))
    })
    .await
}

/// Reckon a line for a horse of the barn.
///
/// With its own normal stride, its calibration, and the range that its rides show.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/lines", params(BarnKey), request_body = BarnLineIn,
    responses((status = 200, description = "The stride card.", body = StrideCardOut)))]
pub async fn barn_line(may: May<BarnReckoning, Read>, body: Json<BarnLineIn>) -> Result<Reply<StrideCardOut>, Problem> {
    may.read_body(body, |look, _, asked| {
        let line = Line {
            distance: distance(asked.distance_m, asked.distance)?,
            first: asked.first_height_cm.metres(),
            second: asked.second_height_cm.metres(),
        };
        let stride = strides::ridden(look, asked.horse_id, asked.pairing_id, "")?;
        let who = look.who;
        let own_step = people::rows::find(look.conn(), who.barn_id, who.person_id)?.and_then(|p| p.step_m);
        let step = asked.step_m.map(WalkedStep::whole).or(own_step.and_then(|step| step.try_into().ok()));
        let places = Places { room_before: asked.room_before_m, straight: asked.straight_m };
        Ok(Reply::ok(&card(&line, &stride, &Circumstances { level: asked.level, places, step })?))
    })
    .await
}
