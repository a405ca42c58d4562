//! The cases of `workload_*.json`.
use crate::Outcome as Verdict;
use crate::close::difference;
use serde_json::{Map, Value, json};
use std::collections::BTreeMap;
use stridewright_core::calendar::{Day, Zone};
use stridewright_core::rest::{Book, Candidate, Limit, StandDown};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{
    Attempt, Outcome, Planned, Session, Status, completeness, daily_efforts, efforts, efforts_by_day, load, monotony,
    window_sum,
};

pub fn run(kind: &str, case: &Value) -> Verdict {
    let answer: fn(&Value) -> Option<Value> = match kind {
        "rest" | "candidate_competition" | "stand_down_scope" | "rider_stand_down" | "return_ramp" => rest,
        "left_in_session" => left_in_session,
        "flags_window" => flags_window,
        "completeness" => complete,
        "overridable" => |i| Some(decision(&book(i)?, i)?.into()),
        "load_series" => |i| Some(json!({"daily_efforts": daily_efforts(&sessions(i)?, &zone(i)?, day(&i["today"])?)})),
        "local_day" => {
            |i| Some(json!({"local_day": from::<stridewright_core::calendar::Instant>(&i["at_utc"])?.day(&zone(i)?)}))
        }
        "day_length" => |i| Some(json!({"seconds": day(&i["date"])?.seconds(&zone(i)?)})),
        "load_info" => |i| serde_json::to_value(load(&from::<Vec<u32>>(&i["daily_efforts"])?)).ok(),
        "monotony" => |i| {
            // the only deviation there is a figure of
            assert_eq!(i["sd"], "sample (n-1)");
            serde_json::to_value(monotony(&from::<Vec<u32>>(&i["daily_load"])?)).ok()
        },
        "effort_count" => |i| {
            let rides = i["rides"].as_array()?;
            let outcomes: Option<Vec<Outcome>> =
                rides.iter().flat_map(|r| r.as_array().unwrap()).map(outcome).collect();
            Some(json!({"efforts": efforts(outcomes?)}))
        },
        _ => return Verdict::UnknownKind,
    };
    let mut got = answer(&case["inputs"]).unwrap_or_else(|| json!({"error": true}));
    let expected = &case["expected"];
    // asked of ramps only
    if expected.get("return_days").is_none()
        && let Some(fields) = got.as_object_mut()
    {
        fields.remove("return_days");
    }
    match difference(expected, &got, case["tolerance"].as_f64().unwrap_or(0.0), false, "") {
        None => Verdict::Agrees,
        Some(how) => Verdict::Differs(how),
    }
}

fn from<T: serde::de::DeserializeOwned>(value: &Value) -> Option<T> {
    serde_json::from_value(value.clone()).ok()
}

fn day(value: &Value) -> Option<Day> {
    from(value)
}

fn zone(inputs: &Value) -> Option<Zone> {
    Zone::new(inputs["barn_timezone"].as_str()?).ok()
}

fn height(value: &Value) -> Option<Option<Centimetres>> {
    from(value)
}

fn number(value: &Value) -> Option<u32> {
    if value.is_null() { Some(0) } else { from(value) }
}

fn yes(value: &Value) -> bool {
    value.as_bool().unwrap_or(false)
}

fn text(value: &Value) -> Option<String> {
    value.as_str().map(str::to_owned)
}

fn outcome(word: &Value) -> Option<Outcome> {
    if word == "refused" || word == "refusal" { Some(Outcome::Refusal) } else { from(word) }
}

fn sessions(inputs: &Value) -> Option<Vec<Session<String>>> {
    inputs["sessions"].as_array()?.iter().map(session).collect()
}

fn session(s: &Value) -> Option<Session<String>> {
    let attempts = s["attempts"].as_array()?.iter().map(|a| {
        Some(Attempt {
            at: from(&a["at_utc"])?,
            efforts: number(&a["efforts"])?,
            height: height(&a["height_cm"])?,
            pole_passes: number(&a["pole_passes"])?,
            superseded: yes(&a["superseded"]),
        })
    });
    Some(Session {
        id: text(&s["id"])?,
        status: from::<Status>(&s["status"])?,
        planned: match s.get("planned_date").filter(|d| !d.is_null()) {
            Some(date) => Planned::On(day(date)?),
            None => Planned::At(from(&s["planned_start_utc"])?),
        },
        planned_efforts: number(&s["planned_efforts"])?,
        planned_height: height(&s["planned_height_cm"])?,
        planned_pole_passes: number(&s["planned_pole_passes"])?,
        competition: yes(&s["competition"]),
        show_id: text(&s["show_id"]),
        rider_id: text(&s["rider_id"]),
        outing: yes(&s["outing"]),
        attempts: attempts.collect::<Option<_>>()?,
    })
}

fn book_as_of(inputs: &Value, today: Day) -> Option<Book<String>> {
    let limits = from(&inputs["limits"])?;
    book_under(inputs, limits, today)
}

fn book_under(inputs: &Value, limits: Vec<Limit<String>>, today: Day) -> Option<Book<String>> {
    let stand_downs: Vec<StandDown<String>> = from(&inputs["stand_downs"])?;
    if limits.iter().any(|l| l.check().is_err()) {
        return None;
    }
    Some(Book::new(&sessions(inputs)?, limits, stand_downs, &zone(inputs)?, today))
}

fn book(inputs: &Value) -> Option<Book<String>> {
    book_as_of(inputs, day(&inputs["today"])?)
}

fn candidate(c: &Value, date: &str) -> Option<Candidate<String>> {
    Some(Candidate {
        day: day(&c[date])?,
        efforts: number(&c["efforts"])?,
        height: height(&c["height_cm"])?,
        competition: yes(&c["competition"]),
        show_id: text(&c["show_id"]),
        rider_id: text(&c["rider_id"]),
        pole_passes: number(&c["pole_passes"])?,
        outing: yes(&c["outing"]),
    })
}

fn decision(book: &Book<String>, inputs: &Value) -> Option<Map<String, Value>> {
    let decision = book.decision(&candidate(&inputs["candidate"], "date")?);
    let answer = json!({
        "candidate_reasons": decision.reasons,
        "candidate_allowed": decision.allowed,
        "candidate_overridable": decision.overridable,
    });
    answer.as_object().cloned()
}

fn rest(inputs: &Value) -> Option<Value> {
    let (book, zone, today) = (book(inputs)?, zone(inputs)?, day(&inputs["today"])?);
    let days = efforts_by_day(&sessions(inputs)?, &zone);
    let (week, month) = (window_sum(&days, today, 7), window_sum(&days, today, 28));
    let by_day: BTreeMap<String, u32> = days.iter().map(|(day, efforts)| (day.to_string(), efforts.total())).collect();
    let query = candidate(&inputs["earliest_query"], "from_date")?;
    let horizon = from(&inputs["earliest_query"]["horizon_days"])?;
    let ceilings: Vec<_> = book.next_14_days().into_iter().map(|c| c.at_most).collect();
    // the field tells the returns of the whole log, whatever height a row looks from
    let rows = from::<Vec<Limit<String>>>(&inputs["limits"])?.into_iter();
    let blind = rows.map(|row| Limit { from_height: None, ..row }).collect();
    let returns: BTreeMap<_, _> = book_under(inputs, blind, today)?.return_days().into_iter().collect();
    let strictest: BTreeMap<&str, u32> = book.strictest(today).into_iter().map(|(c, v)| (c.as_str(), v)).collect();
    let mut answer = decision(&book, inputs)?;
    answer.extend(
        json!({
            "efforts_by_local_day": by_day,
            "sum_7_days_today": week.total(),
            "sum_28_days_today": month.total(),
            "logged_7_days_today": week.logged,
            "logged_28_days_today": month.logged,
            "effective_limits_today": strictest,
            "existing_violations": book.existing_violations(None),
            "remaining_efforts_14_days": ceilings,
            "earliest_date": book.earliest(&query, horizon),
            "remaining_for_candidate": book.remaining(&candidate(&inputs["candidate"], "date")?).at_most,
            "return_days": returns,
        })
        .as_object()?
        .clone(),
    );
    Some(answer.into())
}

fn left_in_session(inputs: &Value) -> Option<Value> {
    let date = day(&inputs["date"])?;
    let left = book_as_of(inputs, date)?.left_in_session(&text(&inputs["session_id"])?, date)?;
    serde_json::to_value(left).ok()
}

fn flags_window(inputs: &Value) -> Option<Value> {
    let book = book(inputs)?;
    let flags = book.flagged_once();
    let ids = |flags: Vec<stridewright_core::rest::Flag<String>>| flags.into_iter().map(|f| f.id).collect::<Vec<_>>();
    Some(json!({
        "existing_violations": book.existing_violations(from(&inputs["since"])?),
        "flagged": ids(flags.flagged),
        "warned": ids(flags.warned),
    }))
}

fn complete(inputs: &Value) -> Option<Value> {
    let (from, to, today) = (day(&inputs["from_date"])?, day(&inputs["to_date"])?, day(&inputs["today"])?);
    serde_json::to_value(completeness(&sessions(inputs)?, &zone(inputs)?, from, to, today)).ok()
}
