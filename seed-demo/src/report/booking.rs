//! Bookings: accepted, refused, asked for and decided.
use super::schedule::show;
use super::text::{cautions, day, heading, items, reasons, said, text, wrapped};
use crate::barn::Barn;
use crate::cast::{FOUNDER, IMPROVING, SECOND_TRAINER, YOUNG};
use crate::client::Failure;
use crate::events::{Wish, ask, next};
use crate::exercises::{POLES, TWO};
use crate::json::Fields;
use crate::places::INDOOR;
use jiff::ToSpan;
use jiff::civil::{Date, Weekday, time};
use serde_json::{Value, json};

/// The first day on which a horse may take so many jumps, as the service answers it.
fn earliest(barn: &Barn, horse: &str, efforts: u32, height_cm: u32) -> Result<(Date, Value), Failure> {
    let path = barn.horse(horse, &format!("rest?efforts={efforts}&height_cm={height_cm}"))?;
    let rest = barn.trainer.get(&path)?;
    let day = rest.of("asked").of("earliest_day").as_str().and_then(|d| d.parse().ok());
    // whoever asks today may find the evening taken
    Ok((day.unwrap_or(barn.day(1)).max(barn.day(1)), rest))
}

fn session(barn: &Barn, title: &str, date: Date, hour: i8, entry: &Value) -> Result<Value, Failure> {
    Ok(json!({"kind": "jumping", "title": title, "arena_id": barn.id(INDOOR)?, "trainer_id": barn.id(FOUNDER)?,
        "exercise_id": barn.id(TWO)?, "starts_at": barn.moment(date, time(hour, 0, 0, 0))?,
        "ends_at": barn.moment(date, time(hour, 45, 0, 0))?, "entries": [entry]}))
}

pub fn accepted(barn: &Barn) -> Result<(), Failure> {
    heading(
        "2. A booking, accepted",
        "Arena, trainer, horse and rider are free at once, and the horse is rested enough, before and after what is \
         booked already.",
    );
    let (date, _) = earliest(barn, "Damson", 10, 65)?;
    // Saturday has the lesson
    let date = if date.weekday() == Weekday::Saturday { date.saturating_add(1.day()) } else { date };
    let entry = json!({"horse_id": barn.id("Damson")?, "rider_id": barn.id("Rowan Thistlewick")?,
        "planned_efforts": 10, "planned_height_cm": 65, "planned_pole_passes": 8,
        "asks": [{"line": "1-2", "asked": 5}]});
    let body = session(barn, "An extra line for Damson", date, 13, &entry)?;
    let made = barn.trainer.post(&barn.at("sessions"), &body)?.json;
    println!("{FOUNDER} books, and it stands at once:");
    println!("  {}", said(date));
    show(barn, &made);
    cautions(made.of("cautions"));
    Ok(())
}

pub fn refused(barn: &Barn) -> Result<(), Failure> {
    heading(
        "3. A booking, refused",
        "Every reason at once, in words, with whose limit it is; and the first day on which the same would be allowed, \
         with all that is booked.",
    );
    // beside a jumping day of hers
    let beside = next(barn, Weekday::Thursday, 1) + 1;
    let date = barn.day(beside);
    let entry = json!({"horse_id": barn.id(YOUNG)?, "rider_id": barn.id("Felix Umberlow")?,
        "planned_efforts": 14, "planned_height_cm": 65});
    let body = session(barn, "One more for Juniper", date, 13, &entry)?;
    println!("{FOUNDER} asks for {YOUNG} / Felix Umberlow, 14 jumps at 65 cm on {}:", said(date));
    match barn.trainer.offer(&barn.at("sessions"), &body)? {
        Ok(_) => Err(Failure::Plain("a booking that breaks limits was accepted".to_owned())),
        Err(problem) => {
            reasons(problem.of("reasons"));
            println!("  First allowed: {}.", day(problem.of("first_allowed_date")));
            Ok(())
        }
    }
}

pub fn requests(barn: &Barn) -> Result<(), Failure> {
    heading(
        "4. Two requests, decided",
        "Riders ask, the guardian for a child; the trainer confirms where every rule is green, or declines and says why.",
    );
    let (date, _) = earliest(barn, IMPROVING, 8, 70)?;
    let oskar = Wish {
        by: "Oskar Pellow",
        rider: "Oskar Pellow",
        horse: IMPROVING,
        title: "Once more over the 69 ft",
        arena: INDOOR,
        trainer: FOUNDER,
        exercise: TWO,
        day: days(barn, date),
        hour: 11,
        efforts: 8,
        height_cm: 70,
    };
    let pip = Wish {
        by: "Alda Sorrelby",
        rider: "Pip Sorrelby",
        horse: "Button Moss",
        title: "Poles after school",
        trainer: SECOND_TRAINER,
        exercise: POLES,
        day: next(barn, Weekday::Thursday, 2),
        hour: 15,
        efforts: 0,
        height_cm: 0,
        ..oskar
    };
    decide(barn, &oskar, &json!({"status": "booked"}))?;
    let why = "The hall is being harrowed that afternoon; Pip and Button ride in Saturday's lesson.";
    decide(barn, &pip, &json!({"status": "declined", "reason": why}))?;
    let waiting =
        barn.trainer.all(&barn.at(&format!("sessions?from={}", barn.moment(barn.today, time(0, 0, 0, 0))?)))?;
    let waiting: Vec<&Value> = waiting.iter().filter(|s| s.of("status") == "requested").collect();
    println!("Still waiting for a trainer:");
    for session in waiting {
        println!("  {}", barn.local(session.of("starts_at")).map(|at| said(at.date())).unwrap_or_default());
        show(barn, session);
    }
    Ok(())
}

fn days(barn: &Barn, date: Date) -> i32 {
    (0..400).find(|n| barn.day(*n) == date).unwrap_or(1)
}

fn decide(barn: &Barn, wish: &Wish<'_>, decision: &Value) -> Result<(), Failure> {
    let asked = ask(barn, wish)?;
    let plan = if wish.efforts > 0 {
        format!("{} jumps at {} cm", wish.efforts, wish.height_cm)
    } else {
        "poles only".to_owned()
    };
    let by = if wish.by == wish.rider { String::new() } else { format!(" (for {})", wish.rider) };
    let words =
        format!("{}{by} asks: {}, {plan}, {} at {}:00.", wish.by, wish.horse, said(barn.day(wish.day)), wish.hour);
    wrapped("", &words);
    for entry in items(asked.of("entries")) {
        let path = format!("sessions/{}/entries/{}", text(asked.of("id")), text(entry.of("id")));
        let etag = format!("\"v{}\"", entry.of("version"));
        let decided = barn.trainer.patch(&barn.at(&path), &etag, decision)?.json;
        match decided.of("reason").as_str() {
            Some(reason) => wrapped("  ", &format!("{FOUNDER}: {}. \"{reason}\"", text(decided.of("status")))),
            None => wrapped("  ", &format!("{FOUNDER}: {}.", text(decided.of("status")))),
        }
    }
    Ok(())
}
