//! The addresses at which a group's distance is reckoned.
use super::group::{Rider, distances};
use super::group_wire::{BarnGroupIn, GroupDistancesOut, GroupIn};
use super::lines::{BarnReckoning, Reckoning};
use super::strides;
use crate::access::guard::{May, Read};
use crate::access::reply::Reply;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::wire::json::Json;

/// Reckon a distance for a group.
///
/// The fewest distances at which every horse has a count within a tenth of its normal stride, and who rides at
/// which. Nothing is stored.
#[utoipa::path(post, path = "/api/v1/group-distances", request_body = GroupIn,
    responses((status = 200, description = "The distances.", body = GroupDistancesOut)))]
pub async fn group(may: May<Reckoning, Read>, body: Json<GroupIn>) -> Result<Reply<GroupDistancesOut>, Problem> {
    may.read_body(body, |_, _, asked| {
        let terms = asked.terms();
        let riders = asked.members.0.into_iter().enumerate().map(|(n, member)| {
            Ok(Rider {
                stride: strides::stated(member.horse, &format!("/members/{n}/horse"))?,
                label: member.label,
                first: member.first_height_cm,
                second: member.second_height_cm,
                set_as: member.set_as,
            })
        });
        let riders = riders.collect::<Result<_, Problem>>()?;
        Ok(Reply::ok(&distances(&terms, riders)?))
    })
    .await
}

/// Reckon a distance for horses of the barn.
///
/// With their own normal strides and the ranges that their rides show.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/group-distances", params(BarnKey), request_body = BarnGroupIn,
    responses((status = 200, description = "The distances.", body = GroupDistancesOut)))]
pub async fn barn_group(
    may: May<BarnReckoning, Read>,
    body: Json<BarnGroupIn>,
) -> Result<Reply<GroupDistancesOut>, Problem> {
    may.read_body(body, |look, _, asked| {
        let terms = asked.terms();
        let riders = asked.members.0.into_iter().enumerate().map(|(n, member)| {
            Ok(Rider {
                stride: strides::ridden(look, member.horse_id, member.pairing_id, &format!("/members/{n}"))?,
                label: None,
                first: member.first_height_cm,
                second: member.second_height_cm,
                set_as: member.set_as,
            })
        });
        let riders = riders.collect::<Result<_, Problem>>()?;
        Ok(Reply::ok(&distances(&terms, riders)?))
    })
    .await
}
