//! Rail links: handed out, read and taken back by trainers.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::Act;
use crate::differential::model::rows::Link;
use crate::differential::model::sorted;
use crate::differential::model::text;
use crate::differential::should::Should;
use crate::differential::world::World;
use stridewright_tests::{Value, json};

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, (id, session)) = (world.who(dice), world.a_session(dice));
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("RailLink", Act::Create, &[]));
    let access = access.of(session.is_some());
    let (label, now) = ("Phone at the gate".to_owned(), world.barn.now);
    let said = dice.pick(&[None, None, Some(3600), Some(25 * 3600), Some(-30 * 86400)]).flatten();
    let ends = session.as_ref().map_or(now, |s| s.ends);
    // two hours after the session, or from now on where it is over; a day after it at most
    let expires = said.map_or(ends.max(now) + 2 * 3600, |seconds| ends + seconds);
    let link = Link {
        id: world.fresh(),
        session: id.clone(),
        secret: String::new(),
        label: label.clone(),
        expires,
        revoked: None,
        by: eyes.person,
        at: world.barn.instant(),
    };
    let dead =
        session.as_ref().is_some_and(|s| s.kind == "appointment" || ["cancelled", "declined"].contains(&s.status));
    let should = if dead || (said.is_none() && expires > ends + 24 * 3600) {
        Should::wrong_state()
    } else if expires > ends + 24 * 3600 || expires <= now {
        Should::at_odds("/expires_at")
    } else {
        Should::ok(201, link.show())
    };
    let mut body = json!({"id": link.id, "label": label});
    if said.is_some() {
        body["expires_at"] = json!(text(expires));
    }
    let sent = world.post(&format!("sessions/{id}/rail-links"), body);
    if let Some(answer) = world.write(dice, who, access, sent, should)? {
        world.barn.links.push(Link { secret: answer.text_of("secret"), ..link });
    }
    Ok(())
}

/// The links of a session: the list, one, or its end.
pub fn under(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let Some(link) = dice.pick(&world.barn.links) else { return create(world, dice) };
    let of = |act: Act| world.barn.access(who, |eyes| eyes.may("RailLink", act, &[])).0;
    let (read, end) = (of(Act::Read), of(Act::Remove));
    let at = format!("sessions/{}/rail-links", link.session);
    match dice.below(4) {
        0 => {
            let items = world.barn.links.iter().filter(|l| l.session == link.session).map(Link::show);
            let items = sorted(items.collect());
            world.list(dice, who, read, &at, &items)
        }
        1 => world.read(who, read, &format!("{at}/{}", link.id), link.show()).map(drop),
        2 => world.read(who, read.of(false), &format!("{at}/{}", world.fresh()), Value::Null).map(drop),
        _ => {
            let at = format!("{at}/{}", link.id);
            let tag = world.tag(&at, link.show())?;
            let sent = world.delete(&at, Some(tag));
            let should = if link.revoked.is_some() { Should::wrong_state() } else { Should::ok(204, Value::Null) };
            if world.write(dice, who, end, sent, should)?.is_some() {
                let now = world.barn.instant();
                world.barn.links.iter_mut().filter(|l| l.id == link.id).for_each(|l| l.revoked = Some(now.clone()));
            }
            Ok(())
        }
    }
}
