//! What became of planned jumps that were not logged.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::Access;
use crate::differential::model::rides::Ride;
use crate::differential::model::sessions::Entry;
use crate::differential::should::Should;
use crate::differential::world::{FOUNDER, Who, World};
use stridewright_tests::{Value, json};

pub fn answer(world: &mut World<'_>, dice: &mut Dice, who: Who, access: Access, entry: &Entry, tag: String) -> Done {
    let logged = world.barn.logged(&entry.id);
    let said = dice.one(&["not_jumped", "as_planned", "efforts"]);
    let in_all = (said == "efforts" || dice.once_in(10)).then(|| (logged + dice.number(-1, 3)).max(0));
    let in_all = in_all.filter(|_| !dice.once_in(10));
    let (mut closing, more) = (json!({"answer": said}), dice.once_in(15));
    if let Some(in_all) = in_all {
        closing["efforts_in_all"] = json!(in_all);
    }
    let mut body = json!({"closing": closing});
    if more {
        body["reason"] = json!("The rider was late.");
    }
    let all = match (said, in_all) {
        ("not_jumped", None) => Some(logged),
        ("as_planned", None) => Some(entry.efforts),
        ("efforts", Some(all)) => Some(all),
        _ => None,
    };
    let mut closed = Entry { status: "closed", ..entry.clone() };
    let should = if more {
        Should::at_odds("/closing")
    } else if entry.status != "unresolved" {
        Should::wrong_state()
    } else if all.is_none_or(|all| all < logged) {
        Should::at_odds("/closing/efforts_in_all")
    } else {
        Should::ok(200, world.barn.show_entry(&closed))
    };
    let at = format!("sessions/{}/entries/{}", entry.session, entry.id);
    let sent = world.patch(&at, tag, body);
    if world.write(dice, who, access, sent, should)?.is_none() {
        return Ok(());
    }
    let by = world.barn.eyes(who).unwrap_or_default().person;
    std::mem::swap(&mut closed, world.barn.entry_mut(&entry.id));
    if let Some(rest) = all.map(|all| all - logged).filter(|rest| *rest > 0) {
        // an attempt without a time, whose id the service made
        let sent = world.get(&format!("{at}/rides?limit=200"));
        let rides = world.ask(FOUNDER, &sent, &Should::ok(200, Value::Null))?;
        let known = |id: &Value| world.barn.rides.iter().any(|r| *id == r.id.as_str());
        let new: Vec<Value> = rides.each("id").into_iter().filter(|id| !known(id)).collect();
        let [id] = new.as_slice() else { return Err(format!("{at}: {new:?} were added by its closing")) };
        world.barn.rides.push(Ride {
            id: id.as_str().unwrap().to_owned(),
            entry: entry.id.clone(),
            go: 0,
            kind: "closing",
            at: None,
            fences: json!([]),
            attempts: json!([]),
            efforts: rest,
            poles: 0,
            height: entry.height,
            note: None,
            standing: "counted",
            supersedes: None,
            by,
            made: world.barn.instant(),
        });
    }
    world.barn.test_again(std::slice::from_ref(&entry.horse), std::slice::from_ref(&entry.rider));
    Ok(())
}
