//! What does not come round every week: a show, the farrier, the vet, requests that wait.
use crate::barn::Barn;
use crate::cast::{FOUNDER, IMPROVING, SECOND_TRAINER, SHOWING, STOOD_DOWN};
use crate::client::Failure;
use crate::exercises::{POLES, TWO};
use crate::json::Fields;
use crate::places::{INDOOR, OUTDOOR};
use jiff::civil::{Weekday, time};
use serde_json::{Value, json};

pub const SHOW: &str = "Two days at the Cobble Ring";

/// The first day of that weekday, from so many days from today on.
pub fn next(barn: &Barn, weekday: Weekday, from: i32) -> i32 {
    (from..from + 7).find(|day| barn.day(*day).weekday() == weekday).unwrap_or(from)
}

/// A show of two days, three weeks ago, with its warm-ups.
pub fn show(barn: &Barn) -> Result<String, Failure> {
    let saturday = next(barn, Weekday::Saturday, -24);
    for day in [saturday, saturday + 1] {
        for (kind, efforts, height) in [("warm_up", 8, 100), ("competition_round", 11, 110)] {
            let body = json!({"kind": kind, "show_id": SHOW, "rider_id": barn.id("Nadia Corriedale")?,
                "on_date": barn.day(day).to_string(), "done": {"efforts": efforts, "height_cm": height}});
            barn.trainer.post(&barn.horse(SHOWING, "outings")?, &body)?;
        }
    }
    Ok(format!("a show of two days for {SHOWING}"))
}

/// The farrier's morning.
pub fn farrier(barn: &Barn) -> Result<String, Failure> {
    let day = barn.day(next(barn, Weekday::Wednesday, 1));
    let horses = [SHOWING, "Damson", "Tansy"];
    let entries: Result<Vec<Value>, Failure> = horses.iter().map(|h| Ok(json!({"horse_id": barn.id(h)?}))).collect();
    let body = json!({"kind": "appointment", "title": "Farrier", "starts_at": barn.moment(day, time(9, 0, 0, 0))?,
        "ends_at": barn.moment(day, time(10, 30, 0, 0))?, "entries": entries?});
    barn.trainer.post(&barn.at("sessions"), &body)?;
    Ok(format!("the farrier for {} horses", horses.len()))
}

/// The vet's word on one horse, recorded by the trainer; what is booked ahead gives way.
pub fn vet(barn: &Barn) -> Result<String, Failure> {
    let body = json!({"source": "vet", "scope": "jumping", "from_date": barn.day(-5).to_string(),
        "free_from_date": barn.day(9).to_string(), "reason": "Warm near fore; walk and trot only, then he is seen again."});
    barn.trainer.post(&barn.horse(STOOD_DOWN, "stand-downs")?, &body)?;
    Ok(format!("{STOOD_DOWN} stood down by the vet"))
}

/// A session as a rider asks for it.
pub struct Wish<'a> {
    pub by: &'a str,
    pub rider: &'a str,
    pub horse: &'a str,
    pub title: &'a str,
    pub arena: &'a str,
    pub trainer: &'a str,
    pub exercise: &'a str,
    pub day: i32,
    pub hour: i8,
    pub efforts: u32,
    pub height_cm: u16,
}

/// Asks, as the rider or the guardian; answers the session.
pub fn ask(barn: &Barn, wish: &Wish<'_>) -> Result<Value, Failure> {
    let date = barn.day(wish.day);
    let mut entry = json!({"horse_id": barn.id(wish.horse)?, "rider_id": barn.id(wish.rider)?,
        "planned_efforts": wish.efforts});
    if wish.efforts > 0 {
        entry.set("planned_height_cm", json!(wish.height_cm));
    }
    let body = json!({"kind": "jumping", "title": wish.title, "arena_id": barn.id(wish.arena)?,
        "trainer_id": barn.id(wish.trainer)?, "exercise_id": barn.id(wish.exercise)?,
        "starts_at": barn.moment(date, time(wish.hour, 0, 0, 0))?,
        "ends_at": barn.moment(date, time(wish.hour, 45, 0, 0))?, "entries": [entry]});
    Ok(barn.client(wish.by)?.post(&barn.at("sessions"), &body)?.json)
}

/// Requests that wait for a trainer.
pub fn requests(barn: &Barn) -> Result<String, Failure> {
    let wishes = [
        Wish {
            by: "Oskar Pellow",
            rider: "Oskar Pellow",
            horse: IMPROVING,
            title: "A quiet half hour",
            arena: INDOOR,
            trainer: FOUNDER,
            exercise: TWO,
            day: next(barn, Weekday::Thursday, 7),
            hour: 12,
            efforts: 8,
            height_cm: 70,
        },
        Wish {
            by: "Alda Sorrelby",
            rider: "Pip Sorrelby",
            horse: "Button Moss",
            title: "Poles with Button",
            arena: OUTDOOR,
            trainer: SECOND_TRAINER,
            exercise: POLES,
            day: next(barn, Weekday::Friday, 3),
            hour: 15,
            efforts: 0,
            height_cm: 0,
        },
    ];
    for wish in &wishes {
        ask(barn, wish)?;
    }
    Ok(format!("{} requests waiting", wishes.len()))
}
