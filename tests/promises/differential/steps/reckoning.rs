//! What is reckoned: lines, group distances, adjustability and next asks. The figures are compared between the
//! databases only; the model says who may ask.
use super::Done;
use super::pairs::under;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::should::Should;
use crate::differential::world::{Who, World};
use jiff::ToSpan;
use stridewright_tests::{Value, json};

const LINE: &str = "distance_m=21&first_height_cm=80&second_height_cm=80";

pub fn of_horse(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let (access, _) = under(world, who, &horse, "Workload", Act::Read);
    asked(world, dice, who, access, &format!("horses/{horse}"))
}

pub fn of_pair(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let Some(pair) = dice.pick(&world.barn.pairings) else { return Ok(()) };
    let there = !pair.ended && world.barn.horse(&pair.horse).is_some();
    let access = world.barn.access(who, |eyes| {
        let mut to = eyes.to_horse(&pair.horse);
        if eyes.is_own(&pair.rider) {
            to.push("own");
        }
        eyes.may("PairProgress", Act::Read, &to)
    });
    asked(world, dice, who, access.0.of(there), &format!("horses/{}/pairings/{}", pair.horse, pair.id))
}

fn asked(world: &mut World<'_>, dice: &mut Dice, who: Who, access: Access, at: &str) -> Done {
    let today = world.barn.today();
    let day = today - dice.number(-1, 3).days();
    let what = dice.one(&["adjustability?", &format!("next-ask?{LINE}&")]).to_owned();
    let at = format!("{at}/{what}as_of={day}");
    if day > today {
        let should = access.refusal().unwrap_or_else(|| Should::query_at_odds("?as_of"));
        return world.ask(who, &world.get(&at), &should).map(drop);
    }
    world.read(who, access, &at, json!({"as_of": day.to_string()})).map(drop)
}

/// Lines, layouts and group distances, of the barn's horses and of any.
pub fn lines(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse) = (world.who(dice), world.a_horse(dice));
    let of_barn = dice.once_in(2);
    let (mut access, eyes) = world.barn.access(who, |eyes| eyes.may("Evaluation", Act::Read, &[]));
    if !of_barn {
        access = match who {
            Who::Account(_) => Access::Fine,
            Who::Rail(_) if access != Access::Unknown => Access::Hidden,
            _ => Access::Unknown,
        };
    }
    let line = json!({"distance_m": 21.0, "first_height_cm": 80, "second_height_cm": 80});
    let group = json!({"distance_min_m": 18.0, "distance_max_m": 24.0, "first_height_cm": 80, "second_height_cm": 80});
    let fence = |label: &str, x: f64| {
        json!({"label": label, "kind": "vertical", "height_cm": 80,
        "position": {"x_m": x, "y_m": 12.0, "heading_deg": 0.0}})
    };
    let ridden =
        json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 21.0, "measured": "inside_to_inside"});
    let mut layout = json!({"fences": [fence("1", 19.0), fence("2", 40.0)], "lines": [ridden]});
    if of_barn {
        for fence in layout["fences"].as_array_mut().unwrap() {
            fence["position"] = Value::Null;
        }
    } else {
        layout["arena"] = json!({"length_m": 60.0, "width_m": 25.0});
    }
    let (things, mut body) = dice.one(&[("lines", line), ("group-distances", group), ("evaluations", layout)]);
    let alone = things != "group-distances";
    let whole = eyes.may("Workload", Act::Read, &eyes.to_horse(&horse)) == Access::Fine;
    let known = whole || eyes.rides(&horse);
    let there = known && world.barn.horse(&horse).is_some();
    if of_barn && alone {
        body["horse_id"] = json!(horse);
    } else if of_barn {
        body["members"] = json!([{"horse_id": horse}]);
    } else if !alone {
        body["members"] = json!([{"label": "A"}]);
    }
    let pointer = if alone { "/horse_id" } else { "/members/0/horse_id" };
    let unfit = (of_barn && !there).then(|| Should::at_odds(pointer));
    let at = if of_barn { things.to_owned() } else { format!("/api/v1/{things}") };
    let mut sent = world.post(&at, body);
    sent.key = None;
    let should = access.refusal().or(unfit).unwrap_or_else(|| Should::ok(200, Value::Null));
    world.ask(who, &sent, &should).map(drop)
}

/// The library, one exercise of it, and one in an arena of the barn.
pub fn library(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, arena) = (world.who(dice), world.an_arena(dice));
    let (in_barn, _) = world.barn.access(who, |eyes| eyes.may("Facility", Act::Read, &[]));
    let key = dice.one(&["related_five", "fan", "bounces", "nothing_of_ours"]);
    let there = key != "nothing_of_ours";
    let any = match who {
        Who::Account(_) => Access::Fine,
        Who::Rail(_) if in_barn != Access::Unknown => Access::Hidden,
        _ => Access::Unknown,
    };
    if dice.once_in(6) {
        let (access, _) = world.barn.access(who, |eyes| eyes.may("Evaluation", Act::Read, &[]));
        return world.read(who, access, "normal-stride-card.html", Value::Null).map(drop);
    }
    if dice.once_in(2) {
        let (at, access) = match dice.below(2) {
            0 => ("/api/v1/library?kind=fan".to_owned(), any),
            _ => (format!("/api/v1/library/{key}"), any.of(there)),
        };
        return world.read(who, access, &at, Value::Null).map(drop);
    }
    let known = world.barn.arenas.iter().any(|a| a.id == arena) && there;
    let sent = world.get(&format!("arenas/{arena}/library/{key}?room=tight"));
    let should = in_barn.of(known).refusal().unwrap_or_else(|| Should::ok(200, Value::Null));
    world.ask(who, &sent, &should).map(drop)
}

/// What is there for everybody.
pub fn public(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let at = dice.one(&[
        "/livez",
        "/readyz",
        "/metrics",
        "/api/v1/openapi.json",
        "/api/v1/docs",
        "/api/v1/docs/swagger-ui.css",
        "/problems/rule-refused",
        "/problems/conflict",
    ]);
    world.read(Who::Nobody, Access::Fine, at, Value::Null).map(drop)
}
