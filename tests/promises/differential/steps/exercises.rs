//! Exercises and their revisions, which never change.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::model::rows::Exercise;
use crate::differential::model::sorted;
use crate::differential::should::Should;
use crate::differential::world::{Who, World};
use stridewright_tests::{Value, json};

/// A revision as it is sent, and as it is shown; or what does not fit.
fn some_revision(
    world: &World<'_>,
    dice: &mut Dice,
    exercise: &str,
    n: usize,
    by: &str,
    at: &str,
) -> (Value, Result<Value, Should>) {
    let arena = dice.once_in(3).then(|| world.an_arena(dice));
    let number = dice.number(1, 3);
    let fences: Vec<Value> = (1..=number)
        .map(|n| {
            let kind = if n == 3 { "ground_pole" } else { "vertical" };
            let height = if n == 3 { 0 } else { dice.one(&[60, 80, 100]) };
            let place = arena.as_ref().map(|_| json!({"x_m": 10 * n, "y_m": 5, "heading_deg": 0}));
            json!({"label": format!("{n}"), "kind": kind, "height_cm": height, "position": place})
        })
        .collect();
    let line = json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 21.0, "measured": "inside_to_inside"});
    let lines = if number > 1 { json!([line]) } else { json!([]) };
    let level = dice.one(&["novice", "usual", "schooled"]);
    let mut body = json!({"arena_id": arena, "level": level, "fences": fences, "lines": lines});
    let there = |id: &String| world.barn.arenas.iter().any(|a| a.id == *id && !a.removed());
    if arena.as_ref().is_some_and(|id| !there(id)) {
        return (body, Err(Should::at_odds(&format!("{at}/arena_id"))));
    }
    if number > 1 && dice.once_in(12) {
        body["fences"][1]["label"] = json!("1");
        let wrong = Should::at_odds(&format!("{at}/fences/1/label")).at(&format!("{at}/lines/0/to"));
        return (body, Err(wrong));
    }
    let highest = fences.iter().filter_map(|f| f["height_cm"].as_i64()).max();
    let shown = json!({"exercise_id": exercise, "revision": n, "arena_id": arena, "level": level, "fences": fences,
        "efforts": number.min(2), "pole_passes": number / 3, "height_cm": highest, "created_by": by,
        "created_at": world.barn.instant()});
    (body, Ok(shown))
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    create_as(world, dice, who)
}

pub fn create_as(world: &mut World<'_>, dice: &mut Dice, who: Who) -> Done {
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Facility", Act::Create, &[]));
    let id = world.fresh();
    let (revision, judged) = some_revision(world, dice, &id, 1, &eyes.person, "/revision");
    let shown = json!({"id": id, "name": "Two fences, 66 ft", "purpose": "Rhythm", "removed_at": null,
        "created_at": world.barn.instant()});
    let body = json!({"id": id, "name": "Two fences, 66 ft", "purpose": "Rhythm", "revision": revision});
    let exercise = judged.map(|revision| Exercise { id, shown, revisions: vec![revision] });
    let should = match &exercise {
        Ok(exercise) => Should::ok(201, exercise.show()),
        Err(refused) => refused.clone(),
    };
    let sent = world.post("exercises", body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.exercises.extend(exercise);
    }
    Ok(())
}

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let access = world.barn.access(who, |eyes| eyes.may("Facility", Act::Read, &[])).0;
    let arena = dice.once_in(3).then(|| world.an_arena(dice));
    let stands = |e: &&Exercise| {
        let there = arena.as_ref().is_none_or(|id| e.revisions.last().unwrap()["arena_id"] == id.as_str());
        !e.removed() && there
    };
    let items = sorted(world.barn.exercises.iter().filter(stands).map(Exercise::show).collect());
    let query = arena.as_ref().map(|id| format!("?arena_id={id}")).unwrap_or_default();
    world.list(dice, who, access, &format!("exercises{query}"), &items)
}

/// A revision as it is drawn and set: a plan only of what has a place. What is on them is compared between the databases.
fn set(world: &mut World<'_>, dice: &mut Dice, who: Who, access: Access, at: &str, revision: Option<&Value>) -> Done {
    let what = dice.one(&["plan.svg", "setting-sheet.html", "setting-sheet.pdf"]);
    let (placed, of) = (revision.is_some_and(|r| r["arena_id"].is_string()), dice.one(&["", "?profile=small_pony"]));
    let refused = (what == "plan.svg" && !placed).then(|| Should::no(409, "not_placed"));
    let should = access.refusal().or(refused).unwrap_or_else(|| Should::ok(200, Value::Null));
    let sent = world.get(&format!("{at}/{what}{of}"));
    world.ask(who, &sent, &should).map(drop)
}

/// One revision, drawn or set.
pub fn setting(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let Some(exercise) = dice.pick(&world.barn.exercises) else { return create(world, dice) };
    let n = dice.below(exercise.revisions.len());
    let (access, _) = world.barn.access(who, |eyes| {
        let session = eyes.rail.as_ref().map(|id| world.barn.session(id));
        let ridden = session.and_then(|s| s.exercise.clone().zip(s.revision)) == Some((exercise.id.clone(), n + 1));
        eyes.may("Facility", Act::Read, if ridden { &["own"] } else { &[] })
    });
    let at = format!("exercises/{}/revisions/{}", exercise.id, n + 1);
    set(world, dice, who, access, &at, exercise.revisions.get(n))
}

/// One exercise: read, renamed or removed; or its revisions: the list, one, a new one.
pub fn one(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who: Who = world.who(dice);
    let Some(exercise) = dice.pick(&world.barn.exercises) else { return create(world, dice) };
    let kind = dice.below(9);
    let act = [Act::Read, Act::Read, Act::Read, Act::Change, Act::Change, Act::Remove][kind.min(5)];
    let act = if kind >= 6 { Act::Create } else { act };
    let n = if kind == 2 { dice.below(exercise.revisions.len() + 1) } else { 0 };
    let (access, eyes) = world.barn.access(who, |eyes| {
        // at the rail one reads what the session rides
        let session = eyes.rail.as_ref().map(|id| world.barn.session(id)).filter(|_| kind == 2);
        let ridden = session.and_then(|s| s.exercise.clone().zip(s.revision)) == Some((exercise.id.clone(), n + 1));
        eyes.may("Facility", act, if ridden { &["own"] } else { &[] })
    });
    let (id, at) = (exercise.id.clone(), format!("exercises/{}", exercise.id));
    let gone = exercise.removed().then(Should::wrong_state);
    match kind {
        0 => world.read(who, access, &at, exercise.show()).map(drop),
        1 => world.list(dice, who, access, &format!("{at}/revisions"), &exercise.revisions),
        2 => {
            let revision = exercise.revisions.get(n).cloned();
            let (there, at) = (access.of(revision.is_some()), format!("{at}/revisions/{}", n + 1));
            world.read(who, there, &at, revision.unwrap_or_default()).map(drop)
        }
        3 | 4 => {
            let mut after = exercise.clone();
            after.shown["name"] = json!(dice.one(&["Bends", "Three fences"]));
            after.shown["purpose"] = dice.one(&[Value::Null, json!("Straightness")]);
            let body = json!({"name": after.shown["name"], "purpose": after.shown["purpose"]});
            let tag = world.tag(&at, exercise.show())?;
            let sent = world.patch(&at, tag, body);
            let should = gone.unwrap_or_else(|| Should::ok(200, after.show()));
            if world.write(dice, who, access, sent, should)?.is_some() {
                *world.barn.exercises.iter_mut().find(|e| e.id == id).unwrap() = after;
            }
            Ok(())
        }
        5 => {
            let used = super::facilities::used(world, |s| s.exercise.as_ref() == Some(&id));
            let tag = world.tag(&at, exercise.show())?;
            let sent = world.delete(&at, Some(tag));
            let should =
                gone.or_else(|| used.then(Should::wrong_state)).unwrap_or_else(|| Should::ok(204, Value::Null));
            if world.write(dice, who, access, sent, should)?.is_some() {
                let now = json!(world.barn.instant());
                world.barn.exercises.iter_mut().find(|e| e.id == id).unwrap().shown["removed_at"] = now;
            }
            Ok(())
        }
        _ => {
            let next = exercise.revisions.len() + 1;
            let (body, judged) = some_revision(world, dice, &id, next, &eyes.person, "");
            let should = gone.unwrap_or_else(|| match &judged {
                Ok(shown) => Should::ok(201, shown.clone()),
                Err(refused) => refused.clone(),
            });
            let sent = world.post(&format!("{at}/revisions"), body);
            if world.write(dice, who, access, sent, should)?.is_some() {
                let new = judged.unwrap();
                world.barn.exercises.iter_mut().find(|e| e.id == id).unwrap().revisions.push(new);
            }
            Ok(())
        }
    }
}
