//! Fourteen weeks of sessions before today, ridden, logged and closed, and two weeks ahead.
use crate::barn::Barn;
use crate::cast::{Mount, RETURNING, STEADY, STOOD_DOWN, mount};
use crate::client::Failure;
use crate::exercises::{Plan, count, plan};
use crate::json::Fields;
use crate::model::{Met, WEEKS, room};
use crate::random::Random;
use crate::rides::{Goes, rides};
use crate::timetable::{Slot, WEEK};
use jiff::civil::Weekday;
use serde_json::{Value, json};

/// What was done.
#[derive(Debug, Default)]
pub struct Tally {
    pub sessions: u32,
    pub entries: u32,
    pub lowered: u32,
    pub rides: u32,
    pub answered: u32,
    pub unresolved: u32,
}

/// An entry that was accepted, with what it is to ride.
struct Entered {
    id: String,
    mount: &'static Mount,
    goes: Goes,
}

/// Days from today, the last one excluded.
pub fn fill(barn: &Barn, random: &mut Random, from: i32, to: i32) -> Result<Tally, Failure> {
    let mut tally = Tally::default();
    for day in from..to {
        for slot in WEEK.iter().filter(|slot| slot.weekday == barn.day(day).weekday()) {
            session(barn, random, day, slot, &mut tally)?;
        }
    }
    Ok(tally)
}

fn session(barn: &Barn, random: &mut Random, day: i32, slot: &Slot, tally: &mut Tally) -> Result<(), Failure> {
    let week = usize::try_from(day + 7 * WEEKS).unwrap_or(0) / 7;
    let exercise = slot.exercise(week).and_then(plan);
    let date = barn.day(day);
    let until = slot.at.wrapping_add(jiff::Span::new().minutes(slot.minutes));
    let id = |name: Option<&str>| name.map(|n| barn.id(n)).transpose();
    let body = json!({"kind": slot.kind(), "title": slot.title, "arena_id": barn.id(slot.arena)?,
        "trainer_id": barn.id(slot.trainer)?, "fence_set_id": id(slot.fence_set())?,
        "exercise_id": id(exercise.map(|e| e.name))?, "starts_at": barn.moment(date, slot.at)?,
        "ends_at": barn.moment(date, until)?, "places": slot.places});
    let made = barn.trainer.post(&barn.at("sessions"), &body)?;
    let at = barn.at(&format!("sessions/{}", made.id()));
    tally.sessions += 1;
    let mut entered = Vec::new();
    for (horse, rider) in slot.pairs {
        let Some(mount) = mount(horse).filter(|_| !idle(horse, day)) else { continue };
        entered.extend(enter(barn, &at, day, mount, rider, exercise, tally)?);
    }
    if day >= 0 {
        return Ok(());
    }
    barn.trainer.change(&at, &json!({"status": "open"}))?;
    let mut batch = Vec::new();
    for entry in &entered {
        if let Some(exercise) = exercise {
            let forgets = forgotten(entry.mount, day, slot.weekday);
            batch.extend(rides(random, &entry.id, entry.mount, exercise, entry.goes, day, forgets));
        }
    }
    if !batch.is_empty() {
        tally.rides += count(batch.len());
        barn.trainer.post(&barn.at("rides"), &json!({"rides": batch}))?;
    }
    let closed = barn.trainer.change(&at, &json!({"status": "closed"}))?;
    for entry in closed.json.of("entries").as_array().into_iter().flatten() {
        answer(barn, random, &at, entry, day, slot.weekday, tally)?;
    }
    Ok(())
}

/// A horse on a break, or stood down.
fn idle(horse: &str, day: i32) -> bool {
    (horse == RETURNING && (-46..-7).contains(&day)) || (horse == STOOD_DOWN && (-6..0).contains(&day))
}

/// Whether the last goes of that day were not written down, and nobody has said yet what became of them.
fn forgotten(mount: &Mount, day: i32, weekday: Weekday) -> bool {
    mount.name == STEADY && weekday == Weekday::Friday && day >= -7
}

/// Enters the pair; where the limits refuse, with half the jumps, and then over poles alone.
fn enter(
    barn: &Barn,
    at: &str,
    day: i32,
    mount: &'static Mount,
    rider: &str,
    exercise: Option<&Plan>,
    tally: &mut Tally,
) -> Result<Option<Entered>, Failure> {
    // an easy start after the break
    let easy = mount.name == RETURNING && day >= -7;
    let (most, height) = if easy { (8, 60) } else { (mount.efforts, mount.height_cm) };
    let mut plans: Vec<Goes> = exercise.map_or_else(Vec::new, |e| {
        [most, most / 2, 0].into_iter().map(|efforts| Goes::of(e, efforts, height)).collect()
    });
    plans.dedup();
    if exercise.is_none() {
        plans.push(Goes::NONE);
    }
    for (n, goes) in plans.into_iter().enumerate() {
        let mut body = json!({"horse_id": barn.id(mount.name)?, "rider_id": barn.id(rider)?,
            "planned_efforts": goes.efforts, "planned_pole_passes": goes.pole_passes});
        if goes.efforts > 0 {
            body.set("planned_height_cm", json!(goes.height_cm));
        }
        if let Some(asks) = exercise.map(|e| asks(e, mount, goes)) {
            body.set("asks", asks);
        }
        if let Ok(made) = barn.trainer.offer(&format!("{at}/entries"), &body)? {
            tally.entries += 1;
            tally.lowered += u32::from(n > 0);
            return Ok(Some(Entered { id: made.id(), mount, goes }));
        }
    }
    Ok(None)
}

/// What is asked first on each line: the natural count.
fn asks(exercise: &Plan, mount: &Mount, goes: Goes) -> Value {
    let height = if goes.fences > 0 { goes.height_cm } else { 0 };
    let schooled = exercise.lines.iter().filter(|line| line.schooled());
    schooled
        .map(|line| {
            let room = room(line.distance_m, height, mount.profile, mount.stride_m);
            let met = Met { form: mount.form, room, weeks_ago: 0.0, poles: goes.fences == 0 };
            json!({"line": line.name(), "asked": met.natural()})
        })
        .collect()
}

/// Says what became of planned jumps that were not logged.
fn answer(
    barn: &Barn,
    random: &mut Random,
    at: &str,
    entry: &Value,
    day: i32,
    weekday: Weekday,
    tally: &mut Tally,
) -> Result<(), Failure> {
    if entry.of("status") != "unresolved" {
        return Ok(());
    }
    if mount(barn.name(entry.of("horse_id"))).is_some_and(|mount| forgotten(mount, day, weekday)) {
        tally.unresolved += 1;
        return Ok(());
    }
    let answer = if random.chance(0.2) { "as_planned" } else { "not_jumped" };
    let path = format!("{at}/entries/{}", entry.of("id").as_str().unwrap_or_default());
    let etag = format!("\"v{}\"", entry.of("version"));
    barn.trainer.patch(&path, &etag, &json!({"closing": {"answer": answer}}))?;
    tally.answered += 1;
    Ok(())
}
