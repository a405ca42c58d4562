//! Stand-downs of a rider: recorded and cleared by trainers, read by them, the rider and the guardian.
use super::stand_downs::rows::{self, StandDownRow, Who};
use super::stand_downs::wire::{ClearanceIn, StandDownIn, StandDownOut, StandDownPatch, StandDownQuery};
use crate::access::guard::{Change, Clear, Create, Entity, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::standing::Standing;
use crate::db::conn::AnyConn;
use crate::key;
use crate::people::handlers::PersonKey;
use crate::people::rows as people;
use crate::problem::Problem;
use crate::wire::json::Json;
use crate::wire::page::Page;
use diesel::QueryResult;
use stridewright_core::ids::{Barn, Id, Person, StandDown};
use stridewright_core::policy::{Relation, Resource};
use stridewright_core::rest::StandDownSource;

key! {
    /// The address of a rider's stand-down.
    pub struct RiderStandDownKey {
        /// The barn.
        pub barn_id: Id<Barn>,
        /// The rider.
        pub person_id: Id<Person>,
        /// The stand-down.
        pub stand_down_id: Id<StandDown>,
    }
}

fn to_rider(who: &Standing, rider: Id<Person>) -> Relation {
    Relation { own: who.is_own(rider), ..Relation::default() }
}

/// The stand-downs of a rider.
pub struct RiderStandDowns(Id<Person>);

impl Entity for RiderStandDowns {
    const NAME: &'static str = "stand-downs of a rider";
    const RESOURCE: Resource = Resource::RiderStandDown;
    type Key = PersonKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &PersonKey) -> QueryResult<Option<Self>> {
        Ok(people::find(c, key.barn_id, key.person_id)?.map(|person| Self(person.id)))
    }

    fn relation(&self, who: &Standing) -> Relation {
        to_rider(who, self.0)
    }
}

/// One stand-down of a rider.
pub struct RiderStandDown {
    rider: Id<Person>,
    row: StandDownRow,
}

impl Entity for RiderStandDown {
    const NAME: &'static str = "stand-down of a rider";
    const RESOURCE: Resource = Resource::RiderStandDown;
    const VERSIONED: bool = true;
    type Key = RiderStandDownKey;

    fn find(c: &mut AnyConn, _: &Standing, key: &RiderStandDownKey) -> QueryResult<Option<Self>> {
        if people::find(c, key.barn_id, key.person_id)?.is_none() {
            return Ok(None);
        }
        let row = rows::find(c, key.barn_id, Who::Rider(key.person_id), key.stand_down_id)?;
        Ok(row.map(|row| Self { rider: key.person_id, row }))
    }

    fn relation(&self, who: &Standing) -> Relation {
        to_rider(who, self.rider)
    }

    fn version(&self) -> Option<i64> {
        Some(self.row.version)
    }

    fn subject(&self) -> String {
        self.row.id.to_string()
    }
}

/// List a rider's stand-downs.
///
/// For trainers, the rider and the guardian. Others read "not available", and no reason.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/people/{person_id}/stand-downs", params(PersonKey, StandDownQuery),
    responses((status = 200, description = "A page of stand-downs.", body = Page<StandDownOut>)))]
pub async fn list_rider_stand_downs(
    may: May<RiderStandDowns, Read>,
    query: Query<StandDownQuery>,
) -> Result<Reply<Page<StandDownOut>>, Problem> {
    may.read_with(query, |look, of, query| Ok(Reply::ok(&rows::page(look, Who::Rider(of.0), &query)?))).await
}

/// Stand a rider down.
///
/// On whichever horse; it ends only with a recorded clearance. What is booked is tested again at once.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/people/{person_id}/stand-downs", params(PersonKey),
    request_body = StandDownIn, responses((status = 201, description = "The new stand-down.", body = StandDownOut)))]
pub async fn create_rider_stand_down(
    may: May<RiderStandDowns, Create>,
    body: Json<StandDownIn>,
) -> Result<Reply<StandDownOut>, Problem> {
    may.write(body, |tx, of, new| {
        if matches!(new.source, StandDownSource::Owner | StandDownSource::Farrier) {
            return Err(Problem::at_odds("/source", "must be trainer, vet or rule for a rider"));
        }
        let row = rows::create(tx, Who::Rider(of.0), new)?;
        let location = format!("/api/v1/barns/{}/people/{}/stand-downs/{}", row.barn_id, of.0, row.id);
        Ok(Reply::created(&row.show()?, location).version(1))
    })
    .await
}

/// One stand-down of a rider.
///
/// For trainers, the rider and the guardian.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/people/{person_id}/stand-downs/{stand_down_id}",
    params(RiderStandDownKey), responses((status = 200, description = "The stand-down.", body = StandDownOut)))]
pub async fn get_rider_stand_down(may: May<RiderStandDown, Read>) -> Result<Reply<StandDownOut>, Problem> {
    may.read(|_, down| Ok(Reply::ok(&down.row.show()?).version(down.row.version))).await
}

/// Change a rider's stand-down.
///
/// Its dates and its scope, while it is not cleared. What is booked is tested again at once.
#[utoipa::path(patch, path = "/api/v1/barns/{barn_id}/people/{person_id}/stand-downs/{stand_down_id}",
    params(RiderStandDownKey), request_body = StandDownPatch,
    responses((status = 200, description = "The stand-down as changed.", body = StandDownOut)))]
pub async fn change_rider_stand_down(
    may: May<RiderStandDown, Change>,
    body: Json<StandDownPatch>,
) -> Result<Reply<StandDownOut>, Problem> {
    may.write(body, |tx, down, patch| {
        let row = rows::change(tx, down.row, patch)?;
        Ok(Reply::ok(&row.show()?).version(row.version))
    })
    .await
}

/// Clear a rider's stand-down.
///
/// It ends only so, and not before its own date. Clearance is for a doctor to give; a trainer records it.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/people/{person_id}/stand-downs/{stand_down_id}/clearance",
    params(RiderStandDownKey), request_body = ClearanceIn,
    responses((status = 200, description = "The stand-down as cleared.", body = StandDownOut)))]
pub async fn clear_rider_stand_down(
    may: May<RiderStandDown, Clear>,
    body: Json<ClearanceIn>,
) -> Result<Reply<StandDownOut>, Problem> {
    may.write(body, |tx, down, clearance| {
        let row = rows::clear(tx, down.row, clearance)?;
        Ok(Reply::ok(&row.show()?).version(row.version))
    })
    .await
}
