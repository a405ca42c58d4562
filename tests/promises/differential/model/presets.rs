//! The limits that a horse starts with: the table of the conventions, copied from the paper.
use stridewright_tests::{Value, json};

/// The rules of a preset, and the height from which each counts.
pub fn of(preset: &str) -> Vec<(Value, Option<i64>)> {
    type Row<'a> = (Option<i64>, [Option<i64>; 5], i64, &'a [(i64, i64)], i64, Option<i64>);
    let row: Row<'_> = match preset {
        "young" => (None, [Some(20), Some(20), Some(40), Some(130), Some(2)], 100, &[(1, 1), (15, 2)], 3, None),
        "competing" => (None, [Some(35), Some(50), Some(110), Some(280), Some(4)], 140, &[(25, 1)], 2, None),
        "lesson_pony" => (Some(2), [None, Some(30), Some(100), Some(340), Some(5)], 80, &[(25, 1)], 1, Some(50)),
        _ => (None, [Some(30), Some(35), Some(70), Some(220), Some(3)], 120, &[(20, 1)], 2, None),
    };
    let (sessions, most, height, clear, competition, from) = row;
    let kinds = [
        "max_efforts_per_session",
        "max_efforts_per_day",
        "max_efforts_per_7_days",
        "max_efforts_per_28_days",
        "max_jumping_days_per_7_days",
    ];
    let mut rules = Vec::new();
    rules.extend(sessions.map(|value| (json!({"kind": "max_sessions_per_day", "value": value}), None)));
    for (kind, value) in kinds.iter().zip(most) {
        // the limit of a session counts at every height
        let from = from.filter(|_| *kind != "max_efforts_per_session");
        rules.extend(value.map(|value| (json!({"kind": kind, "value": value}), from)));
    }
    rules.push((json!({"kind": "max_height_cm", "value": height}), None));
    for (efforts, days) in clear {
        rules.push((json!({"kind": "clear_days_after_efforts", "min_efforts": efforts, "clear_days": days}), from));
    }
    rules.push((json!({"kind": "clear_days_after_competition", "clear_days": competition}), from));
    let ramp = json!({"kind": "return_ramp", "after_gap_days": 28, "ramp_days": 14, "max_per_session": 10,
        "max_per_7_days": 20});
    rules.push((ramp, from));
    rules
}
