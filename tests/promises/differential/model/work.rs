//! A horse's efforts by day, added up one by one.
use super::Barn;
use jiff::civil::Date;
use stridewright_tests::{Value, json};

/// Efforts that count on a day.
struct Counted {
    day: Date,
    efforts: i64,
    height: Option<i64>,
    logged: bool,
    competition: bool,
}

/// Something that is due to be closed.
struct Due {
    day: Date,
    status: &'static str,
}

impl Barn {
    fn work(&self, horse: &str) -> (Vec<Counted>, Vec<Due>) {
        let (mut counted, mut due) = (Vec::new(), Vec::new());
        for entry in self.entries.iter().filter(|e| e.horse.as_deref() == Some(horse)) {
            let session = self.session(&entry.session);
            if session.kind == "appointment" {
                continue;
            }
            let planned = self.day(session.starts);
            for ride in self.rides.iter().filter(|r| r.entry == entry.id && r.standing == "counted") {
                let (day, height) = (self.day_of(ride), ride.height);
                counted.push(Counted { day, efforts: ride.efforts, height, logged: true, competition: false });
            }
            if entry.occupies() {
                let rest = (entry.efforts - self.logged(&entry.id)).max(0);
                let height = entry.height;
                counted.push(Counted { day: planned, efforts: rest, height, logged: false, competition: false });
            }
            due.push(Due { day: planned, status: entry.status });
        }
        for outing in self.outings.iter().filter(|o| o.horse == horse && o.status != "superseded") {
            let day = outing.at.map_or_else(|| outing.on.unwrap(), |at| self.day(at));
            let competition = outing.competition();
            let logged = outing.done.map_or(0, |(efforts, _)| efforts);
            if let Some((efforts, height)) = outing.done {
                counted.push(Counted { day, efforts, height, logged: true, competition });
            }
            if outing.status == "booked" {
                let (efforts, height) = ((outing.planned - logged).max(0), outing.planned_height);
                counted.push(Counted { day, efforts, height, logged: false, competition });
            }
            due.push(Due { day, status: outing.status });
        }
        counted.retain(|c| c.efforts > 0);
        (counted, due)
    }

    /// How complete the log of these days is.
    pub fn completeness(&self, horse: &str, from: Date, to: Date) -> Value {
        let (_, all) = self.work(horse);
        let today = self.today();
        let due = all.iter().filter(|d| from <= d.day && d.day <= to).filter(|d| {
            let counts = ["booked", "open", "unresolved", "closed"].contains(&d.status);
            counts && (d.day < today || (d.day == today && ["closed", "unresolved"].contains(&d.status)))
        });
        let due: Vec<&Due> = due.collect();
        json!({"closed": due.iter().filter(|d| d.status == "closed").count(), "due": due.len()})
    }

    /// The days from the first to the last, and the sums that end on the last.
    pub fn efforts(&self, horse: &str, from: Date, to: Date) -> Value {
        let (counted, _) = self.work(horse);
        let sum = |first: Date, last: Date, logged: bool| -> i64 {
            let within = counted.iter().filter(|c| first <= c.day && c.day <= last && c.logged == logged);
            within.map(|c| c.efforts).sum()
        };
        let mut days = Vec::new();
        let mut day = from;
        while day <= to {
            let on = || counted.iter().filter(|c| c.day == day);
            days.push(json!({"day": day.to_string(), "logged": sum(day, day, true), "planned": sum(day, day, false),
                "highest_cm": on().filter_map(|c| c.height).max(), "competition": on().any(|c| c.competition)}));
            day = day.tomorrow().unwrap();
        }
        let window = |days: i64| {
            let first = to.checked_sub(jiff::Span::new().days(days - 1)).unwrap();
            let logged = sum(first, to, true);
            json!({"logged": logged, "logged_and_planned": logged + sum(first, to, false)})
        };
        json!({"from": from.to_string(), "to": to.to_string(), "today": self.today().to_string(), "days": days,
            "sum_7_days": window(7), "sum_28_days": window(28), "completeness": self.completeness(horse, from, to)})
    }
}
