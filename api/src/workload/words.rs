//! Limits, stand-downs and reasons in the trade's words.
use stridewright_core::rest::{Code, Limit, Other, Reason, Rule, Scope, StandDown};
use uuid::Uuid;

/// A limit in words: "at most 35 jumps a day", "one clear day after a day of 20 or more jumps".
pub fn limit(limit: &Limit<Uuid>) -> String {
    let most = |n: u32| if n == 1 { "at most 1 jump".to_owned() } else { format!("at most {n} jumps") };
    let clear = |n: u32| many(n, "clear day", "clear days");
    let rule = match limit.rule {
        Rule::MaxEffortsPerSession { value } => format!("{} a session", most(value)),
        Rule::MaxSessionsPerDay { value } => format!("ridden at most {value} times a day"),
        Rule::MaxEffortsPerDay { value } => format!("{} a day", most(value)),
        Rule::MaxEffortsPer7Days { value } => format!("{} in 7 days", most(value)),
        Rule::MaxEffortsPer28Days { value } => format!("{} in 28 days", most(value)),
        Rule::MaxJumpingDaysPer7Days { value } => {
            format!("at most {} in 7", many(value, "jumping day", "jumping days"))
        }
        Rule::MaxHeightCm { value } => format!("at most {} cm", value.get()),
        Rule::ClearDaysAfterEfforts { min_efforts, clear_days } if min_efforts.get() == 1 => {
            format!("{} after any day with a jump", clear(clear_days))
        }
        Rule::ClearDaysAfterEfforts { min_efforts, clear_days } => {
            format!("{} after a day of {min_efforts} or more jumps", clear(clear_days))
        }
        Rule::ClearDaysAfterCompetition { clear_days } => format!("{} after a day of competition", clear(clear_days)),
        Rule::ReturnRamp { after_gap_days, ramp_days, max_per_session, max_per_7_days } => format!(
            "after more than {after_gap_days} days without jumping, or a long stand-down, an easy start of \
             {ramp_days} days: {} a session and {max_per_7_days} in 7 days",
            most(max_per_session)
        ),
    };
    match limit.from_height {
        Some(height) => format!("{rule}, counting from {} cm on", height.get()),
        None => rule,
    }
}

/// "stood down from jumping until 2026-06-22".
pub fn stand_down(down: &StandDown<Uuid>) -> String {
    let from_what = match down.scope {
        Scope::Jumping => "jumping",
        Scope::JumpingAndPoles => "jumping and poles",
        Scope::Riding => "riding",
    };
    let until = match (down.free_from(), down.free_from_date) {
        (Some(free), _) => format!("until {free}"),
        (None, Some(free)) => format!("until a clearance is recorded, and not before {free}"),
        (None, None) if down.needs_clearance() => "until a clearance is recorded".to_owned(),
        (None, None) => format!("since {}, with no end given", down.from_date),
    };
    format!("stood down from {from_what} {until}")
}

fn many(n: u32, one: &str, more: &str) -> String {
    match n {
        0 => format!("no {more}"),
        1 => format!("one {one}"),
        n => format!("{n} {more}"),
    }
}

fn jumps(n: u32) -> String {
    if n == 1 { "1 jump".to_owned() } else { format!("{n} jumps") }
}

/// One plain sentence for one broken limit.
pub fn reason(broken: &Reason<Uuid>, rule: Option<&Rule>) -> String {
    let (day, limit, figure) = (broken.day, broken.limit, broken.figure.unwrap_or(0));
    let trigger = match &broken.other {
        Some(Other::Day(day)) => format!(" ({day})"),
        Some(Other::Session(_)) | None => String::new(),
    };
    let rest = |after: &str| {
        let (asked, had) = (many(limit, "clear day", "clear days"), many(figure, "clear day", "clear days"));
        format!("{asked} after {after}{trigger}; {had} before {day}")
    };
    match broken.code {
        Code::MaxEffortsPerSession => format!("{} in one session on {day}; at most {limit} a session", jumps(figure)),
        Code::MaxSessionsPerDay => format!("ridden {figure} times on {day}; at most {limit} a day"),
        Code::MaxEffortsPerDay => format!("{} on {day}; at most {limit} a day", jumps(figure)),
        Code::MaxEffortsPer7Days => format!("{} in the 7 days to {day}; at most {limit}", jumps(figure)),
        Code::MaxEffortsPer28Days => format!("{} in the 28 days to {day}; at most {limit}", jumps(figure)),
        Code::MaxJumpingDaysPer7Days => {
            format!("{} in the 7 days to {day}; at most {limit}", many(figure, "jumping day", "jumping days"))
        }
        Code::MaxHeightCm => format!("{figure} cm on {day}; at most {limit} cm"),
        Code::HeightUnknown => match rule {
            Some(Rule::MaxHeightCm { .. }) => format!("no height is stated for {day}; at most {limit} cm"),
            _ => format!("no height is stated for {day}; from {limit} cm on every jump counts"),
        },
        Code::ClearDaysAfterEfforts => match rule {
            Some(Rule::ClearDaysAfterEfforts { min_efforts, .. }) => {
                rest(&format!("a day of {min_efforts} or more jumps"))
            }
            _ => rest("a day of many jumps"),
        },
        Code::ClearDaysAfterCompetition => rest("a day of competition"),
        Code::ReturnRampSession => {
            format!("{} in one session on {day}, in the easy start after a break; at most {limit}", jumps(figure))
        }
        Code::ReturnRamp7Days => {
            format!("{} in the 7 days to {day}, in the easy start after a break; at most {limit}", jumps(figure))
        }
        Code::StandDown => format!("stood down on {day}"),
    }
}
