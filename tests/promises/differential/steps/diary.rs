//! Sessions as they are read: the list, one, and the taken time of an arena.
use super::Done;
use super::sessions::access;
use crate::differential::dice::Dice;
use crate::differential::model::policy::Act;
use crate::differential::model::sessions::Session;
use crate::differential::model::text;
use crate::differential::should::Should;
use crate::differential::world::World;
use stridewright_tests::{Value, json};

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Session", Act::Read, &["owned", "open"]));
    let (horse, person, arena) = (world.a_horse(dice), world.a_person(dice, ""), world.an_arena(dice));
    let (from, to) = (world.ahead(dice, 2), world.ahead(dice, 6));
    // nobody is found by an entry that the reader may not see
    let entries = |s: &Session| world.barn.entries_of(&s.id).into_iter().filter(|e| world.barn.sees_entry(&eyes, e));
    let rides = |s: &Session, id: &str| entries(s).any(|e| e.rider.as_deref() == Some(id));
    let uses = |s: &Session, id: &str| entries(s).any(|e| e.horse.as_deref() == Some(id));
    let leads = |s: &Session, id: &str| [&s.trainer, &s.adult].into_iter().flatten().any(|p| p == id);
    let kind = dice.below(6);
    let query = match kind {
        0 => format!("?horse_id={horse}"),
        1 => format!("?person_id={person}"),
        2 => format!("?arena_id={arena}"),
        3 => format!("?from={}&to={}", text(from), text(to)),
        _ => String::new(),
    };
    let asked = |s: &Session| match kind {
        0 => uses(s, &horse),
        1 => rides(s, &person) || leads(s, &person),
        2 => s.arena.as_ref() == Some(&arena),
        3 => from <= s.starts && s.starts < to,
        _ => true,
    };
    let seen = world.barn.sessions_seen(&eyes).into_iter().filter(|s| asked(s));
    let items: Vec<Value> = seen.map(|s| world.barn.show_session(&eyes, s)).collect();
    world.list(dice, who, access, &format!("sessions{query}"), &items)
}

pub fn get(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, (id, session)) = (world.who(dice), world.a_session(dice));
    let (access, eyes) = access(world, who, session.as_ref(), Act::Read);
    let facts = session.map(|s| world.barn.show_session(&eyes, &s)).unwrap_or_default();
    world.read(who, access, &format!("sessions/{id}"), facts).map(drop)
}

/// The sheet of a session: mostly of one that rides an exercise.
pub fn sheet(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let ridden: Vec<Session> = world.barn.sessions.iter().filter(|s| s.exercise.is_some()).cloned().collect();
    let (id, session) = match dice.pick(&ridden).filter(|_| !dice.once_in(4)) {
        Some(session) => (session.id.clone(), Some(session)),
        None => world.a_session(dice),
    };
    let (access, _) = access(world, who, session.as_ref(), Act::Read);
    let bare = session.as_ref().is_some_and(|s| s.exercise.is_none());
    let refused = bare.then(|| Should::no(409, "nothing_to_set"));
    let should = access.refusal().or(refused).unwrap_or_else(|| Should::ok(200, Value::Null));
    let what = dice.one(&["html", "pdf"]);
    let sent = world.get(&format!("sessions/{id}/setting-sheet.{what}"));
    world.ask(who, &sent, &should).map(drop)
}

/// The taken time of an arena.
pub fn calendar(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.an_arena(dice));
    let arena = world.barn.arenas.iter().find(|a| a.id == id && !a.removed());
    let access = world.barn.access(who, |eyes| eyes.may("Calendar", Act::Read, &[])).0.of(arena.is_some());
    let from = world.barn.now - 86400 * dice.number(0, 10);
    let to = from + 86400 * dice.one(&[1, 8, 40, 92, 93, 0]);
    let at = format!("arenas/{id}/calendar?from={}&to={}", text(from), text(to));
    if to <= from || to - from > 92 * 86400 {
        let should = access.refusal().unwrap_or_else(|| Should::query_at_odds("?to"));
        return world.ask(who, &world.get(&at), &should).map(drop);
    }
    let stands = |s: &&Session| {
        let over = ["requested", "declined", "cancelled"].contains(&s.status);
        s.arena.as_ref() == Some(&id) && s.starts < to && s.ends > from && !over
    };
    let mut taken: Vec<&Session> = world.barn.sessions.iter().filter(stands).collect();
    taken.sort_by(|a, b| (a.starts, &a.id).cmp(&(b.starts, &b.id)));
    let shown = taken.into_iter().map(|s| {
        let free = if s.status == "booked" { world.barn.places_free(s) } else { 0 };
        let exercise = world.barn.exercises.iter().find(|e| Some(&e.id) == s.exercise.as_ref());
        json!({"starts_at": text(s.starts), "ends_at": text(s.ends), "kind": s.kind, "exercise_id": s.exercise,
            "exercise_name": exercise.map(|e| e.shown["name"].clone()), "places_free": free,
            "session_id": (free > 0).then_some(&s.id)})
    });
    let facts =
        json!({"arena_id": id, "sessions_at_once": world.barn.at_once(&id), "taken": shown.collect::<Vec<_>>()});
    world.read(who, access, &at, facts).map(drop)
}
