//! A session with a horse to log: put into the database as it is, in whatever state a test needs.
use diesel::prelude::*;
use stridewright_api::db::conn::AnyConn;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::schema::{entry, ownership, person, session};
use stridewright_api::on_each;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Entry, Exercise, Horse, Id, Ownership, Person, Session};
use stridewright_tests::barn::Member;
use stridewright_tests::client::fresh;
use stridewright_tests::{Value, World, json};

/// One entry of one session.
pub struct Ringside {
    pub session: String,
    pub entry: String,
    pub horse: String,
    /// `sessions/…/entries/…/rides`
    pub rides: String,
}

/// A span of the first test day; its clock says 08:00 UTC.
pub const SPAN: (&str, &str) = ("2026-06-01T09:00:00Z", "2026-06-01T10:00:00Z");

pub fn conn(world: &World) -> AnyConn {
    Db::open(&Location::parse(&world.server.url).unwrap()).unwrap().conn().unwrap()
}

fn id<T>(text: &str) -> Id<T> {
    text.parse().unwrap()
}

fn at(text: &str) -> Instant {
    text.parse().unwrap()
}

/// A jumping session with one entry of a new horse, and perhaps its rider.
pub fn ringside(world: &World, rider: Option<&Member>) -> Ringside {
    let horse = world.horse("Bramble");
    let session = session_of(world, "jumping");
    entry_of(world, &session, Some(horse), rider, "booked")
}

pub fn session_of(world: &World, kind: &str) -> String {
    let session_id = fresh();
    on_each!(&mut conn(world), |c| diesel::insert_into(session::table)
        .values((
            session::barn_id.eq(id::<Barn>(&world.barn_id)),
            session::id.eq(id::<Session>(&session_id)),
            session::kind.eq(kind),
            session::title.eq("Two fences, 66 ft"),
            session::starts_at.eq(at(SPAN.0)),
            session::ends_at.eq(at(SPAN.1)),
            session::places.eq(0),
            session::status.eq("booked"),
            session::created_by.eq(id::<Person>(&world.trainer.person_id)),
            session::version.eq(1_i64),
            session::created_at.eq(at(SPAN.0)),
        ))
        .execute(c))
    .unwrap();
    session_id
}

pub fn entry_of(world: &World, session: &str, horse: Option<String>, rider: Option<&Member>, status: &str) -> Ringside {
    let entry_id = fresh();
    on_each!(&mut conn(world), |c| diesel::insert_into(entry::table)
        .values((
            entry::barn_id.eq(id::<Barn>(&world.barn_id)),
            entry::id.eq(id::<Entry>(&entry_id)),
            entry::session_id.eq(id::<Session>(session)),
            entry::horse_id.eq(horse.as_deref().map(id::<Horse>)),
            entry::rider_id.eq(rider.map(|r| id::<Person>(&r.person_id))),
            entry::status.eq(status),
            entry::planned_efforts.eq(20),
            entry::planned_pole_passes.eq(0),
            entry::asks.eq("[]"),
            entry::requested_by.eq(id::<Person>(&world.trainer.person_id)),
            entry::version.eq(1_i64),
            entry::created_at.eq(at(SPAN.0)),
        ))
        .execute(c))
    .unwrap();
    let rides = world.at(&format!("sessions/{session}/entries/{entry_id}/rides"));
    Ringside { session: session.to_owned(), entry: entry_id, horse: horse.unwrap_or_default(), rides }
}

/// Somebody with an account, and these roles in the barn.
pub fn member(world: &World, rider: bool, owner: bool) -> Member {
    let elsewhere = world.elsewhere();
    let (mut c, person_id) = (conn(world), fresh());
    let theirs = (id::<Barn>(&elsewhere.barn_id), id::<Person>(&elsewhere.trainer.person_id));
    let account: Option<Id<Account>> =
        on_each!(&mut c, |c| person::table.find(theirs).select(person::account_id).first(c)).unwrap();
    on_each!(&mut c, |c| diesel::insert_into(person::table)
        .values((
            person::barn_id.eq(id::<Barn>(&world.barn_id)),
            person::id.eq(id::<Person>(&person_id)),
            person::account_id.eq(account),
            person::name.eq("Robin"),
            person::trainer.eq(false),
            person::rider.eq(rider),
            person::owner.eq(owner),
            person::minor.eq(false),
            person::version.eq(1_i64),
            person::created_at.eq(at(SPAN.0)),
        ))
        .execute(c))
    .unwrap();
    Member { person_id, ..elsewhere.trainer }
}

/// Makes somebody the owner of a horse.
pub fn own(world: &World, horse: &str, owner: &Member) {
    on_each!(&mut conn(world), |c| diesel::insert_into(ownership::table)
        .values((
            ownership::barn_id.eq(id::<Barn>(&world.barn_id)),
            ownership::id.eq(id::<Ownership>(&fresh())),
            ownership::horse_id.eq(id::<Horse>(horse)),
            ownership::person_id.eq(id::<Person>(&owner.person_id)),
            ownership::kind.eq("owner"),
            ownership::version.eq(1_i64),
            ownership::created_at.eq(at(SPAN.0)),
        ))
        .execute(c))
    .unwrap();
}

/// A go over fences with these outcomes, numbered from 1.
pub fn go(outcomes: &[&str]) -> Value {
    let fences: Vec<Value> =
        (1..).zip(outcomes).map(|(n, outcome)| json!({"fence": format!("{n}"), "outcome": outcome})).collect();
    json!({ "fences": fences })
}

/// The same body with more fields.
pub fn with(mut body: Value, more: Value) -> Value {
    body.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    body
}

/// Lets the session ride an exercise.
pub fn set_exercise(world: &World, session: &str, exercise: &str) {
    let key = (id::<Barn>(&world.barn_id), id::<Session>(session));
    on_each!(&mut conn(world), |c| diesel::update(session::table.find(key))
        .set((session::exercise_id.eq(id::<Exercise>(exercise)), session::revision.eq(1)))
        .execute(c))
    .unwrap();
}
