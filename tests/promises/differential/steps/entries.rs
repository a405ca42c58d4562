//! Entries: joined, confirmed, declined, called off, changed, and the answer to what became of planned jumps.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::booking::{Leave, Objection, refuse};
use crate::differential::model::policy::{Access, Act, Eyes};
use crate::differential::model::sessions::{Entry, Session};
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

/// Some entry and how it is sent, mostly one that fits.
pub fn some(world: &World<'_>, dice: &mut Dice, eyes: &Eyes, session: &Session) -> (Entry, Value) {
    let own = dice.pick(&eyes.pairs).filter(|_| !eyes.trainer && !dice.once_in(8));
    let paired = dice.pick(&world.barn.pairings).filter(|p| !p.ended && !dice.once_in(4));
    let (mut horse, mut rider) = match (own, paired) {
        (Some((horse, rider)), _) => (Some(horse), Some(rider)),
        (None, Some(pair)) => (Some(pair.horse), Some(pair.rider)),
        (None, None) => (Some(world.a_horse(dice)), Some(world.a_person(dice, "rider"))),
    };
    match dice.below(24) {
        0 | 1 => horse = None,
        2 | 3 => rider = None,
        4 if dice.once_in(2) => (horse, rider) = (None, None),
        _ => {}
    }
    let jumps = session.kind == "jumping" || dice.once_in(20);
    let efforts = if jumps { dice.one(&[0, 4, 8, 12, 18, 25, 32]) } else { 0 };
    let poles = if session.kind != "appointment" { dice.one(&[0, 0, 0, 6]) } else { 0 };
    let height = (!dice.once_in(8)).then(|| dice.one(&[60, 60, 60, 80, 80, 100, 125]));
    let reason = dice.once_in(5).then(|| "Short of work, and sound.".to_owned());
    let entry = Entry {
        id: world.fresh(),
        session: session.id.clone(),
        horse,
        rider,
        status: "requested",
        efforts,
        height,
        poles,
        asks: json!([]),
        reason: None,
        override_reason: None,
        overridden: Vec::new(),
        flags: Vec::new(),
        by: eyes.person.clone(),
        at: world.barn.instant(),
    };
    let body = json!({"id": entry.id, "horse_id": entry.horse, "rider_id": entry.rider, "planned_efforts": efforts,
        "planned_height_cm": height, "planned_pole_passes": poles, "override_reason": reason});
    (entry, body)
}

/// Where horse and rider are not of this barn, or not theirs to enter.
fn unfit_pair(world: &World<'_>, eyes: &Eyes, session: &Session, entry: &Entry, at: &str) -> Vec<String> {
    let (horse_at, rider_at) = (format!("{at}/horse_id"), format!("{at}/rider_id"));
    if entry.horse.is_none() && entry.rider.is_none() {
        return vec![rider_at];
    }
    let rider_fits = match &entry.rider {
        Some(rider) => {
            let known = world.barn.person(rider).filter(|_| eyes.trainer || eyes.is_own(rider));
            known.is_some_and(|p| p.rider || session.kind == "appointment")
        }
        None => eyes.trainer,
    };
    let horse_fits = entry.horse.as_ref().is_none_or(|horse| {
        let theirs = eyes.pairs.iter().any(|(h, r)| h == horse && Some(r) == entry.rider.as_ref());
        (eyes.trainer || theirs) && world.barn.horse(horse).is_some()
    });
    [(rider_fits, rider_at), (horse_fits, horse_at)].into_iter().filter(|(fits, _)| !fits).map(|(_, at)| at).collect()
}

fn unfit_plan(session: &Session, entry: &Entry, at: &str) -> Vec<String> {
    let efforts = session.kind != "jumping" && entry.efforts > 0;
    let poles = session.kind == "appointment" && entry.poles > 0;
    let wrong = [(efforts, "planned_efforts"), (poles, "planned_pole_passes")];
    wrong.into_iter().filter(|(is, _)| *is).map(|(_, name)| format!("{at}/{name}")).collect()
}

/// Where an entry does not fit, whatever else is booked.
pub fn unfit(world: &World<'_>, eyes: &Eyes, session: &Session, entry: &Entry, body: &Value, at: &str) -> Vec<String> {
    let mut wrong = unfit_pair(world, eyes, session, entry, at);
    let reason = body["override_reason"].is_string() && !eyes.trainer;
    wrong.extend(reason.then(|| format!("{at}/override_reason")));
    wrong.extend(unfit_plan(session, entry, at));
    wrong
}

/// Enters it in the model, booked where it is, or with what speaks against it.
pub fn enter(
    world: &mut World<'_>,
    eyes: &Eyes,
    entry: Entry,
    body: &Value,
    confirm: bool,
    against: &mut Vec<Objection>,
) -> Result<(), Should> {
    let twice = |e: &Entry| e.there() && (&e.horse, &e.rider) == (&entry.horse, &entry.rider);
    if world.barn.entries_of(&entry.session).into_iter().any(twice) {
        return Err(Should::conflict());
    }
    let id = entry.id.clone();
    world.barn.entries.push(entry);
    if eyes.trainer {
        let reason = body["override_reason"].as_str().map(str::to_owned);
        world.barn.confirm(&id, &Leave::Trainer(reason), against)
    } else if confirm {
        world.barn.confirm(&id, &Leave::Rider, against)
    } else {
        Ok(())
    }
}

/// Adds it to a session that stands.
fn add(world: &mut World<'_>, eyes: &Eyes, entry: Entry, body: &Value, confirm: bool) -> Result<(), Should> {
    let session = world.barn.session(&entry.session).clone();
    Should::unless_fit(unfit(world, eyes, &session, &entry, body, ""))?;
    // to have a part in a session gives no leave to add to it
    let begun = session.starts <= world.barn.now || world.barn.places_free(&session) == 0;
    if !eyes.trainer && begun {
        return Err(Should::wrong_state());
    }
    let mut against = Vec::new();
    let (horse, rider) = (entry.horse.clone(), entry.rider.clone());
    enter(world, eyes, entry, body, confirm, &mut against)?;
    refuse(&against)?;
    world.barn.test_again(&[horse], &[rider]);
    Ok(())
}

/// The entries of a session: the list, or one more.
pub fn under(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (mut who, (id, session)) = (world.who(dice), world.a_session(dice));
    if session.as_ref().is_some_and(|s| s.places > 0) && dice.once_in(2) {
        who = Who::Account(dice.one(&[1, 3, 4]));
    }
    let act = if dice.once_in(3) { Act::Read } else { Act::Create };
    let (access, eyes) = world.barn.access(who, |eyes| {
        let to = session.as_ref().map(|s| world.barn.to_session(eyes, s)).unwrap_or_default();
        eyes.may("Entry", act, &to)
    });
    let (access, at) = (access.of(session.is_some()), format!("sessions/{id}/entries"));
    let Some(session) = session else {
        return world.read(who, access, &at, Value::Null).map(drop);
    };
    if matches!(act, Act::Read) {
        let seen = world.barn.entries_of(&id).into_iter().filter(|e| world.barn.sees_entry(&eyes, e));
        let items: Vec<Value> = seen.map(|e| world.barn.show_entry(e)).collect();
        return world.list(dice, who, access, &at, &items);
    }
    let (entry, mut body) = some(world, dice, &eyes, &session);
    let (entry_id, confirm, asked) = (entry.id.clone(), dice.once_in(2), entry.clone());
    if confirm {
        body["confirm"] = json!(true);
    }
    let before = (world.barn.sessions.clone(), world.barn.entries.clone());
    let made = if session.occupies() { add(world, &eyes, entry, &body, confirm) } else { Err(Should::wrong_state()) };
    let should = match made {
        Ok(()) => Should::ok(201, world.barn.show_entry(world.barn.entry(&entry_id))),
        Err(refused) => refused,
    };
    let sent = world.post(&at, body);
    let done = world.ask_or_restore(dice, who, access, sent, should, before)?;
    let refused = world.refused.take().filter(|_| done.is_none());
    refused.map_or(Ok(()), |answer| super::rest::first_allowed(world, &answer, &session, &asked))
}

fn access(world: &World<'_>, who: Who, entry: Option<&Entry>, act: Act) -> (Access, Eyes) {
    let (access, eyes) = world.barn.access(who, |eyes| {
        let to = entry.map(|e| world.barn.to_entry(eyes, e)).unwrap_or_default();
        eyes.may("Entry", act, &to)
    });
    (access.of(entry.is_some()), eyes)
}

pub fn get(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, (session, id, entry)) = (world.who(dice), world.an_entry(dice));
    let (access, _) = access(world, who, entry.as_ref(), Act::Read);
    let facts = entry.map(|e| world.barn.show_entry(&e)).unwrap_or_default();
    world.read(who, access, &format!("sessions/{session}/entries/{id}"), facts).map(drop)
}

pub fn change(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (mut who, (session, id, entry)) = (world.who(dice), world.an_entry(dice));
    let rider = entry.as_ref().and_then(|e| e.rider.as_ref()).and_then(|rider| world.account_of(rider));
    if dice.once_in(2) {
        who = rider.unwrap_or(FOUNDER);
    }
    let (access, eyes) = access(world, who, entry.as_ref(), Act::Change);
    let at = format!("sessions/{session}/entries/{id}");
    let Some(before) = entry else {
        let sent = world.patch(&at, "\"v1\"".to_owned(), json!({}));
        return world.write(dice, who, access, sent, Should::no(404, "not_found")).map(drop);
    };
    let facts = world.barn.show_entry(&before);
    let tag = world.tag(&at, facts)?;
    if before.status == "unresolved" || dice.once_in(25) {
        return super::closing::answer(world, dice, who, access, &before, tag);
    }
    let (after, body) = altered(world, dice, &before);
    let kept = (world.barn.sessions.clone(), world.barn.entries.clone());
    let should = match changed(world, &eyes, &before, after, &body) {
        Ok(()) => Should::ok(200, world.barn.show_entry(world.barn.entry(&id))),
        Err(refused) => refused,
    };
    let sent = world.patch(&at, tag, body);
    world.ask_or_restore(dice, who, access, sent, should, kept).map(drop)
}

fn altered(world: &World<'_>, dice: &mut Dice, before: &Entry) -> (Entry, Value) {
    let (mut after, mut body) = (before.clone(), json!({}));
    if !dice.once_in(3) {
        let status = match before.status {
            "requested" => dice.one(&["booked", "booked", "declined", "cancelled"]),
            _ => dice.one(&["cancelled", "cancelled", "booked", "open", "declined"]),
        };
        body["status"] = json!(status);
        if status == "declined" && !dice.once_in(4) || dice.once_in(4) {
            body["reason"] = json!("No room that day.");
        }
    }
    if dice.once_in(3) || body["status"].is_null() {
        after.efforts = dice.one(&[0, 3, 5, 9, 16]);
        body["planned_efforts"] = json!(after.efforts);
        if dice.once_in(3) {
            after.height = dice.pick(&[None, Some(70), Some(95)]).flatten();
            body["planned_height_cm"] = json!(after.height);
        }
        if dice.once_in(5) {
            after.horse = Some(world.a_horse(dice));
            body["horse_id"] = json!(after.horse);
        }
        if dice.once_in(6) {
            after.asks = json!([{"line": "1-2", "asked": 5}]);
            body["asks"] = after.asks.clone();
        }
    }
    if dice.once_in(4) {
        body["override_reason"] = json!("Short of work, and sound.");
    }
    (after, body)
}

fn changed(world: &mut World<'_>, eyes: &Eyes, before: &Entry, after: Entry, body: &Value) -> Result<(), Should> {
    let plan = |e: &Entry| (e.horse.clone(), e.rider.clone(), e.efforts, e.height, e.poles);
    let session = world.barn.session(&before.session).clone();
    let replanned = plan(&after) != plan(before);
    if replanned || after.asks != before.asks {
        if !eyes.trainer && before.status != "requested" {
            return Err(Should::no(403, "forbidden"));
        }
        let pair = (&after.horse, &after.rider) != (&before.horse, &before.rider);
        let over = ["closed", "cancelled", "declined"].contains(&before.status);
        if over || (pair && world.barn.ridden(&before.id)) {
            return Err(Should::wrong_state());
        }
    }
    if replanned {
        let mut wrong = unfit_pair(world, eyes, &session, &after, "");
        wrong.extend(unfit_plan(&session, &after, ""));
        Should::unless_fit(wrong)?;
    }
    let lower = after.height == before.height || after.height.zip(before.height).is_some_and(|(now, then)| now < then);
    let eases = after.horse == before.horse && after.efforts <= before.efforts && lower;
    let (id, leave) = (before.id.clone(), body["override_reason"].as_str().map(str::to_owned));
    let leave = if eyes.trainer { Leave::Trainer(leave) } else { Leave::Rider };
    *world.barn.entry_mut(&id) =
        Entry { overridden: if eases { after.overridden.clone() } else { Vec::new() }, ..after };
    match body["status"].as_str().filter(|status| *status != before.status) {
        None if replanned && before.occupies() => world.barn.decide(&id, &leave)?,
        None => {}
        Some("booked") if before.status == "requested" => world.barn.decide(&id, &leave)?,
        Some(status @ ("declined" | "cancelled")) => {
            world.barn.end(
                eyes,
                before,
                if status == "declined" { "declined" } else { "cancelled" },
                &body["reason"],
            )?;
        }
        Some(_) => return Err(Should::wrong_state()),
    }
    let now = world.barn.entry(&id).clone();
    world.barn.test_again(&[now.horse], &[now.rider]);
    world.barn.test_again(std::slice::from_ref(&before.horse), std::slice::from_ref(&before.rider));
    Ok(())
}
