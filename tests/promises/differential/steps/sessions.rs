//! Sessions: made, read, moved, opened, closed and called off.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::booking::{Leave, refuse};
use crate::differential::model::policy::{Access, Act, Eyes};
use crate::differential::model::sessions::{Entry, Session};
use crate::differential::model::text;
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

/// Sessions of at most eight hours; appointments of at most 31 days.
fn longest(kind: &str) -> i64 {
    if kind == "appointment" { 31 * 24 * 3600 } else { 8 * 3600 }
}

/// Where a session does not fit.
fn unfit(world: &World<'_>, eyes: &Eyes, session: &Session) -> Vec<String> {
    let appointment = session.kind == "appointment";
    let arena = |id: &String| world.barn.arenas.iter().any(|a| a.id == *id && !a.removed());
    let set = |id: &String| world.barn.sets.iter().any(|s| s.id == *id && !s.removed());
    let known = |id: &String| world.barn.person(id).filter(|p| eyes.trainer || p.trainer || eyes.is_own(id));
    let mut pointers = Vec::new();
    let mut wrong = |is: bool, pointer: &str| pointers.extend(is.then(|| pointer.to_owned()));
    wrong(session.ends <= session.starts || session.ends - session.starts > longest(session.kind), "/ends_at");
    let held = session.arena.is_some() || session.set.is_some() || session.exercise.is_some();
    wrong(appointment && held, "/kind");
    wrong(!appointment && session.arena.is_none() || session.arena.as_ref().is_some_and(|id| !arena(id)), "/arena_id");
    wrong(session.set.as_ref().is_some_and(|id| !set(id)), "/fence_set_id");
    wrong(session.trainer.as_ref().is_some_and(|id| !known(id).is_some_and(|p| p.trainer)), "/trainer_id");
    wrong(session.adult.as_ref().is_some_and(|id| known(id).is_none() || world.barn.minor(id)), "/adult_id");
    pointers
}

/// The revision that is meant, or where it does not fit.
fn revision(world: &World<'_>, exercise: Option<&String>, named: Option<usize>) -> Result<Option<usize>, String> {
    let Some(id) = exercise else {
        return if named.is_some() { Err("/revision".to_owned()) } else { Ok(None) };
    };
    let found = world.barn.exercises.iter().find(|e| e.id == *id && !e.removed());
    let Some(found) = found else { return Err("/exercise_id".to_owned()) };
    let latest = found.revisions.len();
    if named.is_some_and(|n| n > latest) { Err("/revision".to_owned()) } else { Ok(named.or(Some(latest))) }
}

/// A rider asks for arena time of their own, ahead, with themselves in it.
fn rider_may_ask(world: &World<'_>, session: &Session, entries: usize) -> Vec<String> {
    let wrong = [
        (entries != 1, "/entries"),
        (session.kind == "appointment", "/kind"),
        (session.places > 0, "/places"),
        (session.starts <= world.barn.now, "/starts_at"),
    ];
    wrong.into_iter().filter(|(is, _)| *is).map(|(_, pointer)| pointer.to_owned()).collect()
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = if dice.once_in(3) { Who::Account(dice.one(&[1, 1, 3, 2, 4])) } else { world.who(dice) };
    create_as(world, dice, who)
}

pub fn create_as(world: &mut World<'_>, dice: &mut Dice, who: Who) -> Done {
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Session", Act::Create, &["owned", "open"]));
    let kind = dice.one(&["jumping", "jumping", "jumping", "jumping", "flat", "appointment"]);
    let riding = kind != "appointment";
    let starts = world.ahead(dice, 6);
    let maybe = |dice: &mut Dice, times: usize, id: String| (!dice.once_in(times)).then_some(id);
    let (arena, trainer) = (world.an_arena(dice), world.a_person(dice, "trainer"));
    let grown = dice.one(&["trainer", "owner", "trainer", ""]);
    let (exercise, adult) = (world.an_exercise(dice), world.a_person(dice, grown));
    let set = dice.pick(&world.barn.sets).filter(|_| dice.once_in(3)).map(|s| s.id);
    let mut session = Session {
        id: world.fresh(),
        kind,
        title: "Lines".to_owned(),
        arena: maybe(dice, 30, arena).filter(|_| riding || dice.once_in(20)),
        trainer: maybe(dice, 2, trainer),
        set: set.filter(|_| riding),
        exercise: Some(exercise).filter(|_| riding && !world.barn.exercises.is_empty() && dice.once_in(3)),
        revision: None,
        adult: Some(adult).filter(|_| dice.once_in(3)),
        starts,
        ends: starts + if dice.once_in(15) { dice.one(&[0, 9 * 3600]) } else { dice.one(&[3600, 3600, 5400, 1800]) },
        places: dice.one(&[0, 0, 0, 2, 4]),
        status: if eyes.trainer { "booked" } else { "requested" },
        note: None,
        by: eyes.person.clone(),
        at: world.barn.instant(),
    };
    if !eyes.trainer {
        session.places = if dice.once_in(12) { 2 } else { 0 };
    }
    if dice.once_in(25) {
        session.starts -= 7 * 86400;
        session.ends -= 7 * 86400;
    }
    let most = if eyes.trainer { 3 } else { 2 };
    let number = if eyes.trainer { dice.below(most) } else { dice.one(&[1, 1, 1, 1, 1, 1, 1, 1, 0, 2]) };
    let entries: Vec<(Entry, Value)> =
        (0..number).map(|_| super::entries::some(world, dice, &eyes, &session)).collect();
    let named = session
        .exercise
        .is_some()
        .then(|| if dice.once_in(12) { Some(9) } else { dice.pick(&[None, Some(1)]).flatten() })
        .flatten();
    let confirm = !eyes.trainer && dice.once_in(2);
    let mut body = json!({"id": session.id, "kind": kind, "title": session.title, "arena_id": session.arena,
        "trainer_id": session.trainer, "fence_set_id": session.set, "exercise_id": session.exercise,
        "revision": named, "adult_id": session.adult, "starts_at": text(session.starts),
        "ends_at": text(session.ends), "places": session.places,
        "entries": entries.iter().map(|(_, body)| body.clone()).collect::<Vec<_>>()});
    if confirm {
        body["confirm"] = json!(true);
    }
    let before = (world.barn.sessions.clone(), world.barn.entries.clone());
    let made = make(world, &eyes, &mut session, entries, named, confirm);
    let should = match made {
        Ok(()) => Should::ok(201, world.barn.show_session(&eyes, world.barn.session(&session.id))),
        Err(refused) => refused,
    };
    let sent = world.post("sessions", body);
    world.ask_or_restore(dice, who, access, sent, should, before).map(drop)
}

fn make(
    world: &mut World<'_>,
    eyes: &Eyes,
    session: &mut Session,
    entries: Vec<(Entry, Value)>,
    named: Option<usize>,
    confirm: bool,
) -> Result<(), Should> {
    let revision = revision(world, session.exercise.as_ref(), named);
    session.revision = revision.clone().unwrap_or_default();
    let mut wrong = unfit(world, eyes, session);
    wrong.extend(revision.err());
    if !eyes.trainer {
        wrong.extend(rider_may_ask(world, session, entries.len()));
    }
    for (n, (entry, body)) in entries.iter().enumerate() {
        wrong.extend(super::entries::unfit(world, eyes, session, entry, body, &format!("/entries/{n}")));
    }
    Should::unless_fit(wrong)?;
    world.barn.sessions.push(session.clone());
    let confirms = eyes.trainer || (confirm && !entries.is_empty());
    let mut against = if confirms { world.barn.taken(session) } else { Vec::new() };
    let parties: Vec<_> = entries.iter().map(|(e, _)| (e.horse.clone(), e.rider.clone())).collect();
    for (entry, body) in entries {
        super::entries::enter(world, eyes, entry, &body, confirm, &mut against)?;
    }
    refuse(&against)?;
    let (horses, riders): (Vec<_>, Vec<_>) = parties.into_iter().unzip();
    world.barn.test_again(&horses, &riders);
    Ok(())
}

pub fn access(world: &World<'_>, who: Who, session: Option<&Session>, act: Act) -> (Access, Eyes) {
    let (access, eyes) = world.barn.access(who, |eyes| {
        let to = session.map(|s| world.barn.to_session(eyes, s)).unwrap_or_default();
        eyes.may("Session", act, &to)
    });
    (access.of(session.is_some()), eyes)
}

fn tag(world: &mut World<'_>, session: Option<&Session>) -> Result<String, String> {
    let Some(session) = session else { return Ok("\"v1\"".to_owned()) };
    let founder = world.barn.eyes(FOUNDER).unwrap_or_default();
    let facts = world.barn.show_session(&founder, session);
    world.tag(&format!("sessions/{}", session.id), facts)
}

/// A new time, place or person; or the next step of its life.
pub fn change(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, (id, session)) = (world.who(dice), world.a_session(dice));
    let (access, eyes) = access(world, who, session.as_ref(), Act::Change);
    let tag = tag(world, session.as_ref())?;
    let Some(before) = session else {
        let sent = world.patch(&format!("sessions/{id}"), tag, json!({}));
        return world.write(dice, who, access, sent, Should::no(404, "not_found")).map(drop);
    };
    let (mut after, mut body) = (before.clone(), json!({}));
    let status = if dice.once_in(2) {
        let next = match before.status {
            "booked" => dice.one(&["open", "open", "closed", "cancelled"]),
            "open" => "closed",
            _ => "cancelled",
        };
        Some(if dice.once_in(8) { dice.one(&["open", "closed", "cancelled", "booked", "declined"]) } else { next })
    } else {
        None
    };
    if let Some(status) = status {
        body["status"] = json!(status);
    }
    let named = if status.is_none() || dice.once_in(5) { alter(world, dice, &mut after, &mut body) } else { None };
    let reason = dice.once_in(3).then(|| "Fit, and the show is near.".to_owned());
    body["override_reason"] = json!(reason);
    if reason.is_none() {
        body.as_object_mut().unwrap().remove("override_reason");
    }
    let kept = (world.barn.sessions.clone(), world.barn.entries.clone());
    let should = match changed(world, &eyes, &before, &mut after, named, reason, status) {
        Ok(()) => Should::ok(200, world.barn.show_session(&eyes, world.barn.session(&id))),
        Err(refused) => refused,
    };
    let sent = world.patch(&format!("sessions/{id}"), tag, body);
    world.ask_or_restore(dice, who, access, sent, should, kept).map(drop)
}

/// Some other fields; the revision that was named.
fn alter(world: &World<'_>, dice: &mut Dice, after: &mut Session, body: &mut Value) -> Option<usize> {
    match dice.below(7) {
        0 | 1 => {
            let length = after.ends - after.starts;
            after.starts = world.ahead(dice, 6);
            after.ends = after.starts + length;
            (body["starts_at"], body["ends_at"]) = (json!(text(after.starts)), json!(text(after.ends)));
        }
        2 => {
            after.title = dice.one(&["Bends", "Lines"]).to_owned();
            after.note = dice.pick(&[None, Some("Bring a stick.".to_owned())]).flatten();
            (body["title"], body["note"]) = (json!(after.title), json!(after.note));
        }
        3 => {
            after.arena = Some(world.an_arena(dice));
            body["arena_id"] = json!(after.arena);
        }
        4 => {
            let (trainer, adult) = (world.a_person(dice, "trainer"), world.a_person(dice, ""));
            after.trainer = Some(trainer).filter(|_| !dice.once_in(3));
            after.adult = Some(adult).filter(|_| dice.once_in(2));
            (body["trainer_id"], body["adult_id"]) = (json!(after.trainer), json!(after.adult));
        }
        5 => {
            after.places = dice.one(&[0, 1, 3]);
            body["places"] = json!(after.places);
        }
        _ => {
            after.exercise = Some(world.an_exercise(dice)).filter(|_| !dice.once_in(3));
            body["exercise_id"] = json!(after.exercise);
            if dice.once_in(2) {
                body["revision"] = json!(1);
                return Some(1);
            }
        }
    }
    None
}

fn changed(
    world: &mut World<'_>,
    eyes: &Eyes,
    before: &Session,
    after: &mut Session,
    named: Option<usize>,
    reason: Option<String>,
    status: Option<&'static str>,
) -> Result<(), Should> {
    after.revision = match &after.exercise {
        Some(_) if after.exercise != before.exercise || named.is_some() => {
            revision(world, after.exercise.as_ref(), named).map_err(|pointer| Should::at_odds(&pointer))?
        }
        Some(_) => before.revision,
        None => None,
    };
    let over = ["closed", "cancelled", "declined"].contains(&before.status);
    if over && after != before {
        return Err(Should::wrong_state());
    }
    let told = Session { title: before.title.clone(), note: before.note.clone(), ..after.clone() };
    let id = before.id.clone();
    *world.barn.sessions.iter_mut().find(|s| s.id == id).unwrap() = after.clone();
    if told != *before {
        Should::unless_fit(unfit(world, eyes, after))?;
        let mut against = if after.occupies() { world.barn.taken(after) } else { Vec::new() };
        let held: Vec<String> =
            world.barn.entries_of(&id).iter().filter(|e| e.occupies()).map(|e| e.id.clone()).collect();
        for entry in held {
            world.barn.confirm(&entry, &Leave::Trainer(reason.clone()), &mut against)?;
        }
        refuse(&against)?;
    }
    if let Some(status) = status.filter(|status| *status != before.status) {
        world.barn.step(&id, status)?;
    }
    world.barn.test_parties(&id);
    Ok(())
}
