//! Arenas and fence sets.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::Act;
use crate::differential::model::rows::Thing;
use crate::differential::model::sessions::Session;
use crate::differential::model::sorted;
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

const DAYS: [&str; 7] = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];

fn some_hours(dice: &mut Dice) -> Value {
    if dice.once_in(2) {
        return json!([]);
    }
    json!(DAYS.iter().map(|day| json!({"weekday": day, "opens": "07:00", "closes": "18:00"})).collect::<Vec<_>>())
}

pub fn arena(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    arena_as(world, dice, who, false)
}

pub fn arena_as(world: &mut World<'_>, dice: &mut Dice, who: Who, good: bool) -> Done {
    let access = world.barn.access(who, |eyes| eyes.may("Facility", Act::Create, &[])).0;
    let id = world.fresh();
    let (width, at_once) = (if good { 25 } else { dice.one(&[25, 20, 70]) }, dice.one(&[1, 1, 2]));
    let letters = if !good && dice.once_in(5) { "20x60" } else { "none" };
    let hours = if good { json!([]) } else { some_hours(dice) };
    let shown = json!({"id": id, "name": "Top school", "length_m": 60, "width_m": width, "indoor": false,
        "footing": "sand", "lights": true, "letters": letters, "hours": hours, "obstructions": [],
        "sessions_at_once": at_once, "removed_at": null, "created_at": world.barn.instant()});
    let body = json!({"id": id, "name": "Top school", "length_m": 60, "width_m": width, "letters": letters,
        "hours": hours, "lights": true, "sessions_at_once": at_once});
    let sent = world.post("arenas", body);
    if world.write(dice, who, access, sent, unfit(&shown).unwrap_or_else(|| Should::ok(201, shown.clone())))?.is_some()
    {
        world.barn.arenas.push(Thing { id, shown });
    }
    Ok(())
}

/// The shorter side is the width, and letters are for their sizes.
fn unfit(arena: &Value) -> Option<Should> {
    let wide = arena["width_m"].as_f64() > arena["length_m"].as_f64();
    let letters = arena["letters"] == "20x60" && arena["width_m"] != 20;
    let pointers = [("/letters", letters), ("/width_m", wide)];
    let wrong: Vec<&str> = pointers.iter().filter(|(_, wrong)| *wrong).map(|(at, _)| *at).collect();
    (!wrong.is_empty()).then(|| Should::all_at_odds(wrong))
}

fn list_of(world: &mut World<'_>, dice: &mut Dice, at: &str, things: &[Thing]) -> Done {
    let who = world.who(dice);
    let access = world.barn.access(who, |eyes| eyes.may("Facility", Act::Read, &[])).0;
    let items = sorted(things.iter().filter(|t| !t.removed()).map(|t| t.shown.clone()).collect());
    world.list(dice, who, access, at, &items)
}

pub fn arenas(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let things = world.barn.arenas.clone();
    list_of(world, dice, "arenas", &things)
}

pub fn sets(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let things = world.barn.sets.clone();
    list_of(world, dice, "fence-sets", &things)
}

/// Whether a session that is not over uses it.
pub fn used(world: &World<'_>, uses: impl Fn(&Session) -> bool) -> bool {
    world.barn.sessions.iter().any(|s| s.occupies() && s.ends > world.barn.now && uses(s))
}

/// Whether more sessions than that are booked there at one moment to come.
fn too_many(world: &World<'_>, arena: &str, at_once: usize) -> bool {
    let there: Vec<&Session> = world
        .barn
        .sessions
        .iter()
        .filter(|s| s.occupies() && s.ends > world.barn.now && s.arena.as_deref() == Some(arena))
        .collect();
    there.iter().any(|one| there.iter().filter(|s| s.starts <= one.starts && one.starts < s.ends).count() > at_once)
}

pub fn one_arena(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.an_arena(dice));
    let Some(before) = world.barn.arenas.iter().find(|a| a.id == id).cloned() else {
        let access = world.barn.access(who, |eyes| eyes.may("Facility", Act::Read, &[])).0.of(false);
        return world.read(who, access, &format!("arenas/{id}"), Value::Null).map(drop);
    };
    let mut after = before.clone();
    let mut body = json!({});
    for (field, values) in [
        ("name", vec![json!("Lower school")]),
        ("hours", vec![some_hours(dice)]),
        ("sessions_at_once", vec![json!(1), json!(2)]),
        ("width_m", vec![json!(20), json!(70)]),
    ] {
        if dice.once_in(3) {
            body[field] = dice.one(&values);
            after.shown[field] = body[field].clone();
        }
    }
    let at_once = usize::try_from(after.shown["sessions_at_once"].as_u64().unwrap()).unwrap();
    let crowded = too_many(world, &id, at_once);
    let refused = unfit(&after.shown).or_else(|| crowded.then(Should::wrong_state));
    let used = used(world, |s| s.arena.as_ref() == Some(&id));
    if let Some(changed) = one_of(world, dice, who, &format!("arenas/{id}"), before, after, body, refused, used)? {
        *world.barn.arenas.iter_mut().find(|a| a.id == id).unwrap() = changed;
    }
    Ok(())
}

/// Reads, changes or removes it; what it has become.
#[allow(clippy::too_many_arguments, reason = "two of them are before and after")]
fn one_of(
    world: &mut World<'_>,
    dice: &mut Dice,
    who: Who,
    at: &str,
    before: Thing,
    after: Thing,
    body: Value,
    refused: Option<Should>,
    used: bool,
) -> Result<Option<Thing>, String> {
    let kind = dice.below(8);
    let act = if kind < 3 {
        Act::Read
    } else if kind < 7 {
        Act::Change
    } else {
        Act::Remove
    };
    let access = world.barn.access(who, |eyes| eyes.may("Facility", act, &[])).0;
    if kind < 3 {
        return world.read(who, access, at, before.shown).map(|_| None);
    }
    let (tag, gone) = (world.tag(at, before.shown.clone())?, before.removed().then(Should::wrong_state));
    if kind < 7 {
        let sent = world.patch(at, tag, body);
        let should = gone.or(refused).unwrap_or_else(|| Should::ok(200, after.shown.clone()));
        return Ok(world.write(dice, who, access, sent, should)?.map(|_| after));
    }
    let should = gone.or_else(|| used.then(Should::wrong_state)).unwrap_or_else(|| Should::ok(204, Value::Null));
    let sent = world.delete(at, Some(tag));
    let removed = world.write(dice, who, access, sent, should)?.is_some();
    let mut thing = before;
    thing.shown["removed_at"] = json!(world.barn.instant());
    Ok(removed.then_some(thing))
}

pub fn set(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let access = world.barn.access(who, |eyes| eyes.may("Facility", Act::Create, &[])).0;
    let id = world.fresh();
    let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
    let shown = json!({"id": id, "name": "Top school set", "items": items, "removed_at": null,
        "created_at": world.barn.instant()});
    let sent = world.post("fence-sets", json!({"id": id, "name": "Top school set", "items": items}));
    if world.write(dice, who, access, sent, Should::ok(201, shown.clone()))?.is_some() {
        world.barn.sets.push(Thing { id, shown });
    }
    Ok(())
}

pub fn one_set(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let Some(before) = dice.pick(&world.barn.sets) else { return set(world, dice) };
    let id = before.id.clone();
    let mut after = before.clone();
    after.shown["name"] = json!(dice.one(&["Old set", "New set"]));
    let body = json!({"name": after.shown["name"]});
    let used = used(world, |s| s.set.as_ref() == Some(&id));
    let changed = one_of(world, dice, who, &format!("fence-sets/{id}"), before, after, body, None, used)?;
    if let Some(changed) = changed {
        *world.barn.sets.iter_mut().find(|s| s.id == id).unwrap() = changed;
    }
    Ok(())
}

/// Another barn's arena, and its calendar, are nothing here.
pub fn elsewhere(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let there = dice.one(&[
        format!("horses/{}", world.cast.elsewhere.horse),
        format!("people/{}", world.cast.elsewhere.person),
        format!("sessions/{}", world.cast.elsewhere.session),
        format!("exercises/{}", world.cast.elsewhere.exercise),
        format!("exercises/{}/revisions", world.cast.elsewhere.exercise),
        format!("horses/{}/rest", world.cast.elsewhere.horse),
    ]);
    world.read(FOUNDER, crate::differential::model::policy::Access::Hidden, &there, Value::Null).map(drop)
}
