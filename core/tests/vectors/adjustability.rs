//! The cases of `adjustability_*.json`.
use crate::Outcome;
use crate::close::difference;
use serde_json::{Map, Value, json};
use stridewright_core::adjustability::{
    Attempt, Line, NextAsk, Range, Settings, Trend, fit, next_ask, of_rider, pair, trend, weekly,
};
use stridewright_core::calendar::Day;
use stridewright_core::units::{LogStretch, Metres};

pub fn run(kind: &str, case: &Value, document: &Value) -> Outcome {
    if kind != "adjustability" {
        return Outcome::UnknownKind;
    }
    let tolerance = document["tolerance"].as_f64().unwrap();
    let defaults: Settings = serde_json::from_value(document["defaults"].clone()).unwrap();
    let ours = serde_json::to_value(Settings::default()).unwrap();
    let theirs = serde_json::to_value(defaults).unwrap();
    match difference(&theirs, &ours, 1e-10, true, "/defaults")
        .or_else(|| difference(&case["expect"], &answer(case, document), tolerance, true, ""))
    {
        None => Outcome::Agrees,
        Some(how) => Outcome::Differs(how),
    }
}

/// The fields of `over`, else those of `base`.
fn merged(base: &Value, over: &Value) -> Value {
    let mut fields: Map<String, Value> = base.as_object().unwrap().clone();
    fields.extend(over.as_object().unwrap().clone());
    Value::Object(fields)
}

fn day(number: &Value) -> Day {
    Day::from_number(i32::try_from(number.as_i64().unwrap()).unwrap()).unwrap()
}

fn renamed(mut fields: Value, names: &[(&str, &str)]) -> Value {
    let map = fields.as_object_mut().unwrap();
    for (from, to) in names {
        let value = map.remove(*from).unwrap_or_else(|| panic!("no {from}"));
        map.insert((*to).to_owned(), value);
    }
    fields
}

fn attempt(given: &Value, document: &Value) -> Attempt<String> {
    let mut fields = merged(&document["attempt_defaults"], given);
    fields["day"] = json!(day(&given["day"]));
    let names = [("distance_m", "distance"), ("allowance_m", "allowance"), ("height_m", "height")];
    serde_json::from_value(renamed(fields, &names)).unwrap()
}

fn line(given: &Value, document: &Value) -> Line {
    let fields = merged(&document["line_defaults"], given);
    let names = [("distance_m", "distance"), ("allowance_m", "allowance"), ("height_m", "height")];
    serde_json::from_value(renamed(fields, &names)).unwrap()
}

/// What the program says to a case, in the fields of its expectation.
fn answer(case: &Value, document: &Value) -> Value {
    let settings: Settings = serde_json::from_value(merged(&document["defaults"], &case["options"])).unwrap();
    let stride = Metres::new(case["working_stride_m"].as_f64().unwrap()).unwrap();
    let as_of = day(&case["as_of"]);
    let attempts: Vec<_> = case["attempts"].as_array().unwrap().iter().map(|a| attempt(a, document)).collect();
    let lines: Vec<_> = case["lines"].as_array().unwrap().iter().map(|l| line(l, document)).collect();
    let expect = &case["expect"];

    let range = fit(&attempts, as_of, stride, &settings);
    let asks = lines.iter().map(|line| next(next_ask(line, &range, &attempts, as_of, &settings)));
    let mut got = shown(&range);
    got["n_used"] = json!(range.attempts());
    got["weight_sum"] = json!(range.weight());
    got["logpost"] = json!(range.log_posterior());
    got["next_asks"] = asks.collect();
    if expect.get("trend").is_some() {
        got["trend"] = drift(&trend(&attempts, as_of, stride, &settings));
    }
    if let Some(points) = expect.get("probabilities") {
        got["probabilities"] = points.as_array().unwrap().iter().map(|point| chances(&range, &point["x"])).collect();
    }
    if let Some(weeks) = expect.get("weekly") {
        let days: Vec<Day> = weeks.as_array().unwrap().iter().map(|week| day(&week["as_of"])).collect();
        let points = weekly(&attempts, &days, stride, &settings);
        let row = |point: &stridewright_core::adjustability::WeekPoint| {
            json!({
                "as_of": point.as_of.number(),
                "short_end_m": point.short_end.stride_m, "short_end_band_m": point.short_end.band_m,
                "long_end_m": point.long_end.stride_m, "long_end_band_m": point.long_end.band_m,
                "ratio": point.ratio.value, "ratio_band": point.ratio.band, "ratio_assumed": point.ratio.assumed,
            })
        };
        got["weekly"] = points.iter().map(row).collect();
    }
    if let Some(rider) = case["pair"].as_str().map(str::to_owned) {
        let range = pair(&attempts, &rider, as_of, stride, &settings);
        let own = || of_rider(&attempts, &rider);
        let mut fields = shown(&range);
        fields["next_asks"] = lines.iter().map(|line| next(next_ask(line, &range, own(), as_of, &settings))).collect();
        fields["trend"] = drift(&trend(own(), as_of, stride, &settings));
        got["pair"] = fields;
    }
    got
}

fn shown(range: &Range) -> Value {
    let (short, long, ratio) = (range.short_end(), range.long_end(), range.ratio());
    json!({
        "theta": range.theta(), "cov": range.covariance(),
        "e_short": range.shortens_by(), "e_long": range.lengthens_by(),
        "short_end_m": short.stride_m, "short_end_band_m": short.band_m, "short_assumed": short.assumed,
        "long_end_m": long.stride_m, "long_end_band_m": long.band_m, "long_assumed": long.assumed,
        "ratio": ratio.value, "ratio_band": ratio.band, "ratio_assumed": ratio.assumed,
    })
}

fn drift(trend: &Trend) -> Value {
    json!({
        "theta": trend.theta, "drift_per_week": trend.per_week, "drift_sd": trend.sd, "z": trend.zeta,
        "band_per_week": trend.band, "verdict": trend.verdict,
    })
}

fn chances(range: &Range, x: &Value) -> Value {
    let at = LogStretch::new(x.as_f64().unwrap()).unwrap();
    json!({
        "x": x, "p": range.chance(at), "p_lower": range.cautious_chance(at), "p_mean": range.forecast_chance(at),
    })
}

fn next(ask: Option<NextAsk>) -> Value {
    let Some(next) = ask else { return Value::Null };
    let ask = next.ask;
    json!({
        "natural": next.natural, "ask": ask.map(|a| a.count),
        "distance_m": ask.map(|a| a.distance_m), "stride_m": ask.map(|a| a.stride_m), "x": ask.map(|a| a.stretch),
        "p": ask.map(|a| a.chance), "p_lower": ask.map(|a| a.cautious_chance),
        "p_mean": ask.map(|a| a.forecast_chance),
        "status": next.status, "reason": next.reason, "ladder": next.ladder, "rungs_m": next.rungs_m,
        "next_line_m": next.next_line_m, "approach_hint": ask.and_then(|a| a.approach_hint),
    })
}
