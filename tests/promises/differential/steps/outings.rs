//! Jumping elsewhere: planned, logged, corrected and called off.
use super::Done;
use super::pairs::under;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Act, Eyes};
use crate::differential::model::rows::Outing;
use crate::differential::model::{sorted, text};
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, World};
use jiff::ToSpan;
use stridewright_core::rest::Code;
use stridewright_tests::{Value, json};

const KINDS: [&str; 4] = ["competition_round", "warm_up", "lesson", "other"];

/// As somebody sees it: a rider's name is for those whose it is, and for who sees the horse's rows.
fn show(eyes: &Eyes, outing: &Outing) -> Value {
    let mut shown = outing.show();
    let rows = eyes.may("Limit", Act::Read, &eyes.to_horse(&outing.horse)).refusal().is_none();
    let rider = outing.rider.as_ref().filter(|rider| rows || eyes.is_own(rider));
    shown["rider_id"] = json!(rider);
    shown
}

/// A rider whom they may name.
fn unknown_rider(world: &World<'_>, eyes: &Eyes, horse: &str, rider: &str) -> bool {
    let rows = eyes.may("Limit", Act::Read, &eyes.to_horse(horse)).refusal().is_none();
    let paired = world.barn.pairings.iter().any(|p| !p.ended && p.horse == horse && p.rider == rider);
    let known = eyes.trainer || eyes.is_own(rider) || (rows && paired);
    !known || !world.barn.person(rider).is_some_and(|p| p.rider)
}

/// The codes of what stands against the plan, or the refusal: a stand-down refuses what is new.
fn judged(world: &World<'_>, outing: &Outing, new: bool) -> Result<Vec<Value>, Should> {
    if outing.status != "booked" {
        return Ok(Vec::new());
    }
    let diary = world.barn.diary(&outing.horse);
    let known = world.barn.outings.iter().any(|o| o.id == outing.id);
    let diary = if known { diary.without(&outing.id) } else { diary };
    let reasons = diary.reasons(&world.barn.outing_candidate(outing));
    let codes: Vec<String> = reasons.iter().map(|r| r.code.as_str().to_owned()).collect();
    if new && reasons.iter().any(|r| r.code == Code::StandDown) {
        return Err(Should::rules("rule_refused", codes));
    }
    Ok(codes.iter().map(|code| json!({"code": code})).collect())
}

fn day(world: &World<'_>, outing: &Outing) -> jiff::civil::Date {
    outing.at.map_or_else(|| outing.on.unwrap(), |at| world.barn.day(at))
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let (access, eyes) = under(world, who, &horse, "Outing", Act::Create);
    let today = world.barn.today();
    let rider = world.a_person(dice, "rider");
    let past = dice.once_in(3);
    let days = if past { dice.number(-5, 0) } else { dice.number(-1, 6) };
    let by_date = dice.once_in(2);
    let mut outing = Outing {
        id: world.fresh(),
        horse: horse.clone(),
        rider: Some(rider).filter(|_| dice.once_in(3)),
        kind: dice.one(&KINDS),
        show_id: dice.pick(&[None, Some("Autumn show".to_owned())]).flatten(),
        at: (!by_date).then(|| world.barn.now - world.barn.now % 3600 + days * 86400),
        on: by_date.then(|| today + days.days()),
        status: "booked",
        planned: dice.one(&[0, 6, 12]),
        planned_height: dice.pick(&[None, Some(90)]).flatten(),
        done: None,
        superseded_by: None,
        by: eyes.person.clone(),
    };
    let mut body = json!({"id": outing.id, "kind": outing.kind, "show_id": outing.show_id, "rider_id": outing.rider,
        "planned_efforts": outing.planned, "planned_height_cm": outing.planned_height});
    match outing.at {
        Some(at) => body["at"] = json!(text(at)),
        None => body["on_date"] = json!(outing.on.map(|d| d.to_string())),
    }
    if past {
        outing.done = Some((dice.number(0, 20), Some(100)));
        outing.status = "closed";
        body["done"] = json!({"efforts": outing.done.unwrap().0, "height_cm": 100});
    }
    let both = dice.once_in(20);
    if both {
        (body["at"], body["on_date"]) = (json!(text(world.barn.now)), json!(today.to_string()));
    }
    let named = outing.rider.as_ref().is_some_and(|r| unknown_rider(world, &eyes, &horse, r));
    let should = if both {
        super::bounded("/on_date")
    } else if named {
        Should::at_odds("/rider_id")
    } else if outing.status == "closed" && day(world, &outing) > today {
        Should::at_odds("/done")
    } else if world.barn.horse(&horse).is_none() {
        Should::no(404, "not_found")
    } else {
        with_warnings(world, &eyes, &outing, true)
    };
    let sent = world.post(&format!("horses/{horse}/outings"), body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.outings.push(outing);
        world.barn.test_again(&[Some(horse)], &[]);
    }
    Ok(())
}

fn with_warnings(world: &World<'_>, eyes: &Eyes, outing: &Outing, new: bool) -> Should {
    match judged(world, outing, new) {
        Err(refused) => refused,
        Ok(warnings) => {
            let mut facts = show(eyes, outing);
            if !warnings.is_empty() {
                facts["warnings"] = json!(warnings);
            }
            Should::ok(if new && !world.barn.outings.iter().any(|o| o.id == outing.id) { 201 } else { 200 }, facts)
        }
    }
}

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let (access, eyes) = under(world, who, &horse, "Outing", Act::Read);
    let of = world.barn.outings.iter().filter(|o| o.horse == horse);
    let items = sorted(of.map(|o| show(&eyes, o)).collect());
    world.list(dice, who, access, &format!("horses/{horse}/outings"), &items)
}

/// One outing: read, changed or called off.
pub fn one(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, today) = (world.who(dice), world.barn.today());
    let Some(before) = dice.pick(&world.barn.outings) else { return create(world, dice) };
    let horse = before.horse.clone();
    let kind = dice.below(6);
    let act = [Act::Read, Act::Read, Act::Change, Act::Change, Act::Change, Act::Remove][kind];
    let (access, eyes) = world.barn.access(who, |eyes| {
        let mut to = eyes.to_horse(&horse);
        if eyes.is_own(&before.by) && eyes.rides(&horse) {
            to.push("own");
        }
        eyes.may("Outing", act, &to)
    });
    let access = access.of(world.barn.horse(&horse).is_some());
    let at = format!("horses/{horse}/outings/{}", before.id);
    if kind < 2 {
        let facts = show(&eyes, &before);
        return world.read(who, access, &at, facts).map(drop);
    }
    let founder = world.barn.eyes(FOUNDER).unwrap_or_default();
    let there = world.barn.horse(&horse).is_some();
    let facts = show(&founder, &before);
    let tag = if there { world.tag(&at, facts)? } else { "\"v1\"".to_owned() };
    let mut after = before.clone();
    if kind == 5 {
        after.status = "cancelled";
        let sent = world.delete(&at, Some(tag));
        let should = if before.status == "booked" { Should::ok(204, Value::Null) } else { Should::wrong_state() };
        if world.write(dice, who, access, sent, should)?.is_some() {
            *world.barn.outings.iter_mut().find(|o| o.id == before.id).unwrap() = after;
            world.barn.test_again(&[Some(horse)], &[]);
        }
        return Ok(());
    }
    let mut body = json!({});
    if dice.once_in(2) {
        (after.at, after.on) = (None, Some(today + dice.number(-3, 4).days()));
        body["on_date"] = json!(after.on.map(|d| d.to_string()));
    }
    if dice.once_in(3) {
        after.planned = dice.one(&[3, 9]);
        body["planned_efforts"] = json!(after.planned);
    }
    if dice.once_in(2) {
        after.done = Some((dice.number(0, 18), None));
        after.status = "closed";
        body["done"] = json!({"efforts": after.done.unwrap().0});
    }
    if after.status == "closed" {
        after.by.clone_from(&eyes.person);
    }
    let judged_by =
        |o: &Outing| (day(world, o), o.planned, o.planned_height, o.rider.clone(), o.kind, o.show_id.clone());
    let should = if ["cancelled", "superseded"].contains(&before.status) {
        Should::wrong_state()
    } else if after.status == "closed" && day(world, &after) > today {
        Should::at_odds("/done")
    } else {
        let moved = judged_by(&before) != judged_by(&after);
        with_warnings(world, &eyes, &after, moved)
    };
    let sent = world.patch(&at, tag, body);
    if world.write(dice, who, access, sent, should)?.is_none() {
        return Ok(());
    }
    let id = before.id.clone();
    *world.barn.outings.iter_mut().find(|o| o.id == id).unwrap() = after;
    if before.status == "closed" {
        keep(world, before)?;
    }
    world.barn.test_again(&[Some(horse)], &[]);
    Ok(())
}

/// What was logged stays, uncounted, under an id that the service made, and names what took its place.
fn keep(world: &mut World<'_>, before: Outing) -> Done {
    let sent = world.get(&format!("horses/{}/outings?limit=200", before.horse));
    let answer = world.ask(FOUNDER, &sent, &Should::ok(200, Value::Null))?;
    let known = |id: &Value| world.barn.outings.iter().any(|o| *id == o.id.as_str());
    let new: Vec<Value> = answer.each("id").into_iter().filter(|id| !known(id)).collect();
    let [id] = new.as_slice() else { return Err(format!("{new:?} were kept of {before:?}")) };
    let (id, by) = (id.as_str().unwrap().to_owned(), Some(before.id.clone()));
    world.barn.outings.push(Outing { id, status: "superseded", superseded_by: by, ..before });
    Ok(())
}
