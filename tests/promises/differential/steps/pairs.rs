//! Whose a horse is, and who may ride it.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act, Eyes};
use crate::differential::model::rows::{Ownership, Pairing};
use crate::differential::model::sorted;
use crate::differential::should::Should;
use crate::differential::world::{Who, World};
use stridewright_tests::{Value, json};

const LEVELS: [&str; 3] = ["novice", "usual", "schooled"];

/// Against what is under a horse.
pub fn under(world: &World<'_>, who: Who, horse: &str, resource: &str, act: Act) -> (Access, Eyes) {
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may(resource, act, &eyes.to_horse(horse)));
    (access.of(world.barn.horse(horse).is_some()), eyes)
}

pub fn own(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse, person) = (world.who(dice), world.a_horse(dice), world.a_person(dice, "owner"));
    own_as(world, dice, who, horse, person)
}

pub fn own_as(world: &mut World<'_>, dice: &mut Dice, who: Who, horse: String, person: String) -> Done {
    let (access, _) = under(world, who, &horse, "Ownership", Act::Create);
    let (id, kind) = (world.fresh(), dice.one(&["owner", "lessee"]));
    let ownership = Ownership { id, horse, person, kind, ended: false, at: world.barn.instant() };
    let twice = |o: &Ownership| !o.ended && (&o.horse, &o.person) == (&ownership.horse, &ownership.person);
    let should = match world.barn.person(&ownership.person) {
        Some(person) if person.owner && world.barn.ownerships.iter().any(twice) => Should::conflict(),
        Some(person) if person.owner => Should::ok(201, ownership.show()),
        _ => Should::at_odds("/person_id"),
    };
    let body = json!({"id": ownership.id, "person_id": ownership.person, "kind": kind});
    let sent = world.post(&format!("horses/{}/ownerships", ownership.horse), body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.ownerships.push(ownership);
    }
    Ok(())
}

/// Ownerships of a horse: the list, one, or its end.
pub fn ownerships(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let held: Vec<Ownership> = world.barn.ownerships.iter().filter(|o| o.horse == horse && !o.ended).cloned().collect();
    let at = format!("horses/{horse}/ownerships");
    let (read, _) = under(world, who, &horse, "Ownership", Act::Read);
    if dice.once_in(3) {
        return world.list(dice, who, read, &at, &sorted(held.iter().map(Ownership::show).collect()));
    }
    let one = dice.pick(&held);
    let id = one.as_ref().map_or_else(|| world.fresh(), |o| o.id.clone());
    let at = format!("{at}/{id}");
    let facts = one.as_ref().map(Ownership::show).unwrap_or_default();
    if dice.once_in(2) {
        return world.read(who, read.of(one.is_some()), &at, facts).map(drop);
    }
    let (end, _) = under(world, who, &horse, "Ownership", Act::Remove);
    let there = one.is_some() && world.barn.horse(&horse).is_some();
    let tag = if there { world.tag(&at, facts)? } else { "\"v1\"".to_owned() };
    let sent = world.delete(&at, Some(tag));
    if world.write(dice, who, end.of(one.is_some()), sent, Should::ok(204, Value::Null))?.is_some() {
        world.barn.ownerships.iter_mut().filter(|o| o.id == id).for_each(|o| o.ended = true);
    }
    Ok(())
}

pub fn pair(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse, rider) = (world.who(dice), world.a_horse(dice), world.a_person(dice, "rider"));
    pair_as(world, dice, who, horse, rider)
}

pub fn pair_as(world: &mut World<'_>, dice: &mut Dice, who: Who, horse: String, rider: String) -> Done {
    let (access, _) = world.barn.access(who, |eyes| to_pairings(eyes, &horse, Act::Create));
    let access = access.of(world.barn.horse(&horse).is_some());
    let (id, level, up_to) = (world.fresh(), dice.one(&LEVELS), dice.one(&[70, 90, 110]));
    let pairing = Pairing { id, horse, rider, level, up_to, ended: false, at: world.barn.instant() };
    let twice = |p: &Pairing| !p.ended && (&p.horse, &p.rider) == (&pairing.horse, &pairing.rider);
    let should = match world.barn.person(&pairing.rider) {
        Some(person) if person.rider && world.barn.pairings.iter().any(twice) => Should::conflict(),
        Some(person) if person.rider => Should::ok(201, pairing.show()),
        _ => Should::at_odds("/rider_id"),
    };
    let body = json!({"id": pairing.id, "rider_id": pairing.rider, "level": level, "up_to_height_cm": up_to});
    let sent = world.post(&format!("horses/{}/pairings", pairing.horse), body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        let (horse, rider) = (pairing.horse.clone(), pairing.rider.clone());
        world.barn.pairings.push(pairing);
        world.barn.test_again(&[Some(horse)], &[Some(rider)]);
    }
    Ok(())
}

/// Whoever rides a horse finds their own pairing in the list.
fn to_pairings(eyes: &Eyes, horse: &str, act: Act) -> Access {
    let mut to = eyes.to_horse(horse);
    if to.contains(&"paired") {
        to.push("own");
    }
    eyes.may("Pairing", act, &to)
}

fn to_pairing(eyes: &Eyes, pairing: &Pairing, act: Act) -> Access {
    let mut to = eyes.to_horse(&pairing.horse);
    if eyes.is_own(&pairing.rider) {
        to.push("own");
    }
    eyes.may("Pairing", act, &to)
}

/// Pairings of a horse or of the barn.
pub fn pairings(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let rider = dice.once_in(3).then(|| world.a_person(dice, "rider"));
    let of_horse = dice.once_in(2);
    let (access, eyes) = if of_horse {
        let (access, eyes) = world.barn.access(who, |eyes| to_pairings(eyes, &horse, Act::Read));
        (access.of(world.barn.horse(&horse).is_some()), eyes)
    } else {
        world.barn.access(who, |eyes| eyes.may("Pairing", Act::Read, &["own"]))
    };
    let seen = world.barn.pairings.iter().filter(|p| {
        let asked = if of_horse { p.horse == horse } else { rider.as_ref().is_none_or(|r| p.rider == *r) };
        let there = !p.ended && world.barn.horse(&p.horse).is_some();
        there && asked && to_pairing(&eyes, p, Act::Read) == Access::Fine
    });
    let items = sorted(seen.map(Pairing::show).collect());
    let at = match rider {
        _ if of_horse => format!("horses/{horse}/pairings"),
        Some(rider) => format!("pairings?rider_id={rider}"),
        None => "pairings".to_owned(),
    };
    world.list(dice, who, access, &at, &items)
}

/// One pairing: read, changed or ended.
pub fn pairing(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let held: Vec<Pairing> = world.barn.pairings.iter().filter(|p| !p.ended || dice.once_in(8)).cloned().collect();
    let Some(mut one) = dice.pick(&held) else { return Ok(()) };
    let there = !one.ended && world.barn.horse(&one.horse).is_some();
    let may = |act: Act| world.barn.access(who, |eyes| to_pairing(eyes, &one, act)).0.of(there);
    let (read, change, end) = (may(Act::Read), may(Act::Change), may(Act::Remove));
    let at = format!("horses/{}/pairings/{}", one.horse, one.id);
    let kind = dice.below(5);
    if kind < 2 {
        return world.read(who, read, &at, one.show()).map(drop);
    }
    let tag = if there { world.tag(&at, one.show())? } else { "\"v1\"".to_owned() };
    let done = if kind < 4 {
        (one.level, one.up_to) = (dice.one(&LEVELS), dice.one(&[60, 80, 100]));
        let sent = world.patch(&at, tag, json!({"level": one.level, "up_to_height_cm": one.up_to}));
        world.write(dice, who, change, sent, Should::ok(200, one.show()))?
    } else {
        one.ended = true;
        let sent = world.delete(&at, Some(tag));
        world.write(dice, who, end, sent, Should::ok(204, Value::Null))?
    };
    if done.is_some() {
        let (horse, rider) = (one.horse.clone(), one.rider.clone());
        let kept = world.barn.pairings.iter_mut().find(|p| p.id == one.id);
        *kept.unwrap() = one;
        world.barn.test_again(&[Some(horse)], &[Some(rider)]);
    }
    Ok(())
}
