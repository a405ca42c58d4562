//! The barn itself, and the accounts of those who act in it.
use super::Done;
use crate::differential::cast::sign_in;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::should::{Should, alike};
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

/// The founder founds it, with nobody else in it yet.
pub fn found(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let mut shown = json!({"id": world.barn.id, "name": "Long Meadow", "time_zone": "Europe/Lisbon", "units": "metric",
        "labels": "british", "riders_confirm": dice.once_in(2)});
    let sent = world.post("/api/v1/barns", shown.clone());
    world.ask(FOUNDER, &sent, &Should::ok(201, shown.clone()))?;
    shown["created_at"] = json!(world.barn.instant());
    world.barn.shown = shown;
    world.barn.audited = 1;
    let people = world.ask(FOUNDER, &world.get("people"), &Should::ok(200, Value::Null))?;
    world.barn.people.push(crate::differential::model::rows::Person {
        id: people.items()[0]["id"].as_str().unwrap().to_owned(),
        account: Some(0),
        name: world.cast.accounts[0].name.clone(),
        trainer: true,
        rider: false,
        owner: false,
        birth: None,
        said: false,
        step: None,
        removed: false,
        at: world.barn.instant(),
    });
    Ok(())
}

pub fn get(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let access = world.barn.access(who, |eyes| eyes.may("Barn", Act::Read, &[])).0;
    world.read(who, access, &format!("/api/v1/barns/{}", world.barn.id), world.barn.shown.clone()).map(drop)
}

pub fn change(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let access = world.barn.access(who, |eyes| eyes.may("Barn", Act::Change, &[])).0;
    let (at, mut after, mut body) = (format!("/api/v1/barns/{}", world.barn.id), world.barn.shown.clone(), json!({}));
    for (field, values) in [
        ("name", vec![json!("Long Meadow"), json!("Short Meadow")]),
        ("riders_confirm", vec![json!(true), json!(false)]),
        ("units", vec![json!("imperial"), json!("metric")]),
        ("time_zone", vec![json!("Pacific/Auckland"), json!("America/New_York"), json!("Europe/Lisbon")]),
    ] {
        if dice.once_in(if field == "time_zone" { 5 } else { 2 }) {
            body[field] = dice.one(&values);
            after[field] = body[field].clone();
        }
    }
    let tag = world.tag(&at, world.barn.shown.clone())?;
    let sent = world.patch(&at, tag, body);
    if world.write(dice, who, access, sent, Should::ok(200, after.clone()))?.is_some() {
        let moved = after["time_zone"] != world.barn.shown["time_zone"];
        world.barn.shown = after;
        if moved {
            let horses: Vec<_> = world.barn.horses.iter().map(|horse| Some(horse.id.clone())).collect();
            world.barn.test_again(&horses, &[]);
        }
    }
    Ok(())
}

/// One's barns: this one is among them for who is somebody in it. An id is taken once.
pub fn list(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = Who::Account(dice.below(world.cast.accounts.len()));
    let answer = world.ask(who, &world.get("/api/v1/barns?limit=200"), &Should::ok(200, Value::Null))?;
    let listed = answer.each("id").contains(&json!(world.barn.id));
    if listed != world.barn.eyes(who).is_some() {
        return Err(format!("{who:?} finds {} among their barns: {listed}", world.barn.id));
    }
    if dice.once_in(3) {
        let mut barn = world.barn.shown.clone();
        barn.as_object_mut().unwrap().remove("created_at");
        let sent = world.post("/api/v1/barns", barn);
        world.ask(who, &sent, &Should::conflict().at("/id"))?;
    }
    Ok(())
}

/// One's account: who one is here, and a new name.
pub fn me(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let n = dice.below(world.cast.accounts.len());
    let who = Who::Account(n);
    let facts = json!({"email": world.cast.accounts[n].email, "name": world.cast.accounts[n].name});
    let me = world.ask(who, &world.get("/api/v1/me"), &Should::ok(200, facts))?;
    let here = me["memberships"].as_array().unwrap().iter().find(|m| m["barn_id"] == world.barn.id.as_str());
    let person = world.barn.people.iter().find(|p| p.account == Some(n) && !p.removed);
    let should = person.map(|p| {
        let wards: Vec<Value> = world.barn.wards(&p.id).iter().map(|id| json!({"person_id": id})).collect();
        json!({"person_id": p.id, "roles": p.roles(), "wards": wards, "barn": {"name": world.barn.shown["name"]}})
    });
    match (here, &should) {
        (None, None) => {}
        (Some(here), Some(should)) => alike(here, should, "the membership")?,
        _ => return Err(format!("{who:?} is {here:?} in {}, and {should:?} by the model", world.barn.id)),
    }
    if let Some(link) = (0..world.barn.links.len()).next().filter(|_| dice.once_in(3)) {
        let rail = Who::Rail(link);
        let held = world.barn.eyes(rail).is_some();
        let access = if held { Access::Hidden } else { Access::Unknown };
        world.read(rail, access, "/api/v1/me", Value::Null)?;
    }
    if dice.once_in(2) {
        let name = dice.one(&["Mara", "Robin", "Alex", "Toni"]).to_owned();
        let sent = world.patch("/api/v1/me", me.header("etag"), json!({"name": name}));
        if world.write(dice, who, Access::Fine, sent, Should::ok(200, json!({"name": name})))?.is_some() {
            world.cast.accounts[n].name = name;
        }
    }
    Ok(())
}

/// Signs in again and out, with what the tokens then open.
pub fn sign_ins(world: &mut World<'_>, dice: &mut Dice) -> Done {
    // the last of the cast, who hands out no links
    let n = world.cast.accounts.len() - 1;
    world.cast.signed_in = true;
    let (email, password) = (world.cast.accounts[n].email.clone(), world.cast.accounts[n].password.clone());
    let public = |world: &World<'_>, path: &str, body: Value| {
        let mut sent = world.post(path, body);
        sent.key = None;
        sent
    };
    let sent = public(world, "/api/v1/sign-ins", json!({"email": email, "password": password}));
    let tokens = world.ask(Who::Nobody, &sent, &Should::ok(201, json!({"token_type": "Bearer"})))?;
    let own =
        std::mem::replace(&mut world.cast.accounts[n].tokens, [0, 1].map(|_| Some(tokens.text_of("access_token"))));
    let (who, me) = (Who::Account(n), world.get("/api/v1/me"));
    let out = |path: &str| world.delete(path, None);
    let (current, everywhere) = (out("/api/v1/sign-ins/current"), out("/api/v1/sign-ins"));
    let unknown = Should::no(401, "unauthenticated");
    match dice.below(5) {
        0 => {
            world.ask(who, &current, &Should::ok(204, Value::Null))?;
            world.ask(who, &me, &unknown)?;
            world.cast.accounts[n].tokens = own;
        }
        1 => {
            world.ask(who, &everywhere, &Should::ok(204, Value::Null))?;
            world.cast.accounts[n].tokens = own;
            world.ask(who, &me, &unknown)?;
            world.cast.accounts[n].tokens = sign_in(world.pair, &email, &password);
        }
        2 => {
            let refresh = public(world, "/api/v1/sign-ins/refresh", json!({"refresh_token": tokens["refresh_token"]}));
            let new = world.ask(Who::Nobody, &refresh, &Should::ok(200, json!({"token_type": "Bearer"})))?;
            world.cast.accounts[n].tokens = [0, 1].map(|_| Some(new.text_of("access_token")));
            world.ask(who, &me, &Should::ok(200, json!({"email": email})))?;
            // the second time ends the sign-in
            world.ask(Who::Nobody, &refresh, &unknown)?;
            world.ask(who, &me, &unknown)?;
            world.cast.accounts[n].tokens = own;
        }
        3 => {
            let wrong = public(world, "/api/v1/sign-ins", json!({"email": email, "password": "no-strides-at-all"}));
            if dice.once_in(3) {
                world.ask(Who::Nobody, &wrong, &Should::no(401, "wrong_credentials"))?;
            }
            world.cast.accounts[n].tokens = own;
        }
        _ => {
            let new = format!("strides-{}", world.fresh());
            let body = json!({"old_password": password, "new_password": new});
            let change = public(world, "/api/v1/me/password", body);
            world.ask(who, &change, &Should::ok(204, Value::Null))?;
            world.ask(who, &change, &Should::at_odds("/old_password"))?;
            world.cast.accounts[n].password = new;
            let kept = std::mem::replace(&mut world.cast.accounts[n].tokens, own);
            world.ask(who, &me, &unknown)?;
            world.cast.accounts[n].tokens = kept;
        }
    }
    Ok(())
}
