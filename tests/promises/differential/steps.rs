//! The steps of a history: each chooses by whom and on what, asks, and says what must come of it.
pub mod barns;
mod choose;
mod closing;
mod diary;
mod entries;
mod exercises;
mod facilities;
mod horses;
mod invitations;
mod limits;
mod links;
mod outings;
mod pairs;
mod people;
mod reckoning;
mod rest;
mod rides;
mod sessions;
mod stand_downs;
mod versions;

use super::dice::Dice;
use super::model::policy::{Access, Act};
use super::model::rows::{Limit, StandDown};
use super::model::sorted;
use super::pair::Refused;
use super::should::Should;
use super::world::{FOUNDER, Who, World};
use stridewright_tests::Value;

pub type Done = Result<(), Refused>;
pub type Taken = fn(&mut World<'_>, &mut Dice) -> Done;

/// Every kind of step, and how often it comes.
pub const ALL: &[(&str, usize, Taken)] = &[
    ("barn", 2, barns::get),
    ("change the barn", 2, barns::change),
    ("barns", 1, barns::list),
    ("me", 2, barns::me),
    ("sign in", 1, barns::sign_ins),
    ("person", 2, people::create),
    ("people", 2, people::list),
    ("one person", 2, people::get),
    ("change a person", 3, people::change),
    ("remove a person", 1, people::remove),
    ("guardians", 3, people::guardians),
    ("invite", 2, invitations::create),
    ("invitations", 3, invitations::under),
    ("join", 2, invitations::join),
    ("sign up", 1, invitations::sign_up),
    ("arena", 3, facilities::arena),
    ("arenas", 1, facilities::arenas),
    ("one arena", 5, facilities::one_arena),
    ("fence sets", 1, facilities::sets),
    ("one fence set", 3, facilities::one_set),
    ("elsewhere", 1, facilities::elsewhere),
    ("exercise", 2, exercises::create),
    ("exercises", 1, exercises::list),
    ("one exercise", 5, exercises::one),
    ("set", 4, exercises::setting),
    ("horse", 2, horses::create),
    ("horses", 2, horses::list),
    ("one horse", 1, horses::get),
    ("change a horse", 2, horses::change),
    ("remove a horse", 1, horses::remove),
    ("own", 2, pairs::own),
    ("ownerships", 3, pairs::ownerships),
    ("pair", 3, pairs::pair),
    ("pairings", 2, pairs::pairings),
    ("one pairing", 3, pairs::pairing),
    ("limit", 8, limits::create),
    ("limits", 1, limits::list),
    ("one limit", 6, limits::one),
    ("stand down", 9, stand_downs::create),
    ("stand-downs", 2, stand_downs::list),
    ("one stand-down", 8, stand_downs::one),
    ("another's stand-down", 1, stand_downs::mixed),
    ("outing", 3, outings::create),
    ("outings", 1, outings::list),
    ("one outing", 4, outings::one),
    ("session", 14, sessions::create),
    ("sessions", 3, diary::list),
    ("one session", 2, diary::get),
    ("sheet of a session", 4, diary::sheet),
    ("change a session", 14, sessions::change),
    ("calendar", 2, diary::calendar),
    ("entries", 8, entries::under),
    ("one entry", 2, entries::get),
    ("change an entry", 18, entries::change),
    ("rail link", 4, links::create),
    ("rail links", 8, links::under),
    ("ride", 12, rides::log),
    ("rides", 4, rides::under),
    ("all rides", 3, rides::all),
    ("batch", 6, versions::batch),
    ("correct", 4, versions::correct),
    ("choose", 3, versions::choose),
    ("efforts", 3, rest::efforts),
    ("rest", 4, rest::rest),
    ("progress of a horse", 2, reckoning::of_horse),
    ("progress of a pair", 2, reckoning::of_pair),
    ("lines", 2, reckoning::lines),
    ("library", 2, reckoning::library),
    ("public", 3, reckoning::public),
    ("again", 4, |world, dice| world.repeat(dice)),
    ("time", 6, |world, dice| {
        let hours = dice.one(&[1, 3, 12, 24, 24, 49]);
        world.pass(hours * 3600);
        Ok(())
    }),
];

/// A fault that the schema of a field says.
pub fn bounded(pointer: &str) -> Should {
    Should::no(422, "invalid_body").at(pointer)
}

/// What every history ends with: what became of everything, as some of them see it.
pub fn look_round(world: &mut World<'_>, dice: &mut Dice) -> Done {
    world.pass(1);
    for who in [FOUNDER, Who::Account(1), Who::Account(2), Who::Account(3)] {
        let Some(eyes) = world.barn.eyes(who) else { continue };
        let sessions: Vec<Value> =
            world.barn.sessions_seen(&eyes).into_iter().map(|s| world.barn.show_session(&eyes, s)).collect();
        world.list(dice, who, eyes.may("Session", Act::Read, &["owned", "open"]), "sessions", &sessions)?;
        let rides = world.barn.rides_seen(&eyes).into_iter().map(|r| world.barn.show_ride(r)).collect();
        world.list(dice, who, eyes.may("Ride", Act::Read, &["own", "owned"]), "rides", &sorted(rides))?;
    }
    let horses: Vec<String> = world.barn.horses.iter().filter(|h| !h.removed).take(2).map(|h| h.id.clone()).collect();
    for horse in horses {
        let limits = world.barn.limits.iter().filter(|l| l.horse == horse).map(Limit::show);
        let limits = sorted(limits.collect());
        world.list(dice, FOUNDER, Access::Fine, &format!("horses/{horse}/workload-limits"), &limits)?;
        let downs = world.barn.downs.iter().filter(|d| d.horse.as_ref() == Some(&horse)).map(StandDown::show);
        let downs = sorted(downs.collect());
        world.list(dice, FOUNDER, Access::Fine, &format!("horses/{horse}/stand-downs"), &downs)?;
    }
    Ok(())
}

/// What every history begins with: a barn with people, horses and an arena, each step of it a step as any other.
pub fn settle(world: &mut World<'_>, dice: &mut Dice) -> Done {
    barns::found(world, dice)?;
    for (account, roles) in [(1, [false, true, false]), (2, [false, false, true]), (4, [dice.once_in(2), true, true])] {
        world.pass(1);
        if let Some(secret) = invitations::create_as(world, dice, FOUNDER, roles, None, None)? {
            invitations::join_as(world, dice, account, &secret)?;
        }
    }
    world.pass(1);
    let child = people::create_as(world, dice, FOUNDER, [false, true, false], Some("2014-03-09"))?;
    if let Some(secret) = invitations::create_as(world, dice, FOUNDER, [false; 3], None, child.clone())? {
        invitations::join_as(world, dice, 3, &secret)?;
    }
    facilities::arena_as(world, dice, FOUNDER, true)?;
    let person = |world: &World<'_>, account| {
        world.barn.people.iter().find(|p| p.account == Some(account)).map(|p| p.id.clone())
    };
    for rider in [person(world, 1), child] {
        world.pass(1);
        let horse = horses::create_as(world, dice, FOUNDER, None)?;
        if let (Some(horse), Some(rider)) = (horse, rider) {
            pairs::pair_as(world, dice, FOUNDER, horse.clone(), rider)?;
            if let Some(owner) = person(world, 2) {
                pairs::own_as(world, dice, FOUNDER, horse, owner)?;
            }
        }
    }
    exercises::create_as(world, dice, FOUNDER)?;
    for _ in 0..6 {
        if world.barn.sessions.len() < 2 || world.barn.entries.is_empty() {
            world.pass(1);
            sessions::create_as(world, dice, FOUNDER)?;
        }
    }
    Ok(())
}
