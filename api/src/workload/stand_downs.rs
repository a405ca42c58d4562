//! Stand-downs of a horse.
pub mod rows;
pub mod wire;

use self::rows::{StandDownRow, Who};
use self::wire::{ClearanceIn, StandDownIn, StandDownOut, StandDownPatch, StandDownQuery};
use crate::access::guard::{Change, Clear, Create, Entity, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::horses::handlers::HorseKey;
use crate::horses::rows as horses;
use crate::key;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Horse, Id, StandDown};
use stridewright_core::policy::{Relation, Resource};
use stridewright_core::rest::StandDownSource;

key! {
    /// The address of a horse's stand-down.
    pub struct HorseStandDownKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The horse.
        pub horse_id: Id<Horse>,
        /// The stand-down.
        pub stand_down_id: Id<StandDown>,
    }
}

/// The stand-downs of a horse.
pub struct HorseStandDowns(Id<Horse>);

impl Entity for HorseStandDowns {
    const NAME: &'static str = "stand-downs of a horse";
    const RESOURCE: Resource = Resource::HorseStandDown;
    type Key = HorseKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseKey) -> QueryResult<Option<Self>> {
        Ok(horses::find(c, key.barn_id, key.horse_id)?.map(|horse| Self(horse.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.0)
    }
}

/// One stand-down of a horse.
pub struct HorseStandDown {
    horse: Id<Horse>,
    row: StandDownRow,
}

impl Entity for HorseStandDown {
    const NAME: &'static str = "stand-down of a horse";
    const RESOURCE: Resource = Resource::HorseStandDown;
    const VERSIONED: bool = true;
    type Key = HorseStandDownKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &HorseStandDownKey) -> QueryResult<Option<Self>> {
        let Some(horse) = horses::find(c, key.barn_id, key.horse_id)?.map(|horse| horse.id) else { return Ok(None) };
        let row = rows::find(c, key.barn_id, Who::Horse(horse), key.stand_down_id)?;
        Ok(row.map(|row| Self { horse, row }))
    }

    fn relation(&self, who: &Standing) -> Relation {
        who.to_horse(self.horse)
    }

    fn version(&self) -> Option<i64> {
        Some(self.row.version)
    }

    fn subject(&self) -> String {
        self.row.id.to_string()
    }
}

/// Nobody sets, loosens or ends what is another's to say: a trainer's is for trainers, an owner's for an owner of
/// the horse; what the vet, the farrier or a rule book says may be recorded by both.
fn theirs(who: &Standing, horse: Id<Horse>, source: StandDownSource) -> Result<(), Problem> {
    let (theirs, detail) = match source {
        StandDownSource::Trainer => (who.roles.trainer, "A trainer's stand-down is for trainers to set and end."),
        StandDownSource::Owner => (
            who.roles.owner && who.to_horse(horse).owned,
            "An owner's stand-down is for an owner of the horse to set and end.",
        ),
        StandDownSource::Vet | StandDownSource::Farrier | StandDownSource::Rule => (true, ""),
    };
    if theirs { Ok(()) } else { Err(Problem::new(Kind::Forbidden).with_detail(detail)) }
}

/// List a horse's stand-downs.
///
/// For trainers and its owners; those that are over too.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/stand-downs", params(HorseKey, StandDownQuery),
    responses((status = 200, description = "A page of stand-downs.", body = Page<StandDownOut>)))]
pub async fn list_horse_stand_downs(
    may: May<HorseStandDowns, Read>,
    query: Query<StandDownQuery>,
) -> Result<Reply<Page<StandDownOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&rows::page(look, Who::Horse(of.0), &query)?))).await
}

/// Stand a horse down.
///
/// Nobody overrides it. What is booked is tested again at once, and goes back to requested where it breaks.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/stand-downs", params(HorseKey),
    request_body = StandDownIn, responses((status = 201, description = "The new stand-down.", body = StandDownOut)))]
pub async fn create_horse_stand_down(
    may: May<HorseStandDowns, Create>,
    body: Json<StandDownIn>,
) -> Result<Reply<StandDownOut>, Problem> {
    may.write(body, |tx, of, new| {
        theirs(tx.who, of.0, new.source)?;
        let row = rows::create(tx, Who::Horse(of.0), new)?;
        let location = format!("/api/v1/barns/{}/horses/{}/stand-downs/{}", row.barn_id, of.0, row.id);
        Ok(Reply::created(&row.show()?, location).version(1))
    })
    .await
}

/// One stand-down of a horse.
///
/// Its dates, its scope, and its clearance where there is one.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/stand-downs/{stand_down_id}",
    params(HorseStandDownKey), responses((status = 200, description = "The stand-down.", body = StandDownOut)))]
pub async fn get_horse_stand_down(may: May<HorseStandDown, Read>) -> Result<Reply<StandDownOut>, Problem> {
    may.read(|_, down| Ok(Reply::ok(&down.row.show()?).version(down.row.version))).await
}

/// Change a horse's stand-down.
///
/// Its dates and its scope, while it is not cleared. What is booked is tested again at once.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/stand-downs/{stand_down_id}",
    params(HorseStandDownKey), request_body = StandDownPatch,
    responses((status = 200, description = "The stand-down as changed.", body = StandDownOut)))]
pub async fn change_horse_stand_down(
    may: May<HorseStandDown, Change>,
    body: Json<StandDownPatch>,
) -> Result<Reply<StandDownOut>, Problem> {
    may.write(body, |tx, down, patch| {
        theirs(tx.who, down.horse, down.row.source.0)?;
        let row = rows::change(tx, down.row, patch)?;
        Ok(Reply::ok(&row.show()?).version(row.version))
    })
    .await
}

/// Clear a horse's stand-down.
///
/// A vet's ends only so. Clearance is for the vet to give; here it is recorded.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/horses/{horse_id}/stand-downs/{stand_down_id}/clearance",
    params(HorseStandDownKey), request_body = ClearanceIn,
    responses((status = 200, description = "The stand-down as cleared.", body = StandDownOut)))]
pub async fn clear_horse_stand_down(
    may: May<HorseStandDown, Clear>,
    body: Json<ClearanceIn>,
) -> Result<Reply<StandDownOut>, Problem> {
    may.write(body, |tx, down, clearance| {
        theirs(tx.who, down.horse, down.row.source.0)?;
        let row = rows::clear(tx, down.row, clearance)?;
        Ok(Reply::ok(&row.show()?).version(row.version))
    })
    .await
}
