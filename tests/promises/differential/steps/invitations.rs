//! Ways into the barn: invitations, and who accepts them.
use super::Done;
use crate::differential::dice::Dice;
use crate::differential::model::policy::{Access, Act};
use crate::differential::model::rows::{Guardian, Invitation, Person};
use crate::differential::model::{roles, sorted, text};
use crate::differential::should::Should;
use crate::differential::world::{Who, World};
use stridewright_tests::{Value, json};

pub fn create(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let held = dice.one(&[[false, true, false], [false, false, true], [true, false, false], [false, false, false]]);
    let (minor, person) = (world.a_person(dice, "rider"), world.a_person(dice, ""));
    let (minor, person) = (Some(minor).filter(|_| dice.once_in(4)), Some(person).filter(|_| dice.once_in(5)));
    create_as(world, dice, who, held, person, minor).map(drop)
}

/// Invites somebody; answers the secret.
pub fn create_as(
    world: &mut World<'_>,
    dice: &mut Dice,
    who: Who,
    held: [bool; 3],
    person: Option<String>,
    minor: Option<String>,
) -> Result<Option<String>, String> {
    let (access, eyes) = world.barn.access(who, |eyes| eyes.may("Invitation", Act::Create, &[]));
    let (id, days) = (world.fresh(), dice.pick(&[None, Some(1), Some(90)]).flatten());
    let expires = world.barn.now + days.unwrap_or(14) * 86400;
    let [trainer, rider, owner] = held;
    let shown = json!({"id": id, "name": "Robin", "roles": roles(trainer, rider, owner), "person_id": person,
        "guardian_of": minor, "expires_at": text(expires), "created_by": eyes.person,
        "created_at": world.barn.instant()});
    let invitation = Invitation {
        id: id.clone(),
        secret: String::new(),
        roles: held,
        person: person.clone(),
        minor: minor.clone(),
        expires,
        accepted: None,
        revoked: None,
        shown,
    };
    let mut body = json!({"id": id, "name": "Robin", "roles": roles(trainer, rider, owner)});
    if let Some(days) = days {
        body["expires_in_days"] = json!(days);
    }
    (body["person_id"], body["guardian_of"]) = (json!(person), json!(minor));
    let nameless = person.as_ref().is_some_and(|p| world.barn.person(p).is_none_or(|p| p.account.is_some()));
    let of_age = minor.as_ref().is_some_and(|m| !world.barn.minor(m));
    let should = if person.is_none() && minor.is_none() && held == [false; 3] {
        Should::at_odds("/roles")
    } else if person.is_some() && minor.is_some() || (of_age && !nameless) {
        Should::at_odds("/guardian_of")
    } else if nameless {
        Should::at_odds("/person_id")
    } else {
        Should::ok(201, invitation.show())
    };
    let sent = world.post("invitations", body);
    let Some(answer) = world.write(dice, who, access, sent, should)? else { return Ok(None) };
    let secret = answer.text_of("secret");
    world.barn.invitations.push(Invitation { secret: secret.clone(), ..invitation });
    Ok(Some(secret))
}

/// The invitations: the list, one, or its end.
pub fn under(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let who = world.who(dice);
    let of = |act: Act| world.barn.access(who, |eyes| eyes.may("Invitation", act, &[])).0;
    let (read, end) = (of(Act::Read), of(Act::Remove));
    let items = sorted(world.barn.invitations.iter().map(Invitation::show).collect());
    let open = world.barn.invitations.iter().filter(|i| i.accepted.is_none()).cloned().collect::<Vec<_>>();
    let one = dice.pick(&open).filter(|_| dice.once_in(2)).or_else(|| dice.pick(&world.barn.invitations));
    let id = one.as_ref().map_or_else(|| world.fresh(), |i| i.id.clone());
    let (at, facts) = (format!("invitations/{id}"), one.as_ref().map(Invitation::show).unwrap_or_default());
    match dice.below(4) {
        0 => world.list(dice, who, read, "invitations", &items),
        1 | 2 => world.read(who, read.of(one.is_some()), &at, facts).map(drop),
        _ => {
            let Some(one) = one else { return create(world, dice) };
            let tag = world.tag(&at, facts)?;
            let sent = world.delete(&at, Some(tag));
            let over = one.accepted.is_some() || one.revoked.is_some();
            let should = if over { Should::wrong_state() } else { Should::ok(204, Value::Null) };
            if world.write(dice, who, end, sent, should)?.is_some() {
                let now = world.barn.instant();
                world.barn.invitations.iter_mut().find(|i| i.id == id).unwrap().revoked = Some(now);
            }
            Ok(())
        }
    }
}

/// One answer for all that is wrong with an invitation.
fn acceptable(world: &World<'_>, invitation: &Invitation, account: usize) -> bool {
    let open = invitation.accepted.is_none() && invitation.revoked.is_none() && invitation.expires > world.barn.now;
    let own = world.barn.people.iter().find(|p| p.account == Some(account) && !p.removed);
    let named = match (&invitation.person, own) {
        (Some(_), Some(_)) => false,
        (Some(id), None) => world.barn.person(id).is_some_and(|p| p.account.is_none()),
        (None, _) => true,
    };
    // who becomes a guardian is of age, and the ward a minor and not themselves
    let joining = invitation.person.as_ref().or(own.map(|p| &p.id));
    let guards = invitation
        .minor
        .as_ref()
        .is_none_or(|minor| world.barn.minor(minor) && joining.is_none_or(|id| id != minor && !world.barn.minor(id)));
    open && named && guards
}

/// What accepting does; the person who came of it.
fn accepted(world: &mut World<'_>, secret: &str, account: usize, person: &str, name: &str) {
    let (now, barn) = (world.barn.instant(), &mut world.barn);
    let invitation = barn.invitations.iter_mut().find(|i| i.secret == secret).unwrap();
    invitation.accepted = Some((now.clone(), person.to_owned()));
    let ([trainer, rider, owner], minor) = (invitation.roles, invitation.minor.clone());
    match barn.people.iter_mut().find(|p| p.id == person) {
        Some(known) => {
            known.account = Some(account);
            (known.trainer, known.rider) = (known.trainer || trainer, known.rider || rider);
            known.owner |= owner;
        }
        None => barn.people.push(Person {
            id: person.to_owned(),
            account: Some(account),
            name: name.to_owned(),
            trainer,
            rider,
            owner,
            birth: None,
            said: false,
            step: None,
            removed: false,
            at: now.clone(),
        }),
    }
    if let Some(minor) = minor {
        let known = barn.guardians.iter().any(|g| g.minor == minor && g.adult == person);
        if !known {
            barn.guardians.push(Guardian { minor, adult: person.to_owned(), at: now });
        }
    }
}

pub fn join(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let account = dice.below(world.cast.accounts.len());
    let Some(invitation) = dice.pick(&world.barn.invitations) else { return Ok(()) };
    join_as(world, dice, account, &invitation.secret)
}

pub fn join_as(world: &mut World<'_>, dice: &mut Dice, account: usize, secret: &str) -> Done {
    let invitation = world.barn.invitations.iter().find(|i| i.secret == secret).cloned().unwrap();
    let fits = acceptable(world, &invitation, account);
    let name = world.cast.accounts[account].name.clone();
    let should = if fits { Should::ok(201, json!({"barn_id": world.barn.id})) } else { Should::at_odds("/invitation") };
    let sent = world.post("/api/v1/me/memberships", json!({"invitation": secret}));
    if let Some(answer) = world.write(dice, Who::Account(account), Access::Fine, sent, should)? {
        // the row of the audit log stands in the barn
        world.barn.audited += 1;
        accepted(world, secret, account, &answer.text_of("person_id"), &name);
        let person = world.barn.people.iter().find(|p| p.account == Some(account) && !p.removed).cloned().unwrap();
        let wards: Vec<Value> = world.barn.wards(&person.id).iter().map(|id| json!({"person_id": id})).collect();
        let facts = json!({"person_id": person.id, "roles": person.roles(), "wards": wards});
        crate::differential::should::alike(&answer.json, &facts, "the membership")?;
    }
    Ok(())
}

/// Somebody new signs up by an invitation, and is nobody of the cast.
pub fn sign_up(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let open: Vec<Invitation> = world.barn.invitations.iter().filter(|i| i.accepted.is_none()).cloned().collect();
    let Some(invitation) = dice.pick(&open) else { return Ok(()) };
    let account = 1000 + world.barn.audited;
    let fits = acceptable(world, &invitation, account);
    let email = format!("kit.{}@example.org", world.fresh());
    let body = json!({"email": email, "name": "Kit", "password": "four-strides-to-the-oxer",
        "invitation": invitation.secret});
    let facts = json!({"email": email, "memberships": [{"barn_id": world.barn.id}]});
    let should = if fits { Should::ok(201, facts) } else { Should::at_odds("/invitation") };
    let mut sent = world.post("/api/v1/accounts", body);
    sent.key = None;
    let answer = world.ask(Who::Nobody, &sent, &should)?;
    if fits {
        world.barn.audited += 1;
        let person = answer["memberships"][0]["person_id"].as_str().unwrap().to_owned();
        accepted(world, &invitation.secret, account, &person, "Kit");
        world.ask(Who::Nobody, &sent, &Should::conflict().at("/email"))?;
    }
    Ok(())
}
