//! Batches of two phones, corrections and withdrawals, and the choice between two that differ.
use super::Done;
use super::rides::{access, as_sent, logged, logger, some};
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::model::rides::Ride;
use crate::differential::should::Should;
use crate::differential::world::{Who, World};
use std::collections::BTreeMap;
use stridewright_tests::{Value, json};

/// A ride of a batch: for which entry, as what, and the number that was wanted.
type Told = (String, Ride, Value);

/// Rides of some entries: new ones, and some that another phone told before, in any order.
fn told(world: &World<'_>, dice: &mut Dice, by: &str) -> Vec<Told> {
    let (_, first, _) = world.an_entry(dice);
    let (_, second, _) = world.an_entry(dice);
    let mut batch = Vec::new();
    for _ in 0..dice.number(1, 4) {
        let id = dice.one(&[first.clone(), first.clone(), second.clone()]);
        let Some(entry) = world.barn.entries.iter().find(|e| e.id == id) else {
            let (ride, body) = some(world, dice, world.barn.entries.last().unwrap(), by);
            batch.push((id, ride, body));
            continue;
        };
        let (ride, mut body) = some(world, dice, entry, by);
        let before: Vec<&Ride> =
            world.barn.rides.iter().filter(|r| r.entry == id && r.kind == "go" && r.standing != "withdrawn").collect();
        if let Some(known) = dice.pick(&before).filter(|_| dice.once_in(3)) {
            let again = Ride { made: ride.made, by: ride.by, standing: "counted", supersedes: None, ..known.clone() };
            body = as_sent(&again);
            batch.push((id, again, body));
            continue;
        }
        if ride.kind == "go" && dice.once_in(2) {
            body["go"] = json!(dice.number(1, 4));
        }
        batch.push((id, ride, body));
    }
    if let Some(twice) = dice.pick(&batch).filter(|_| dice.once_in(3)) {
        batch.push(twice);
    }
    batch
}

pub fn batch(world: &mut World<'_>, dice: &mut Dice) -> Done {
    if world.barn.entries.is_empty() {
        return Ok(());
    }
    let who = logger(world, dice, world.barn.entries.last());
    let (allowed, eyes) = world.barn.access(who, |eyes| eyes.may("Ride", Act::Create, &["own", "owned"]));
    let batch = told(world, dice, &eyes.person);
    let bodies: Vec<Value> = batch
        .iter()
        .map(|(entry, _, body)| {
            let mut body = body.clone();
            body["entry_id"] = json!(entry);
            body
        })
        .collect();
    let before = world.barn.rides.clone();
    let (mut faults, mut results) = (Vec::<(&str, String)>::new(), Vec::new());
    let (mut entries, mut refused, mut stored) = (BTreeMap::new(), None, false);
    for (n, (id, mut ride, body)) in batch.into_iter().enumerate() {
        let entry = world.barn.entries.iter().find(|e| e.id == id).cloned();
        match access(world, who, entry.as_ref(), Act::Create).0 {
            Access::Fine => {}
            Access::Forbidden => {
                refused = Some(Should::no(403, "forbidden"));
                break;
            }
            _ => {
                faults.push(("at_odds", format!("/rides/{n}/entry_id")));
                continue;
            }
        }
        let entry = entry.unwrap();
        if world.barn.no_log(&id) {
            faults.push(("wrong_state", format!("/rides/{n}/entry_id")));
            continue;
        }
        match logged(world, &mut ride, body["go"].as_i64(), &format!("/rides/{n}")) {
            Err(unfit) if unfit.code == "at_odds" => {
                faults.extend(unfit.pointers.into_iter().map(|at| ("at_odds", at)))
            }
            Err(_) => faults.push(("conflict", format!("/rides/{n}/id"))),
            Ok(Some(known)) => results.push(result(&known, "known")),
            Ok(None) => {
                results.push(result(&ride, if ride.standing == "disputed" { "disputed" } else { "stored" }));
                world.barn.rides.push(ride);
                stored = true;
            }
        }
        entries.insert(id, entry);
    }
    let should = refused.or_else(|| refusal(&faults)).unwrap_or_else(|| {
        let entries: Vec<Value> = entries.iter().map(|(id, e)| json!({"entry_id": id, "horse_id": e.horse})).collect();
        Should::ok(200, json!({"rides": results, "entries": entries}))
    });
    let sent = world.post("rides", json!({"rides": bodies}));
    if world.write(dice, who, allowed, sent, should)?.is_none() {
        world.barn.rides = before;
    } else if stored {
        let horses: Vec<_> = entries.values().map(|e| e.horse.clone()).collect();
        let riders: Vec<_> = entries.values().map(|e| e.rider.clone()).collect();
        world.barn.test_again(&horses, &riders);
    }
    Ok(())
}

fn result(ride: &Ride, outcome: &str) -> Value {
    json!({"id": ride.id, "outcome": outcome, "standing": ride.standing, "go": (ride.go > 0).then_some(ride.go),
        "efforts": ride.efforts})
}

/// What does not fit goes before what is in conflict, all of one kind together.
fn refusal(faults: &[(&str, String)]) -> Option<Should> {
    let unfit = faults.iter().find(|(kind, _)| *kind == "at_odds");
    let (kind, _) = unfit.or(faults.first())?;
    let mut pointers: Vec<&String> = faults.iter().filter(|(k, _)| k == kind).map(|(_, at)| at).collect();
    pointers.sort();
    if *kind == "at_odds" {
        return Some(Should::all_at_odds(pointers));
    }
    Some(pointers.into_iter().fold(Should::no(409, kind), |should, at| should.at(at)))
}

/// What a ride really was, or that there was none.
pub fn correct(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let recent: Vec<Ride> = world.barn.rides.iter().rev().take(12).cloned().collect();
    let Some(old) = dice.pick(&recent) else { return Ok(()) };
    let entry = world.barn.entry(&old.entry).clone();
    let who = logger(world, dice, Some(&entry));
    let (access, eyes) = access(world, who, Some(&entry), Act::Create);
    let withdrawn = dice.once_in(3);
    let (mut ride, mut body) = some(world, dice, &entry, &eyes.person);
    ride.supersedes = Some(old.id.clone());
    if withdrawn {
        body = json!({"id": ride.id, "withdrawn": true});
        (ride.kind, ride.at, ride.go, ride.standing) = (old.kind, old.at, old.go, "withdrawn");
        (ride.fences, ride.attempts, ride.efforts, ride.poles) = (json!([]), json!([]), 0, 0);
        (ride.height, ride.note) = (None, None);
    }
    let over = old.standing == "superseded" || (withdrawn && old.standing == "withdrawn");
    if !withdrawn && ride.kind == "go" {
        let wanted = dice.once_in(5).then(|| dice.number(1, 4));
        if let Some(go) = wanted {
            body["go"] = json!(go);
        }
        // the old one has given way
        let others: Vec<&Ride> = world.barn.rides.iter().filter(|r| r.id != old.id && r.entry == entry.id).collect();
        let last = others.iter().filter(|r| r.kind == "go" && r.live()).map(|r| r.go).max().unwrap_or(0);
        ride.go = wanted.or((old.go > 0).then_some(old.go)).unwrap_or(last + 1);
        let taken = others.iter().any(|r| r.kind == "go" && r.go == ride.go && r.standing == "counted");
        ride.standing = if taken { "disputed" } else { "counted" };
    }
    let untimed = !withdrawn && ride.at.is_none() && world.barn.lies_ahead(&entry.id);
    let none = |list: &Value| list.as_array().is_none_or(Vec::is_empty);
    let empty = !withdrawn && ride.kind == "go" && none(&ride.fences) && none(&ride.attempts) && ride.poles == 0;
    let unfit: Vec<&str> =
        [("/at", untimed), ("/fences", empty)].iter().filter(|(_, unfit)| *unfit).map(|(field, _)| *field).collect();
    let should = if !unfit.is_empty() && !world.barn.no_log(&entry.id) {
        Should::all_at_odds(unfit)
    } else if over || world.barn.no_log(&entry.id) {
        Should::wrong_state()
    } else {
        Should::ok(201, world.barn.show_ride(&ride))
    };
    let at = format!("sessions/{}/entries/{}/rides/{}/corrections", entry.session, entry.id, old.id);
    let sent = world.post(&at, body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.ride_mut(&old.id).standing = "superseded";
        world.barn.rides.push(ride);
        world.barn.test_again(&[entry.horse], &[entry.rider]);
    }
    Ok(())
}

/// A trainer chooses between versions of one go.
pub fn choose(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = if dice.once_in(4) { Who::Account(dice.below(5)) } else { world.who(dice) };
    let disputed: Vec<Ride> = world.barn.rides.iter().filter(|r| r.standing == "disputed").cloned().collect();
    let any = if dice.once_in(4) { dice.pick(&world.barn.rides) } else { dice.pick(&disputed) };
    let Some(ride) = any else { return super::rides::log(world, dice) };
    let entry = world.barn.entry(&ride.entry).clone();
    let (access, _) = access(world, who, Some(&entry), Act::Decide);
    let keep = dice.once_in(2);
    let others: Vec<String> = world
        .barn
        .of_go(&ride.entry, ride.go)
        .iter()
        .filter(|v| v.live() && v.id != ride.id)
        .map(|v| v.id.clone())
        .collect();
    let (stands, give_way) = match (ride.standing, keep) {
        ("disputed", false) => ("superseded", Vec::new()),
        ("disputed", true) => ("counted", others),
        ("counted", true) if ride.kind == "go" && !others.is_empty() => ("counted", others),
        _ => ("", Vec::new()),
    };
    let chosen = Ride { standing: stands, ..ride.clone() };
    let refused = stands.is_empty() || world.barn.no_log(&entry.id);
    let should = if refused { Should::wrong_state() } else { Should::ok(200, world.barn.show_ride(&chosen)) };
    let at = format!("sessions/{}/entries/{}/rides/{}/choice", entry.session, entry.id, ride.id);
    let mut sent = world.post(&at, json!({"keep": keep}));
    sent.key = None;
    if world.write(dice, who, access, sent, should)?.is_some() {
        give_way.iter().for_each(|id| world.barn.ride_mut(id).standing = "superseded");
        world.barn.ride_mut(&ride.id).standing = stands;
        world.barn.test_again(&[entry.horse], &[entry.rider]);
    }
    Ok(())
}
