//! Horses, and the limits that come with their preset.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::model::rows::{Horse, Limit};
use crate::differential::model::{presets, sorted};
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use jiff::civil::Date;
use stridewright_tests::{Value, json};

const PRESETS: [&str; 4] = ["young", "established", "competing", "lesson_pony"];

/// A horse as it is shown today.
fn show(world: &World<'_>, horse: &Horse) -> Value {
    let today = world.barn.today();
    let mut shown = horse.shown.clone();
    let measured = horse.strides.iter().filter(|(on, _)| *on <= today).max_by_key(|(on, _)| *on);
    shown["normal_stride"] = match measured {
        Some((_, stride)) => stride.clone(),
        None => json!({"source": "guess", "measured_on": today.to_string()}),
    };
    shown
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, preset) = (world.who(dice), dice.pick(&[None, Some("young"), Some("competing"), Some("lesson_pony")]));
    create_as(world, dice, who, preset.flatten()).map(drop)
}

pub fn create_as(
    world: &mut World<'_>,
    dice: &mut Dice,
    who: Who,
    preset: Option<&'static str>,
) -> Result<Option<String>, String> {
    let (access, _) = world.barn.access(who, |eyes| eyes.may("Horse", Act::Create, &["owned", "paired"]));
    let (id, today) = (world.fresh(), world.barn.today());
    let profile = dice.one(&["horse", "horse", "medium_pony"]);
    let shown = json!({"id": id, "name": "Bramble", "profile": profile, "mover": "usual", "green": false,
        "calibration": 1.0, "limit_preset": preset.unwrap_or("established"), "created_at": world.barn.instant()});
    let mut horse = Horse { id: id.clone(), shown, strides: Vec::new(), removed: false };
    let mut body = json!({"id": id, "name": "Bramble", "profile": profile, "limit_preset": preset});
    let mut should = None;
    if dice.once_in(4) {
        let ahead = dice.once_in(6);
        let stride = measured(dice, if ahead { today.tomorrow().unwrap() } else { today });
        body["normal_stride"] = stride.clone();
        horse.strides.push((today, stride));
        should = ahead.then(|| Should::at_odds("/normal_stride/measured_on"));
    }
    if let Some(first) = world.barn.horses.first().filter(|_| dice.once_in(20)) {
        body["id"] = json!(first.id);
        should = Some(Should::conflict());
    }
    let should = should.unwrap_or_else(|| Should::ok(201, show(world, &horse)));
    let sent = world.post("horses", body);
    if world.write(dice, who, access, sent, should)?.is_none() {
        return Ok(None);
    }
    world.barn.horses.push(horse);
    take_preset(world, &id, preset.unwrap_or("established"), None)?;
    Ok(Some(id))
}

fn measured(dice: &mut Dice, on: Date) -> Value {
    let stride = dice.one(&[3.4, 3.6]);
    json!({"stride_m": stride, "source": dice.one(&["counted", "taped"]), "measured_on": on.to_string()})
}

/// The rules that a preset adds, whose ids the service made.
fn take_preset(world: &mut World<'_>, horse: &str, preset: &str, from: Option<Date>) -> Done {
    let sent = world.get(&format!("horses/{horse}/workload-limits?limit=200"));
    let rules = presets::of(preset);
    let answer = world.ask(FOUNDER, &sent, &Should::ok(200, Value::Null))?;
    let known = |id: &str| world.barn.limits.iter().any(|l| l.id == id);
    let new: Vec<Value> = answer.items().iter().filter(|l| !known(l["id"].as_str().unwrap())).cloned().collect();
    if new.len() != rules.len() {
        return Err(format!("{preset} has {} limits, and {} by the paper", new.len(), rules.len()));
    }
    for ((rule, from_height), is) in rules.into_iter().zip(new) {
        let id = is["id"].as_str().unwrap().to_owned();
        let limit = Limit {
            id,
            horse: horse.to_owned(),
            rule,
            source: "barn_default",
            hard: false,
            from,
            to: None,
            from_height,
        };
        crate::differential::should::alike(&is, &limit.show(), preset)?;
        world.barn.limits.push(limit);
    }
    Ok(())
}

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Horse", Act::Read, &["owned", "paired"]));
    let seen = |h: &&Horse| !h.removed && eyes.may("Horse", Act::Read, &eyes.to_horse(&h.id)) == Access::Fine;
    let items = sorted(world.barn.horses.iter().filter(seen).map(|h| show(world, h)).collect());
    world.list(dice, who, access, "horses", &items)
}

fn access(world: &World<'_>, who: Who, id: &str, act: Act) -> Access {
    let access = world.barn.access(who, |eyes| eyes.may("Horse", act, &eyes.to_horse(id))).0;
    access.of(world.barn.horse(id).is_some())
}

fn facts(world: &World<'_>, id: &str) -> Value {
    world.barn.horse(id).map(|h| show(world, h)).unwrap_or_default()
}

pub fn get(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.a_horse(dice));
    let facts = facts(world, &id);
    world.read(who, access(world, who, &id, Act::Read), &format!("horses/{id}"), facts).map(drop)
}

fn tag(world: &mut World<'_>, id: &str) -> Result<String, String> {
    if world.barn.horse(id).is_none() {
        return Ok("\"v1\"".to_owned());
    }
    let facts = facts(world, id);
    world.tag(&format!("horses/{id}"), facts)
}

pub fn change(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id, today) = (world.who(dice), world.a_horse(dice), world.barn.today());
    let (access, tag) = (access(world, who, &id, Act::Change), tag(world, &id)?);
    let Some(before) = world.barn.horse(&id).cloned() else {
        let sent = world.patch(&format!("horses/{id}"), tag, json!({}));
        return world.write(dice, who, access, sent, Should::no(404, "not_found")).map(drop);
    };
    let (mut after, mut body, mut should) = (before.clone(), json!({}), None);
    for (field, values) in [
        ("name", vec![json!("Juniper"), json!("Tansy")]),
        ("mover", vec![json!("big"), json!("short")]),
        ("green", vec![json!(true), json!(false)]),
        ("calibration", vec![json!(1.05), json!(0.9)]),
        ("limit_preset", PRESETS.iter().map(|p| json!(p)).collect()),
    ] {
        if dice.once_in(3) {
            body[field] = dice.one(&values);
            after.shown[field] = body[field].clone();
        }
    }
    if dice.once_in(4) {
        let stride = measured(dice, today);
        body["normal_stride"] = stride.clone();
        after.strides.retain(|(on, _)| *on != today);
        after.strides.push((today, stride));
    }
    if dice.once_in(15) {
        body["calibration"] = json!(1.3);
        should = Some(super::bounded("/calibration"));
    }
    let should = should.unwrap_or_else(|| Should::ok(200, show(world, &after)));
    let sent = world.patch(&format!("horses/{id}"), tag, body);
    if world.write(dice, who, access, sent, should)?.is_none() {
        return Ok(());
    }
    let preset = after.shown["limit_preset"].as_str().unwrap().to_owned();
    let changed = before.shown["limit_preset"] != preset.as_str();
    *world.barn.horses.iter_mut().find(|h| h.id == id).unwrap() = after;
    if changed {
        let held = |l: &&mut Limit| l.horse == id && l.source == "barn_default" && l.to.is_none_or(|to| to >= today);
        world.barn.limits.iter_mut().filter(held).for_each(|l| l.to = Some(today.yesterday().unwrap()));
        take_preset(world, &id, &preset, Some(today))?;
        world.barn.test_again(&[Some(id)], &[]);
    }
    Ok(())
}

pub fn remove(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.a_horse(dice));
    let (access, tag) = (access(world, who, &id, Act::Remove), tag(world, &id)?);
    let booked = world.barn.entries.iter().any(|e| {
        let session = world.barn.session(&e.session);
        e.horse.as_ref() == Some(&id) && ["booked", "open"].contains(&e.status) && session.ends > world.barn.now
    });
    let should = if booked { Should::wrong_state() } else { Should::ok(204, Value::Null) };
    let sent = world.delete(&format!("horses/{id}"), Some(tag));
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.horses.iter_mut().filter(|h| h.id == id).for_each(|h| h.removed = true);
    }
    Ok(())
}
