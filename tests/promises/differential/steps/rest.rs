//! What a horse may be asked to jump, and what it has jumped.
use super::Done;
use super::pairs::under;
use crate::differential::dice::Dice;
use crate::differential::model::diary::{Candidate, Numbered, Reason};
use crate::differential::model::policy::Act;
use crate::differential::model::sessions::{Entry, Session};
use crate::differential::should::Should;
use crate::differential::world::World;
use jiff::ToSpan;
use jiff::civil::Date;
use stridewright_core::rest::Code;
use stridewright_tests::{Answer, Value, json};

pub fn efforts(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse, today) = (world.who(dice), world.a_horse(dice), world.barn.today());
    let (access, _) = under(world, who, &horse, "Workload", Act::Read);
    let at = format!("horses/{horse}/efforts");
    if dice.once_in(3) {
        let facts = world.barn.efforts(&horse, today - 27.days(), today);
        return world.read(who, access, &at, facts).map(drop);
    }
    let (from, to) = (today - dice.number(-8, 12).days(), today + dice.number(-6, 8).days());
    let at = format!("{at}?from={from}&to={to}");
    if from > to {
        let should = access.refusal().unwrap_or_else(|| Should::query_at_odds("?from"));
        return world.ask(who, &world.get(&at), &should).map(drop);
    }
    let facts = world.barn.efforts(&horse, from, to);
    world.read(who, access, &at, facts).map(drop)
}

/// Against so many efforts, a height that is not stated aside.
fn against(diary: &Numbered, candidate: &Candidate) -> Vec<Reason> {
    let mut reasons = diary.reasons(candidate);
    reasons.retain(|reason| candidate.height.is_some() || reason.code != Code::HeightUnknown);
    reasons
}

/// Whether the first day that is said is one without a reason, and days before it are not.
fn is_first(diary: &Numbered, candidate: &Candidate, start: Date, said: &Value) -> Done {
    let on = |days: i64| Candidate { day: start + days.days(), ..candidate.clone() };
    let without =
        |candidate: &Candidate| diary.reasons(candidate).iter().all(|reason| reason.code == Code::HeightUnknown);
    // a day that suits the jumps may not suit the poles
    let free = |days: i64| {
        let poles = Candidate { efforts: 0, height: None, ..on(days) };
        without(&Candidate { poles: 0, ..on(days) }) && (candidate.poles == 0 || without(&poles))
    };
    let days = said.as_str().map(|day| i64::from((day.parse::<Date>().unwrap() - start).get_days()));
    let before: Vec<i64> = match days {
        Some(days) if !free(days) => return Err(format!("{said} is not allowed by the model: {candidate:?}")),
        Some(days) => [0, days / 2, days - 1].into_iter().filter(|n| (0..days).contains(n)).collect(),
        None => vec![0, 5, 90, 399],
    };
    match before.into_iter().find(|days| free(*days)) {
        Some(days) => {
            Err(format!("{} days after {start} it is allowed by the model, before {said}: {candidate:?}", days))
        }
        None => Ok(()),
    }
}

/// The first allowed day of a refusal, which is for who was refused.
pub fn first_allowed(world: &World<'_>, answer: &Answer, session: &Session, entry: &Entry) -> Done {
    let by_rest = answer.reasons().iter().any(|code| code.starts_with("max_") || code == "stand_down");
    let Some(horse) = entry.horse.as_ref().filter(|_| by_rest) else { return Ok(()) };
    // what another day does not cure
    let lasting = [
        "no_place",
        "no_adult",
        "not_paired",
        "above_pair_height",
        "above_level",
        "arena_closed",
        "height_unknown",
        "trainer_confirms",
    ];
    if answer.reasons().iter().any(|code| lasting.contains(&code.as_str())) {
        let said = &answer["first_allowed_date"];
        return if said.is_null() { Ok(()) } else { Err(format!("{said}, although something lasts")) };
    }
    let candidate = world.barn.candidate(session, entry);
    is_first(&world.barn.diary(horse), &candidate, candidate.day, &answer["first_allowed_date"])
}

pub fn rest(world: &mut World<'_>, dice: &mut Dice) -> Done {
    let (who, horse, today) = (world.who(dice), world.a_horse(dice), world.barn.today());
    let (access, eyes) = under(world, who, &horse, "Rest", Act::Read);
    let rider = world.a_person(dice, "rider");
    let mut candidate = Candidate {
        day: today,
        efforts: dice.one(&[1, 1, 6, 12, 30]),
        height: dice.pick(&[None, None, Some(60), Some(110)]).flatten(),
        competition: dice.once_in(5),
        rider: Some(rider).filter(|_| dice.once_in(3)),
        ..Candidate::default()
    };
    let mut query = format!("?efforts={}", candidate.efforts);
    candidate.height.iter().for_each(|height| query.push_str(&format!("&height_cm={height}")));
    candidate.rider.iter().for_each(|rider| query.push_str(&format!("&rider_id={rider}")));
    if candidate.competition {
        candidate.show = Some("Autumn show".to_owned());
        query.push_str("&competition=true&show_id=Autumn%20show");
    }
    let at = format!("horses/{horse}/rest{query}");
    let rows = eyes.may("Limit", Act::Read, &eyes.to_horse(&horse)).refusal().is_none();
    let known = candidate.rider.as_ref().is_none_or(|rider| {
        let paired = world.barn.pairings.iter().any(|p| !p.ended && p.horse == horse && p.rider == *rider);
        let of_barn = eyes.trainer && world.barn.person(rider).is_some();
        of_barn || (!eyes.trainer && (eyes.is_own(rider) || (rows && paired)))
    });
    if !known {
        let should = access.refusal().unwrap_or_else(|| Should::query_at_odds("?rider_id"));
        return world.ask(who, &world.get(&at), &should).map(drop);
    }
    if access.refusal().is_some() {
        return world.read(who, access, &at, Value::Null).map(drop);
    }
    let diary = world.barn.diary(&horse);
    let reasons = against(&diary, &candidate);
    let codes: Vec<Value> = reasons.iter().map(|r| json!({"code": r.code.as_str()})).collect();
    let binding = reasons.iter().any(|r| r.binding);
    let asked = json!({"efforts": candidate.efforts, "allowed_today": reasons.is_empty(), "reasons_today": codes,
        "overridable_today": !reasons.is_empty() && !binding});
    let violations: Vec<Value> =
        diary.violated(today).iter().map(|r| json!({"code": r.code.as_str(), "day": r.day.to_string()})).collect();
    let complete = world.barn.completeness(&horse, today - 27.days(), today);
    let facts = json!({"today": today.to_string(), "asked": asked, "violations": violations, "completeness": complete});
    let Some(answer) = world.read(who, access, &at, facts)? else { return Ok(()) };
    let told = |e: String| format!("{at}: {e}");
    is_first(&diary, &candidate, today, &answer["asked"]["earliest_day"]).map_err(told)?;
    let ahead = dice.below(14);
    ceiling(&diary, today, ahead, &answer["next_14_days"][ahead]).map_err(told)
}

/// At most so many, and not one more.
fn ceiling(diary: &Numbered, today: Date, ahead: usize, said: &Value) -> Done {
    let day = today + i64::try_from(ahead).unwrap().days();
    let free = |efforts: i64| against(diary, &Candidate { day, efforts, ..Candidate::default() }).is_empty();
    let fits = match said["at_most"].as_i64() {
        Some(0) => !free(1),
        Some(most) => free(most) && !free(most + 1),
        None => free(500),
    };
    if fits { Ok(()) } else { Err(format!("{said} is not what the model says of {day}")) }
}
