//! Stand-downs of horses and of riders, and their clearance.
use super::Done;
use super::pairs::under;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act, Eyes};
use crate::differential::model::rows::StandDown;
use crate::differential::model::sorted;
use crate::differential::should::Should;
use crate::differential::world::{Who, World};
use jiff::ToSpan;
use stridewright_tests::{Value, json};

const SCOPES: [&str; 3] = ["jumping", "jumping_and_poles", "riding"];

/// Whose stand-downs: a horse's or a rider's.
struct Of {
    horse: Option<String>,
    rider: Option<String>,
}

impl Of {
    fn some(world: &World<'_>, dice: &mut Dice) -> Self {
        if dice.once_in(3) {
            Self { horse: None, rider: Some(world.a_person(dice, "rider")) }
        } else {
            Self { horse: Some(world.a_horse(dice)), rider: None }
        }
    }

    fn access(&self, world: &World<'_>, who: Who, act: Act) -> (Access, Eyes) {
        if let Some(horse) = &self.horse {
            return under(world, who, horse, "HorseStandDown", act);
        }
        let rider = self.rider.as_ref().unwrap();
        let (access, eyes) = world
            .barn
            .access(who, |eyes| eyes.may("RiderStandDown", act, if eyes.is_own(rider) { &["own"] } else { &[] }));
        (access.of(world.barn.person(rider).is_some()), eyes)
    }

    fn at(&self) -> String {
        match (&self.horse, &self.rider) {
            (Some(horse), _) => format!("horses/{horse}/stand-downs"),
            (None, rider) => format!("people/{}/stand-downs", rider.as_ref().unwrap()),
        }
    }

    fn holds(&self, down: &StandDown) -> bool {
        (&down.horse, &down.rider) == (&self.horse, &self.rider)
    }
}

/// Whether nobody but those whose it is set and end it.
fn theirs(eyes: &Eyes, horse: Option<&String>, source: &str) -> bool {
    match (horse, source) {
        (Some(_), "trainer") => eyes.trainer,
        (Some(horse), "owner") => eyes.owner && eyes.owns(horse),
        _ => true,
    }
}

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, of, today) = (world.who(dice), Of::some(world, dice), world.barn.today());
    let (access, eyes) = of.access(world, who, Act::Create);
    let source = dice.one(&["trainer", "trainer", "vet", "rule", "owner", "farrier"]);
    let from = today + dice.number(-3, 4).days();
    let free = dice.pick(&[None, Some(2), Some(4), Some(15), Some(-1)]).flatten().map(|days| from + days.days());
    let down = StandDown {
        id: world.fresh(),
        horse: of.horse.clone(),
        rider: of.rider.clone(),
        source,
        scope: dice.one(&SCOPES),
        from,
        free,
        cleared: None,
        reason: "Shod late yesterday.".to_owned(),
    };
    let body = json!({"id": down.id, "source": source, "scope": down.scope, "from_date": from.to_string(),
        "free_from_date": free.map(|d| d.to_string()), "reason": down.reason});
    let should = if of.rider.is_some() && ["owner", "farrier"].contains(&source) {
        Should::at_odds("/source")
    } else if !theirs(&eyes, of.horse.as_ref(), source) {
        Should::no(403, "forbidden")
    } else if free.is_some_and(|free| free < from) {
        Should::at_odds("/free_from_date")
    } else {
        Should::ok(201, down.show())
    };
    let sent = world.post(&of.at(), body);
    if world.write(dice, who, access, sent, should)?.is_some() {
        world.barn.downs.push(down);
        world.barn.test_again(&[of.horse], &[of.rider]);
    }
    Ok(())
}

pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, of) = (world.who(dice), Of::some(world, dice));
    let (access, _) = of.access(world, who, Act::Read);
    let items = sorted(world.barn.downs.iter().filter(|d| of.holds(d)).map(StandDown::show).collect());
    world.list(dice, who, access, &of.at(), &items)
}

/// One stand-down: read, changed or cleared.
pub fn one(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, today) = (world.who(dice), world.barn.today());
    let Some(mut down) = dice.pick(&world.barn.downs) else { return create(world, dice) };
    let of = Of { horse: down.horse.clone(), rider: down.rider.clone() };
    let kind = dice.below(5);
    let act = [Act::Read, Act::Change, Act::Change, Act::Clear, Act::Clear][kind];
    let (access, eyes) = of.access(world, who, act);
    let at = format!("{}/{}", of.at(), down.id);
    if kind == 0 {
        return world.read(who, access, &at, down.show()).map(drop);
    }
    let there = world.barn.is_there(&format!("{at}/"));
    let tag = if there { world.tag(&at, down.show())? } else { "\"v1\"".to_owned() };
    let not_theirs = (!theirs(&eyes, of.horse.as_ref(), down.source)).then(|| Should::no(403, "forbidden"));
    let over = down.cleared.is_some().then(Should::wrong_state);
    let before = not_theirs.or(over);
    let done = if kind < 3 {
        let before_it = down.clone();
        down.scope = dice.one(&SCOPES);
        down.free =
            dice.pick(&[None, Some(1), Some(6), Some(6), Some(-1)]).flatten().map(|days| down.from + days.days());
        let body = json!({"scope": down.scope, "free_from_date": down.free.map(|d| d.to_string())});
        let wrong = down.free.is_some_and(|free| free < down.from).then(|| Should::at_odds("/free_from_date"));
        let sent = world.patch(&at, tag, body);
        let rank = |scope: &str| SCOPES.iter().position(|s| *s == scope);
        let sooner = before_it.free.zip(down.free).is_some_and(|(was, is)| is < was);
        let weaker: Vec<&str> = [("/free_from_date", sooner), ("/scope", rank(down.scope) < rank(before_it.scope))]
            .iter()
            .filter(|(_, weaker)| down.needs_clearance() && *weaker)
            .map(|(field, _)| *field)
            .collect();
        let weaker = (!weaker.is_empty()).then(|| Should::all_at_odds(&weaker));
        let should = before.or(wrong).or(weaker).unwrap_or_else(|| Should::ok(200, down.show()));
        world.write(dice, who, access, sent, should)?
    } else {
        let fits = down.from.min(today).max(today - dice.number(0, 3).days());
        let cleared = if dice.once_in(4) { today + dice.number(-4, 1).days() } else { fits.max(down.from) };
        let wrong = (cleared > today || cleared < down.from).then(|| Should::at_odds("/cleared_on"));
        // one that needs none ends with it all the same
        if !down.needs_clearance() {
            down.free = Some(down.free.map_or(cleared, |free| free.min(cleared)));
        }
        down.cleared = Some(cleared);
        let mut sent =
            world.post(&format!("{at}/clearance"), json!({"cleared_on": cleared.to_string(), "note": "Sound again."}));
        (sent.key, sent.if_match) = (None, Some(tag));
        let should = before.or(wrong).unwrap_or_else(|| Should::ok(200, down.show()));
        world.write(dice, who, access, sent, should)?
    };
    if done.is_some() {
        let kept = world.barn.downs.iter_mut().find(|d| d.id == down.id);
        *kept.unwrap() = down;
        world.barn.test_again(&[of.horse], &[of.rider]);
    }
    Ok(())
}

/// A stand-down of another horse or rider under an address.
pub fn mixed(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, of) = (world.who(dice), Of::some(world, dice));
    let Some(down) = dice.pick(&world.barn.downs).filter(|d| !of.holds(d)) else { return Ok(()) };
    let (access, _) = of.access(world, who, Act::Read);
    world.read(who, access.of(false), &format!("{}/{}", of.at(), down.id), Value::Null).map(drop)
}
