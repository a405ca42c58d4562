//! Rides: logged, told twice, told differently by another phone, corrected, withdrawn and chosen.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act, Eyes};
use crate::differential::model::rides::Ride;
use crate::differential::model::sessions::Entry;
use crate::differential::model::{sorted, text};
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

pub fn access(world: &World<'_>, who: Who, entry: Option<&Entry>, act: Act) -> (Access, Eyes) {
    let (access, eyes) = world.barn.access(who, |eyes| {
        let to = entry.map(|e| world.barn.to_entry(eyes, e)).unwrap_or_default();
        eyes.may("Ride", act, &to)
    });
    (access.of(entry.is_some()), eyes)
}

/// Somebody who logs: a trainer, the rider, or a helper with a link.
pub fn logger(world: &World<'_>, dice: &mut Dice, entry: Option<&Entry>) -> Who {
    let rider = entry.and_then(|e| e.rider.as_ref()).and_then(|rider| world.account_of(rider));
    let link = world.barn.links.iter().position(|link| entry.is_some_and(|e| e.session == link.session));
    let links = world.barn.links.len();
    match (dice.below(8), rider, link) {
        (0 | 1, Some(rider), _) => rider,
        (2, _, Some(link)) => Who::Rail(link),
        (3, ..) if links > 0 => Who::Rail(dice.below(links)),
        (4, ..) => world.who(dice),
        _ => FOUNDER,
    }
}

/// Some ride of an entry, and how it is sent.
pub fn some(world: &World<'_>, dice: &mut Dice, entry: &Entry, by: &str) -> (Ride, Value) {
    let kind = dice.one(&["go", "go", "go", "go", "go", "extra_fence", "about"]);
    let mut ride = Ride {
        id: world.fresh(),
        entry: entry.id.clone(),
        go: 0,
        kind,
        at: None,
        fences: json!([]),
        attempts: json!([]),
        efforts: 1,
        poles: dice.one(&[0, 0, 0, 2]),
        height: dice.pick(&[None, Some(60), Some(90)]).flatten(),
        note: dice.pick(&[None, Some("Kept the rhythm.".to_owned())]).flatten(),
        standing: "counted",
        supersedes: None,
        by: by.to_owned(),
        made: world.barn.instant(),
    };
    let mut body = json!({"id": ride.id, "kind": kind});
    if dice.once_in(2) || (world.barn.lies_ahead(&entry.id) && !dice.once_in(6)) {
        ride.at = Some(world.barn.now - dice.one(&[0, 0, 600, 86400]));
        body["at"] = json!(ride.at.map(text));
    }
    if ride.poles > 0 {
        body["pole_passes"] = json!(ride.poles);
    }
    if let Some(height) = ride.height {
        body["height_cm"] = json!(height);
    }
    if let Some(note) = &ride.note {
        body["note"] = json!(note);
    }
    if kind == "go" {
        let fences: Vec<Value> = (0..dice.below(6)).map(|n| fence(dice, n)).collect();
        body["fences"] = json!(fences);
        let jumped = |f: &&Value| (f["outcome"] == "jumped" || f["outcome"] == "rail") && f["ground_pole"] == false;
        let passed = |f: &&Value| (f["outcome"] == "jumped" || f["outcome"] == "rail") && f["ground_pole"] == true;
        ride.efforts = i64::try_from(fences.iter().filter(jumped).count()).unwrap();
        ride.poles += i64::try_from(fences.iter().filter(passed).count()).unwrap();
        ride.fences = json!(fences);
        attempts(dice, &mut ride, &mut body);
        ride.height = ride.height.or_else(|| greatest(world, &ride, entry));
    } else if kind == "about" {
        ride.efforts = dice.number(0, 30);
        body["efforts"] = json!(ride.efforts);
    }
    (ride, body)
}

fn fence(dice: &mut Dice, n: usize) -> Value {
    let outcome = dice.one(&["jumped", "jumped", "jumped", "rail", "refusal", "run_out"]);
    json!({"fence": format!("{}", n + 1), "element": null, "outcome": outcome, "ground_pole": dice.once_in(12)})
}

/// A line that says everything of itself.
fn attempts(dice: &mut Dice, ride: &mut Ride, body: &mut Value) {
    if !dice.once_in(3) || ride.fences.as_array().is_none_or(|fences| fences.len() < 2) {
        return;
    }
    let sent = json!({"line": "1-2", "asked": dice.one(&[4, 5, 6]), "ridden": dice.one(&[4, 5, 6]),
        "distance_m": dice.one(&[21.0, 22.5]), "first_height_cm": 70, "second_height_cm": 75, "poles": false,
        "combination": false, "circle": false, "fault": null, "approach": "right", "lost_first": null,
        "seconds": null});
    ride.attempts = json!([sent]);
    body["attempts"] = ride.attempts.clone();
}

/// The greatest height jumped, as far as the lines and the exercise tell it.
fn greatest(world: &World<'_>, ride: &Ride, entry: &Entry) -> Option<i64> {
    let session = world.barn.session(&entry.session);
    let exercise = world.barn.exercises.iter().find(|e| Some(&e.id) == session.exercise.as_ref());
    let stands = exercise.zip(session.revision).map(|(e, n)| e.revisions[n - 1]["fences"].clone());
    let stands: Vec<Value> = stands.and_then(|fences| fences.as_array().cloned()).unwrap_or_default();
    let told = ride.attempts.as_array().is_some_and(|attempts| !attempts.is_empty());
    let as_ridden = |label: &Value| match label.as_str() {
        // only a line that the exercise knows says what of its fences
        Some("1") if told && stands.len() > 1 => Some(70),
        Some("2") if told && stands.len() > 1 => Some(75),
        _ => stands.iter().find(|f| f["label"] == *label).and_then(|f| f["height_cm"].as_i64()),
    };
    let counts = |f: &&Value| (f["outcome"] == "jumped" || f["outcome"] == "rail") && f["ground_pole"] == false;
    let jumped: Vec<Value> = ride.fences.as_array().unwrap().iter().filter(counts).cloned().collect();
    let lines = told.then_some(75);
    if jumped.is_empty() { None } else { jumped.iter().filter_map(|f| as_ridden(&f["fence"])).chain(lines).max() }
}

/// What is said to a ride that is logged, and what stands there then: none where it is known.
pub fn logged(world: &World<'_>, ride: &mut Ride, wanted: Option<i64>, at: &str) -> Result<Option<Ride>, Should> {
    if let Some(stored) = world.barn.rides.iter().find(|r| r.id == ride.id) {
        let same = stored.entry == ride.entry
            && stored.supersedes.is_none()
            && wanted.is_none_or(|go| go == stored.go)
            && stored.same(ride);
        return if same { Ok(Some(stored.clone())) } else { Err(Should::conflict().at(&format!("{at}/id"))) };
    }
    let none = |list: &Value| list.as_array().is_none_or(Vec::is_empty);
    let empty = ride.kind == "go" && none(&ride.fences) && none(&ride.attempts) && ride.poles == 0;
    let untimed = ride.at.is_none() && world.barn.lies_ahead(&ride.entry);
    let unfit: Vec<String> = [("at", untimed), ("fences", empty)]
        .iter()
        .filter(|(_, unfit)| *unfit)
        .map(|(field, _)| format!("{at}/{field}"))
        .collect();
    Should::unless_fit(unfit)?;
    if ride.kind != "go" {
        return Ok(None);
    }
    let Some(go) = wanted else {
        ride.go = world.barn.next_go(&ride.entry);
        return Ok(None);
    };
    ride.go = go;
    let versions = world.barn.of_go(&ride.entry, go);
    let counted = versions.iter().any(|v| v.standing == "counted");
    // a slow phone may still tell what was corrected meanwhile
    let corrected = |v: &Ride| counted && versions.iter().any(|new| new.supersedes.as_ref() == Some(&v.id));
    let mut equal = versions.iter().filter(|v| (v.live() || corrected(v)) && v.same_jumps(ride)).collect::<Vec<_>>();
    equal.sort_by(|a, b| (&a.made, &a.id).cmp(&(&b.made, &b.id)));
    if let Some(equal) = equal.first() {
        return Ok(Some((**equal).clone()));
    }
    ride.standing = if counted { "disputed" } else { "counted" };
    Ok(None)
}

pub fn log(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (session, id, entry) = world.an_entry(dice);
    let who = logger(world, dice, entry.as_ref());
    let (access, eyes) = access(world, who, entry.as_ref(), Act::Create);
    let at = format!("sessions/{session}/entries/{id}/rides");
    let Some(entry) = entry else {
        let sent = world.post(&at, json!({"fences": []}));
        return world.write(dice, who, access, sent, Should::no(404, "not_found")).map(drop);
    };
    let (mut ride, mut body) = some(world, dice, &entry, &eyes.person);
    // another phone may tell a ride that is there, alike or not
    let own: Vec<Ride> = world.barn.rides.iter().filter(|r| r.entry == entry.id && r.kind == "go").cloned().collect();
    let mut wanted = None;
    if let Some(first) = dice.pick(&own).filter(|_| dice.once_in(2)) {
        if ride.kind == "go" {
            (wanted, body["go"]) = (Some(first.go), json!(first.go));
        }
        if dice.once_in(2) && first.standing != "withdrawn" {
            let id = if dice.once_in(2) { first.id.clone() } else { ride.id.clone() };
            let told = id != first.id;
            ride = Ride { id, standing: "counted", supersedes: None, made: ride.made, by: ride.by, ..first.clone() };
            body = as_sent(&ride);
            // what is left out is read from the exercise as it stands now
            ride.height = ride.height.or_else(|| told.then(|| greatest(world, &ride, &entry)).flatten());
            wanted = Some(first.go);
        }
    } else if ride.kind == "go" && dice.once_in(3) {
        let go = dice.number(1, 6);
        (wanted, body["go"]) = (Some(go), json!(go));
    }
    let stands = logged(world, &mut ride, wanted, "");
    let should = match &stands {
        _ if world.barn.no_log(&entry.id) => Should::wrong_state(),
        Err(refused) => refused.clone(),
        Ok(Some(known)) => {
            let status = if known.id == ride.id { 201 } else { 200 };
            Should::ok(status, world.barn.show_ride(known))
        }
        Ok(None) => Should::ok(201, world.barn.show_ride(&ride)),
    };
    let sent = world.post(&at, body);
    if world.write(dice, who, access, sent, should)?.is_some() && matches!(stands, Ok(None)) {
        world.barn.rides.push(ride);
        world.barn.test_again(&[entry.horse], &[entry.rider]);
    }
    Ok(())
}

/// A ride as a phone sends it, with everything said.
pub fn as_sent(ride: &Ride) -> Value {
    let poles = ride
        .fences
        .as_array()
        .unwrap()
        .iter()
        .filter(|f| f["ground_pole"] == true && (f["outcome"] == "jumped" || f["outcome"] == "rail"));
    let rest = ride.poles - i64::try_from(poles.count()).unwrap();
    let mut body = json!({"id": ride.id, "kind": ride.kind, "go": ride.go, "fences": ride.fences,
        "attempts": ride.attempts, "pole_passes": rest});
    if let Some(height) = ride.height {
        body["height_cm"] = json!(height);
    }
    if let Some(at) = ride.at {
        body["at"] = json!(text(at));
    }
    if let Some(note) = &ride.note {
        body["note"] = json!(note);
    }
    body
}

/// The rides of an entry, or one of them.
pub fn under(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (session, id, entry) = world.an_entry(dice);
    let who = logger(world, dice, entry.as_ref());
    let (access, _) = access(world, who, entry.as_ref(), Act::Read);
    let at = format!("sessions/{session}/entries/{id}/rides");
    let Some(entry) = entry else { return world.read(who, access, &at, Value::Null).map(drop) };
    let mut rides: Vec<&Ride> = world.barn.rides.iter().filter(|r| r.entry == entry.id).collect();
    rides.sort_by(|a, b| (a.go, &a.id).cmp(&(b.go, &b.id)));
    let items: Vec<Value> = rides.iter().map(|r| world.barn.show_ride(r)).collect();
    if dice.once_in(2) {
        return world.list(dice, who, access, &at, &items);
    }
    let other = dice.pick(&world.barn.rides).filter(|_| dice.once_in(8)).map(|r| json!({"id": r.id}));
    let one = other.or_else(|| dice.pick(&items)).unwrap_or_else(|| json!({"id": world.fresh()}));
    let there = items.iter().find(|r| r["id"] == one["id"]).cloned();
    let at = format!("{at}/{}", one["id"].as_str().unwrap());
    world.read(who, access.of(there.is_some()), &at, there.unwrap_or_default()).map(drop)
}

/// Rides across sessions.
pub fn all(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = logger(world, dice, None);
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Ride", Act::Read, &["own", "owned"]));
    let (horse, rider) = (world.a_horse(dice), world.a_person(dice, "rider"));
    let (from, to) = (world.barn.day(world.barn.now - 86400 * dice.number(0, 4)), world.barn.today());
    let kind = dice.below(6);
    let query = match kind {
        0 => format!("?horse_id={horse}"),
        1 => format!("?rider_id={rider}"),
        2 => format!("?from={from}&to={to}"),
        _ => String::new(),
    };
    let seen = world.barn.rides_seen(&eyes).into_iter().filter(|ride| {
        let entry = world.barn.entry(&ride.entry);
        match kind {
            0 => entry.horse.as_ref() == Some(&horse),
            1 => entry.rider.as_ref() == Some(&rider),
            2 => from <= world.barn.day_of(ride) && world.barn.day_of(ride) <= to,
            _ => true,
        }
    });
    let items = sorted(seen.map(|r| world.barn.show_ride(r)).collect());
    world.list(dice, who, access, &format!("rides{query}"), &items)
}
