//! The rides of one entry: goes over poles, then over fences, as the model rides them.
use crate::cast::Mount;
use crate::exercises::{Plan, Stretch, count};
use crate::json::Fields;
use crate::model::{Met, Outcome, room};
use crate::random::Random;
use serde_json::{Value, json};

/// What one entry is to ride.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub struct Goes {
    pub poles: u32,
    pub fences: u32,
    pub efforts: u32,
    pub pole_passes: u32,
    pub height_cm: u16,
}

impl Goes {
    pub const NONE: Self = Self { poles: 0, fences: 0, efforts: 0, pole_passes: 0, height_cm: 0 };

    /// At most so many jumps; a line is ridden over poles first.
    pub fn of(exercise: &Plan, efforts: u32, height_cm: u16) -> Self {
        let each = exercise.efforts();
        let fences = efforts.checked_div(each).unwrap_or(0);
        let lines = count(exercise.lines.iter().filter(|line| line.schooled()).count());
        let poles = match (exercise.poles_only(), fences, lines) {
            (true, ..) => 8,
            (false, 0, _) => 6,
            (false, _, 0) => 0,
            (false, _, 1) => 4,
            (false, ..) => 2,
        };
        let pole_passes = poles * count(exercise.fences.len());
        Self { poles, fences, efforts: fences * each, pole_passes, height_cm }
    }
}

/// The rides of an entry for a batch; with `forgets` the last two goes were not written down.
pub fn rides(
    random: &mut Random,
    entry: &str,
    mount: &Mount,
    exercise: &Plan,
    goes: Goes,
    day: i32,
    forgets: bool,
) -> Vec<Value> {
    let all = goes.poles + goes.fences;
    let written = if forgets {
        all.saturating_sub(2)
    } else {
        // now and then a helper misses a go
        all - u32::from(goes.fences > 1 && random.chance(0.03))
    };
    // the second fence is rolled in or out between riders
    let rolled_m = random.choose(&[-0.6, -0.3, 0.0, 0.0, 0.3, 0.6], 0.0);
    let today = Today { mount, exercise, goes, day, rolled_m };
    let mut list = Vec::new();
    for n in 0..written {
        let poles = n < goes.poles;
        let nth = if poles { n } else { n - goes.poles };
        let mut ride = today.go(random, poles, nth);
        ride.set("entry_id", json!(entry));
        list.push(ride);
    }
    list
}

/// One entry on its day.
struct Today<'a> {
    mount: &'a Mount,
    exercise: &'a Plan,
    goes: Goes,
    day: i32,
    rolled_m: f64,
}

impl Today<'_> {
    /// One go: every line in order; a stop ends it.
    fn go(&self, random: &mut Random, poles: bool, nth: u32) -> Value {
        let (mount, exercise, goes) = (self.mount, self.exercise, self.goes);
        let height = if poles { 0 } else { goes.height_cm };
        let (mut attempts, mut stop, mut rails) = (Vec::new(), None, Vec::new());
        for line in exercise.lines.iter().filter(|line| line.schooled()) {
            let rolled = if line.kind == "straight" { self.rolled_m } else { 0.0 };
            let room = room(line.distance_m + rolled, height, mount.profile, mount.stride_m);
            let met = Met { form: mount.form, room, weeks_ago: f64::from(-self.day) / 7.0, poles };
            let asked = met.ask(nth, random);
            let outcome = met.ride(asked, random);
            let mut attempt = attempt(line, asked, outcome, height, poles);
            if rolled.abs() > 0.0 {
                attempt.set("distance_m", json!(((line.distance_m + rolled) * 100.0).round() / 100.0));
            }
            attempts.push(attempt);
            match outcome.fault {
                Some("rail") => rails.push(line.to),
                Some(fault @ ("refusal" | "run_out")) => {
                    stop = Some((line.to, fault));
                    break;
                }
                _ => {}
            }
        }
        let fences = passed(exercise, poles, stop, &rails);
        let mut ride = json!({"fences": fences, "attempts": attempts});
        if !poles && !exercise.poles_only() {
            ride.set("height_cm", json!(goes.height_cm));
        }
        ride
    }
}

/// Every fence in the order ridden, up to the one where it stopped.
fn passed(exercise: &Plan, poles: bool, stop: Option<(&str, &str)>, rails: &[&str]) -> Vec<Value> {
    let mut fences = Vec::new();
    for (label, kind, _) in exercise.fences {
        let stopped = stop.filter(|(at, _)| at == label);
        let outcome = stopped.map_or(if rails.contains(label) { "rail" } else { "jumped" }, |(_, fault)| fault);
        let ground = poles || *kind == "ground_pole";
        fences.push(json!({"fence": label, "outcome": outcome, "ground_pole": ground}));
        if stopped.is_some() {
            break;
        }
    }
    fences
}

fn attempt(line: &Stretch, asked: u8, outcome: Outcome, height: u16, poles: bool) -> Value {
    let mut attempt = json!({"line": line.name(), "asked": asked, "first_height_cm": height,
        "second_height_cm": height, "poles": poles, "approach": outcome.approach});
    let said = [
        ("ridden", outcome.ridden.map(Value::from)),
        ("fault", outcome.fault.map(Value::from)),
        ("lost_first", outcome.lost_first.map(Value::from)),
    ];
    for (name, value) in said {
        if let Some(value) = value {
            attempt.set(name, value);
        }
    }
    attempt
}
