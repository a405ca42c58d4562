//! The addresses of rides.
use super::entities::{EntryOfRides, EntryOfRidesKey, OneRide, RideKey, Rides};
use super::faults::Faults;
use super::log::{Logged, layout, log};
use super::shown::{RideBatchOut, RideLogged, RideOut};
use super::wire::{ChoiceIn, CorrectionIn, EntryRideQuery, LogOutcome, RideBatchIn, RideIn, RideQuery};
use super::{batch, pages, rows, today, versions};
use crate::access::guard::{Create, Decide, May, Read};
use crate::access::query::Query;
use crate::access::reply::Reply;
use crate::access::write::Tx;
use crate::booking::flags;
use crate::people::handlers::BarnKey;
use crate::problem::Problem;
use crate::problem::table::Kind;
use crate::sessions::closing;
use crate::wire::json::Json;
use crate::wire::page::Page;
use stridewright_core::ids::{Horse, Id};

/// The horse whose log it is, or 409.
fn horse_of(entry: &EntryOfRides) -> Result<Id<Horse>, Problem> {
    entry.horse().map_err(|reason| Problem::new(Kind::WrongState).with_detail(reason))
}

/// What is to be done after every change of the log, and its answer: 201 but for another phone's equal ride.
fn answer(tx: &mut Tx<'_>, entry: &EntryOfRides, logged: Logged) -> Result<Reply<RideLogged>, Problem> {
    let horse = horse_of(entry)?;
    if logged.outcome != LogOutcome::Known {
        let riders: Vec<_> = entry.rider_id.into_iter().collect();
        closing::asked_anew(tx, &[entry.id])?;
        flags::test_again(tx, &[horse], &riders)?;
    }
    let today = today::of(tx, entry, horse)?;
    let (barn, id) = (tx.who.barn_id, logged.version.row.id);
    let location = format!("/api/v1/barns/{barn}/sessions/{}/entries/{}/rides/{id}", entry.session_id, entry.id);
    let body = RideLogged { ride: logged.version.show(entry.whose())?, today };
    Ok(if logged.another { Reply::ok(&body) } else { Reply::created(&body, location) })
}

/// List the rides of an entry.
///
/// Every version with its standing, in the order of the goes; what is no go comes first.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}/rides",
    params(EntryOfRidesKey, EntryRideQuery),
    responses((status = 200, description = "A page of rides.", body = Page<RideOut>)))]
pub async fn list(may: May<EntryOfRides, Read>, query: Query<EntryRideQuery>) -> Result<Reply<Page<RideOut>>, Problem> {
    may.read_with(query, |look, entry, query| Ok(Reply::ok(&pages::of_entry(look, &entry, &query)?))).await
}

/// Log a ride.
///
/// A log is a fact: no workload rule refuses it. The same id with the same content counts once and is
/// answered like the first. A go that another phone tells differently is kept as `disputed`, uncounted, until
/// a trainer chooses; one that it tells alike is answered with what stands there.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}/rides",
    params(EntryOfRidesKey), request_body = RideIn,
    responses(
        (status = 201, description = "The ride as logged.", body = RideLogged),
        (status = 200, description = "An equal ride from elsewhere stands there already.", body = RideLogged)))]
pub async fn create(may: May<EntryOfRides, Create>, body: Json<RideIn>) -> Result<Reply<RideLogged>, Problem> {
    may.write(body, |tx, entry, ride| {
        horse_of(&entry)?;
        let (layout, mut faults) = (layout(tx, &entry)?, Faults::default());
        let logged = log(tx, &entry, layout.as_ref(), ride, "", &mut faults)?;
        faults.refuse()?;
        answer(tx, &entry, logged.ok_or_else(|| Problem::new(Kind::Internal))?)
    })
    .await
}

/// One version of a ride.
///
/// Its fences, its attempts, and whether it counts.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}",
    params(RideKey), responses((status = 200, description = "The ride.", body = RideOut)))]
pub async fn get(may: May<OneRide, Read>) -> Result<Reply<RideOut>, Problem> {
    may.read(|look, ride| {
        let whose = ride.entry.whose();
        let versions = rows::with_attempts(look.conn(), vec![ride.row])?;
        let version = versions.into_iter().next().ok_or_else(|| Problem::new(Kind::NotFound))?;
        Ok(Reply::ok(&version.show(whose)?))
    })
    .await
}

/// Correct a ride, or withdraw it.
///
/// Nothing is overwritten: a new version names the old one, which is superseded, and the counts follow.
#[utoipa::path(post,
    path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/corrections",
    params(RideKey), request_body = CorrectionIn,
    responses((status = 201, description = "The new version.", body = RideLogged)))]
pub async fn correct(may: May<OneRide, Create>, body: Json<CorrectionIn>) -> Result<Reply<RideLogged>, Problem> {
    may.write(body, |tx, ride, correction| {
        horse_of(&ride.entry)?;
        let logged = versions::correct(tx, &ride, correction)?;
        answer(tx, &ride.entry, logged)
    })
    .await
}

/// Choose between two phones.
///
/// The version kept counts; every other of its go is superseded.
#[utoipa::path(post,
    path = "/api/v1/barns/{barn_id}/sessions/{session_id}/entries/{entry_id}/rides/{ride_id}/choice",
    params(RideKey), request_body = ChoiceIn,
    responses((status = 200, description = "The ride as it stands now.", body = RideOut)))]
pub async fn choose(may: May<OneRide, Decide>, body: Json<ChoiceIn>) -> Result<Reply<RideOut>, Problem> {
    may.write(body, |tx, ride, choice| {
        let horse = horse_of(&ride.entry)?;
        versions::choose(tx, &ride, choice.keep)?;
        closing::asked_anew(tx, &[ride.entry.id])?;
        let riders: Vec<_> = ride.entry.rider_id.into_iter().collect();
        flags::test_again(tx, &[horse], &riders)?;
        let version = rows::version(tx.conn(), ride.row.barn_id, ride.row.id)?;
        let version = version.ok_or_else(|| Problem::new(Kind::Internal))?;
        Ok(Reply::ok(&version.show(ride.entry.whose())?))
    })
    .await
}

/// List rides across sessions.
///
/// Trainers see all, riders their own, owners those of their horses, a rail link those of its session; every
/// version with its standing, in the order of their ids.
#[utoipa::path(get, path = "/api/v1/barns/{barn_id}/rides", params(BarnKey, RideQuery),
    responses((status = 200, description = "A page of rides.", body = Page<RideOut>)))]
pub async fn list_all(may: May<Rides, Read>, query: Query<RideQuery>) -> Result<Reply<Page<RideOut>>, Problem> {
    may.read_with(query, |look, _, query| Ok(Reply::ok(&pages::of_barn(look, &query)?))).await
}

/// Log a batch of rides.
///
/// Up to 500, in one transaction: where one is malformed or at odds, none is stored, and each fault is named
/// by its pointer. The answers stand in the order sent.
#[utoipa::path(post, path = "/api/v1/barns/{barn_id}/rides", params(BarnKey), request_body = RideBatchIn,
    responses((status = 200, description = "What became of each.", body = RideBatchOut)))]
pub async fn create_batch(may: May<Rides, Create>, body: Json<RideBatchIn>) -> Result<Reply<RideBatchOut>, Problem> {
    may.write(body, |tx, _, rides| Ok(Reply::ok(&batch::log_all(tx, rides)?))).await
}
