//! Limits on a horse's work.
use super::Done;
use super::pairs::under;
use crate::differential::dice::Dice;
use crate::differential::model::policy::Act;
use crate::differential::model::rows::Limit;
use crate::differential::model::sorted;
use crate::differential::should::Should;
use crate::differential::world::World;
use jiff::ToSpan;
use stridewright_tests::{Value, json};

fn resource(source: &str) -> &'static str {
    match source {
        "owner" => "OwnerLimit",
        "vet" => "VetLimit",
        _ => "Limit",
    }
}

fn some_rule(dice: &mut Dice) -> Value {
    let value = |kind: &str, values: &[i64], dice: &mut Dice| json!({"kind": kind, "value": dice.one(values)});
    match dice.below(9) {
        0 => value("max_efforts_per_session", &[6, 10], dice),
        1 => value("max_sessions_per_day", &[0, 1, 2], dice),
        2 => value("max_efforts_per_day", &[0, 8, 14], dice),
        3 => value("max_efforts_per_7_days", &[12, 20], dice),
        4 => value("max_efforts_per_28_days", &[20, 40], dice),
        5 => value("max_jumping_days_per_7_days", &[0, 1, 2], dice),
        6 => value("max_height_cm", &[60, 80], dice),
        7 => {
            json!({"kind": "clear_days_after_efforts", "min_efforts": dice.one(&[1, 8]), "clear_days": dice.one(&[1, 2])})
        }
        _ => {
            json!({"kind": "return_ramp", "after_gap_days": 5, "ramp_days": 4, "max_per_session": 6, "max_per_7_days": 9})
        }
    }
}

fn single(rule: &Value) -> bool {
    ["max_efforts_per_session", "max_sessions_per_day", "max_height_cm"].iter().any(|kind| rule["kind"] == *kind)
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse, today) = (world.who(dice), world.a_horse(dice), world.barn.today());
    let (access, eyes) = under(world, who, &horse, "VetLimit", Act::Create);
    let usual = if eyes.trainer { "trainer" } else { "owner" };
    let source = dice.one(&[usual, usual, "vet", "owner", "trainer", "barn_default"]);
    let rule = some_rule(dice);
    let day = |dice: &mut Dice| dice.once_in(3).then(|| today + dice.number(-6, 6).days());
    let (from, to) = (day(dice), day(dice));
    let from_height = dice.once_in(4).then(|| dice.one(&[50, 80]));
    let hard = dice.once_in(3);
    let limit = Limit { id: world.fresh(), horse: horse.clone(), rule, source, hard, from, to, from_height };
    let mut body = limit.show();
    for name in ["horse_id", "binding"] {
        body.as_object_mut().unwrap().remove(name);
    }
    let other = dice.once_in(15);
    if other {
        body["ramp_days"] = if limit.rule["kind"] == "return_ramp" { Value::Null } else { json!(4) };
    }
    let theirs = eyes.may(resource(source), Act::Create, &eyes.to_horse(&horse));
    let should = if source == "barn_default" {
        Should::at_odds("/source")
    } else if theirs.refusal().is_some() {
        Should::no(403, "forbidden")
    } else if other {
        Should::at_odds("/ramp_days")
    } else if from_height.is_some() && single(&limit.rule) {
        Should::at_odds("/from_height_cm")
    } else if from.zip(to).is_some_and(|(from, to)| to < from) {
        Should::at_odds("/valid_to")
    } else {
        Should::ok(201, limit.show())
    };
    let sent = world.post(&format!("horses/{horse}/workload-limits"), body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.limits.push(limit);
        world.barn.test_again(&[Some(horse)], &[]);
    }
    Ok(())
}

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let (access, _) = under(world, who, &horse, "VetLimit", Act::Read);
    let on = dice.once_in(2).then(|| world.barn.today() + dice.number(-3, 3).days());
    let shown = world.barn.limits.iter().filter(|l| l.horse == horse && on.is_none_or(|day| l.valid_on(day)));
    let items = sorted(shown.map(Limit::show).collect());
    let query = on.map(|day| format!("?on={day}")).unwrap_or_default();
    world.list(dice, who, access, &format!("horses/{horse}/workload-limits{query}"), &items)
}

/// One limit: read, changed or ended.
pub fn one(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, today) = (world.who(dice), world.barn.today());
    let set: Vec<Limit> = world.barn.limits.iter().filter(|l| l.source != "barn_default").cloned().collect();
    let any = if dice.once_in(4) { dice.pick(&world.barn.limits) } else { dice.pick(&set) };
    let Some(mut limit) = any else { return Ok(()) };
    let horse = limit.horse.clone();
    let of = |act: Act| under(world, who, &horse, resource(limit.source), act).0;
    let (read, change, end) = (of(Act::Read), of(Act::Change), of(Act::Remove));
    let at = format!("horses/{horse}/workload-limits/{}", limit.id);
    let kind = dice.below(6);
    if kind < 2 {
        return world.read(who, read, &at, limit.show()).map(drop);
    }
    let there = world.barn.horse(&horse).is_some();
    let tag = if there { world.tag(&at, limit.show())? } else { "\"v1\"".to_owned() };
    let done = if kind < 5 {
        let mut body = json!({"hard": dice.once_in(2)});
        limit.hard = body["hard"] == true;
        if !limit.rule["value"].is_null() {
            body["value"] = json!(dice.one(&[1, 9, 70]));
            limit.rule["value"] = body["value"].clone();
        }
        if dice.once_in(2) {
            limit.to = dice.pick(&[None, Some(today + 3.days())]).flatten();
            body["valid_to"] = json!(limit.to.map(|d| d.to_string()));
        }
        let should = if limit.hard && limit.source == "barn_default" {
            Should::at_odds("/hard")
        } else if limit.from.zip(limit.to).is_some_and(|(from, to)| to < from) {
            Should::at_odds("/valid_to")
        } else {
            Should::ok(200, limit.show())
        };
        let sent = world.patch(&at, tag, body);
        world.write(dice, who, change, sent, should)?
    } else {
        let last = today.yesterday().unwrap();
        let over = limit.to.is_some_and(|to| to <= last);
        limit.to = Some(last);
        let sent = world.delete(&at, Some(tag));
        let should = if over { Should::wrong_state() } else { Should::ok(204, Value::Null) };
        world.write(dice, who, end, sent, should)?
    };
    if done.is_some() {
        let kept = world.barn.limits.iter_mut().find(|l| l.id == limit.id);
        *kept.unwrap() = limit;
        world.barn.test_again(&[Some(horse)], &[]);
    }
    Ok(())
}
