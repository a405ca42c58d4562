//! People, and the guardians of minors.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::model::rows::{Guardian, Person};
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

const BIRTHS: [&str; 5] = ["1988-04-01", "2014-03-09", "2008-06-02", "2008-06-20", "2008-02-29"];

fn some_roles(dice: &mut Dice) -> [bool; 3] {
    dice.one(&[
        [false, true, false],
        [false, true, false],
        [false, false, true],
        [true, false, false],
        [true, true, true],
    ])
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let [trainer, rider, owner] = some_roles(dice);
    create_as(world, dice, who, [trainer, rider, owner], None).map(drop)
}

/// Adds somebody; answers their id.
pub fn create_as(
    world: &mut World<'_>,
    dice: &mut Dice,
    who: Who,
    [trainer, rider, owner]: [bool; 3],
    born: Option<&str>,
) -> Result<Option<String>, String> {
    let (access, _) = world.barn.access(who, |eyes| eyes.may("Person", Act::Create, &["own"]));
    let birth = born.map(str::to_owned).or_else(|| dice.once_in(2).then(|| dice.one(&BIRTHS).to_owned()));
    let said = birth.is_none().then(|| dice.pick(&[None, Some(true), Some(false)]).flatten()).flatten();
    let (step, id) = (dice.once_in(3).then_some(0.85), world.fresh());
    let person = Person {
        id: id.clone(),
        account: None,
        name: "Pip".to_owned(),
        trainer,
        rider,
        owner,
        birth: birth.as_ref().map(|b| b.parse().unwrap()),
        said: said.unwrap_or(false),
        step,
        removed: false,
        at: world.barn.instant(),
    };
    let mut body = json!({"id": id, "name": "Pip", "roles": person.roles(), "birth_date": birth, "step_m": step});
    let mut should = None;
    if let Some(said) = said {
        body["minor"] = json!(said);
    }
    match dice.below(20) {
        0 if birth.is_some() => {
            body["minor"] = json!(true);
            should = Some(Should::at_odds("/minor"));
        }
        1 if said.is_none() => {
            body["birth_date"] = json!("2031-01-01");
            should = Some(Should::at_odds("/birth_date"));
        }
        2 => {
            body["id"] = json!(world.barn.people[0].id);
            should = Some(Should::conflict());
        }
        _ => {}
    }
    let founder = world.barn.eyes(FOUNDER).unwrap_or_default();
    let should = should.unwrap_or_else(|| Should::ok(201, world.barn.show_person(&founder, &person)));
    let sent = world.post("people", body);
    let done = world.write(dice, who, access, sent, should)?.is_some();
    if done {
        let minor = person.is_minor(world.barn.today());
        world.barn.people.push(Person { said: minor, ..person });
    }
    Ok(done.then_some(id))
}

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Person", Act::Read, &["own"]));
    let role = dice.one(&[None, None, Some("trainer"), Some("rider"), Some("owner")]);
    let items = world.barn.people_seen(&eyes, role);
    let query = role.map(|role| format!("?role={role}")).unwrap_or_default();
    world.list(dice, who, access, &format!("people{query}"), &items)
}

fn access(world: &World<'_>, who: Who, id: &str, act: Act) -> (Access, crate::differential::model::policy::Eyes) {
    let person = world.barn.person(id);
    let (access, eyes) = world.barn.access(who, |eyes| {
        let held = [("own", eyes.is_own(id)), ("open", person.is_some_and(|p| p.trainer))];
        let held: Vec<&str> = held.iter().filter(|(_, held)| *held).map(|(name, _)| *name).collect();
        eyes.may("Person", act, &held)
    });
    (access.of(person.is_some()), eyes)
}

pub fn get(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.a_person(dice, ""));
    let (access, eyes) = access(world, who, &id, Act::Read);
    let facts = world.barn.person(&id).map(|p| world.barn.show_person(&eyes, p)).unwrap_or_default();
    world.read(who, access, &format!("people/{id}"), facts).map(drop)
}

/// The present ETag, where there is somebody.
fn tag(world: &mut World<'_>, id: &str) -> Result<String, String> {
    let Some(person) = world.barn.person(id).cloned() else { return Ok("\"v1\"".to_owned()) };
    let founder = world.barn.eyes(FOUNDER).unwrap_or_default();
    let facts = world.barn.show_person(&founder, &person);
    world.tag(&format!("people/{id}"), facts)
}

pub fn change(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.a_person(dice, ""));
    let (access, eyes) = access(world, who, &id, Act::Change);
    let tag = tag(world, &id)?;
    let before = world.barn.person(&id).cloned();
    let mut after = before.clone().unwrap_or_else(|| world.barn.people[0].clone());
    let mut body = json!({});
    if dice.once_in(2) {
        after.name = dice.one(&["Robin", "Lee", "Kit"]).to_owned();
        body["name"] = json!(after.name);
    }
    if dice.once_in(3) {
        after.step = dice.pick(&[None, Some(0.9)]).flatten();
        body["step_m"] = json!(after.step);
    }
    // the founder stays a trainer, or nobody could look
    let founder = after.account == Some(0) && !world.barn.last_trainer(&after);
    if dice.once_in(3) && !founder {
        [after.trainer, after.rider, after.owner] = some_roles(dice);
        body["roles"] = after.roles();
    }
    if dice.once_in(4) {
        after.birth = dice.pick(&BIRTHS).map(|b| b.parse().unwrap());
        body["birth_date"] = json!(after.birth.map(|b| b.to_string()));
    }
    let minor = after.is_minor(world.barn.today());
    let touched = ["/roles", "/birth_date"].into_iter().find(|pointer| !body[&pointer[1..]].is_null());
    let should = match (&before, touched) {
        (None, _) => Should::no(404, "not_found"),
        (Some(_), Some(pointer)) if !eyes.trainer => Should::no(403, "forbidden").at(pointer),
        (Some(person), _) if !after.trainer && world.barn.last_trainer(person) => Should::no(409, "last_trainer"),
        (Some(person), _) if minor && !person.is_minor(world.barn.today()) && !world.barn.wards(&id).is_empty() => {
            Should::wrong_state()
        }
        _ => Should::ok(200, world.barn.show_person(&eyes, &after)),
    };
    let sent = world.patch(&format!("people/{id}"), tag, body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        if before.is_some_and(|p| p.trainer) && !after.trainer {
            world.barn.revoke_links_of(&id);
        }
        *world.barn.people.iter_mut().find(|p| p.id == id).unwrap() = Person { said: minor, ..after };
    }
    Ok(())
}

pub fn remove(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, id) = (world.who(dice), world.a_person(dice, ""));
    let person = world.barn.person(&id).cloned();
    if person.as_ref().is_some_and(|p| p.account == Some(0) && !world.barn.last_trainer(p)) {
        return Ok(());
    }
    let (access, _) = access(world, who, &id, Act::Remove);
    let tag = tag(world, &id)?;
    let (sessions, entries) = (world.barn.sessions.clone(), world.barn.entries.clone());
    let now = world.barn.now;
    let mut should = Should::ok(204, Value::Null);
    let mut horses = Vec::new();
    if let Some(person) = &person {
        if world.barn.last_trainer(person) {
            should = Should::no(409, "last_trainer");
        }
        let ahead: Vec<String> = sessions.iter().filter(|s| s.starts > now).map(|s| s.id.clone()).collect();
        for entry in world.barn.entries.iter_mut().filter(|e| e.rider.as_ref() == Some(&id)) {
            if ahead.contains(&entry.session) && ["requested", "booked"].contains(&entry.status) {
                (entry.status, entry.reason) = ("cancelled", Some("The rider has left the barn.".to_owned()));
                horses.push(entry.horse.clone());
            }
        }
        world.barn.test_again(&horses, &[]);
        if should.good() && world.barn.needed(&id) {
            should = Should::wrong_state();
        }
    }
    let sent = world.delete(&format!("people/{id}"), Some(tag));
    if world.write(dice, who, access, sent, should)?.is_none() {
        (world.barn.sessions, world.barn.entries) = (sessions, entries);
        return Ok(());
    }
    world.barn.revoke_links_of(&id);
    world.barn.people.iter_mut().filter(|p| p.id == id).for_each(|p| p.removed = true);
    world.barn.ownerships.iter_mut().filter(|o| o.person == id).for_each(|o| o.ended = true);
    world.barn.pairings.iter_mut().filter(|p| p.rider == id).for_each(|p| p.ended = true);
    Ok(())
}

/// Guardians: a list, one of them, a new one, or the end of one.
pub fn guardians(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let minors: Vec<String> =
        world.barn.people.iter().filter(|p| !p.removed && world.barn.minor(&p.id)).map(|p| p.id.clone()).collect();
    let minor = if dice.once_in(6) { None } else { dice.pick(&minors) };
    let minor = minor.unwrap_or_else(|| world.a_person(dice, ""));
    let adult = world.a_person(dice, "");
    let there = world.barn.person(&minor).is_some();
    let of = |act: Act| {
        let access =
            world.barn.access(who, |eyes| eyes.may("Person", act, if eyes.is_own(&minor) { &["own"] } else { &[] }));
        access.0
    };
    let known: Vec<&Guardian> =
        world.barn.guardians.iter().filter(|g| g.minor == minor && world.barn.person(&g.adult).is_some()).collect();
    let show = |g: &Guardian| {
        let name = world.barn.person(&g.adult).map(|p| p.name.clone());
        json!({"guardian_id": g.adult, "name": name, "created_at": g.at})
    };
    let mut shown: Vec<Value> = known.iter().map(|g| show(g)).collect();
    shown.sort_by_key(|g| g["guardian_id"].to_string());
    let adult = if dice.once_in(2) { known.first().map_or(adult.clone(), |g| g.adult.clone()) } else { adult };
    let one = known.iter().find(|g| g.adult == adult).map(|g| show(g));
    let (list, read) = (of(Act::Read).of(there), of(Act::Read).of(there && one.is_some()));
    let (make, end) = (of(Act::Create).of(there), of(Act::Remove).of(there && one.is_some()));
    let under = format!("people/{minor}/guardians");
    match dice.below(5) {
        0 => world.list(dice, who, list, &under, &shown),
        1 => world.read(who, read, &format!("{under}/{adult}"), one.unwrap_or_default()).map(drop),
        2 => {
            let sent = world.delete(&format!("{under}/{adult}"), None);
            if world.write(dice, who, end, sent, Should::ok(204, Value::Null))?.is_some() {
                world.barn.guardians.retain(|g| (&g.minor, &g.adult) != (&minor, &adult));
            }
            Ok(())
        }
        _ => {
            let should = if !world.barn.minor(&minor) {
                Should::wrong_state()
            } else if world.barn.person(&adult).is_none() || world.barn.minor(&adult) {
                Should::at_odds("/guardian_id")
            } else if one.is_some() {
                Should::conflict().at("/guardian_id")
            } else {
                Should::ok(201, json!({"guardian_id": adult, "created_at": world.barn.instant()}))
            };
            let sent = world.post(&under, json!({"guardian_id": adult}));
            if world.write(dice, who, make, sent, should)?.is_some() {
                let at = world.barn.instant();
                world.barn.guardians.push(Guardian { minor, adult, at });
            }
            Ok(())
        }
    }
}
