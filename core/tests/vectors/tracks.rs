//! The cases of `geometry_*.json` that are about tracks.
use crate::geometry::{Inputs, Refused};
use serde_json::{Map, Value, json};
use stridewright_core::stride::{HorseStride, LeanLimits, Line};
use stridewright_core::track::{
    Aim, ArenaSize, Bends, Ground, GroundLine, Jump, Passage, PlacedFence, Point, Stands, Track, TrackRules,
    circle_between, circle_length, curves, fitting_counts, moved_out, track,
};
use stridewright_core::units::{Centimetres, Coordinate, Degrees, Metres};

pub fn answer(kind: &str, inputs: &Inputs) -> Option<Result<Value, Refused>> {
    Some(match kind {
        "dubins" => one_dubins(inputs),
        "track" => one_track(inputs),
        "track_family" => one_family(inputs),
        "fit_counts" => one_fit(inputs),
        "circle" => one_circle(inputs),
        "circle_length" => one_circle_length(inputs),
        "outside_track" => one_outside_track(inputs),
        _ => return None,
    })
}

fn number(value: &Value) -> f64 {
    value.as_f64().expect("a number")
}

fn degrees(radians: &Value) -> Result<Degrees, Refused> {
    Ok(Degrees::new(number(radians).to_degrees())?)
}

fn point(x: &Value, y: &Value) -> Result<Point, Refused> {
    Ok(Point { x: Coordinate::new(number(x))?, y: Coordinate::new(number(y))? })
}

fn passage(value: &Value) -> Result<Passage, Refused> {
    Ok(Passage { at: point(&value[0], &value[1])?, heading: degrees(&value[2])? })
}

pub fn fence(value: &Value) -> Result<PlacedFence, Refused> {
    let centimetres = number(&value["height_m"]) * 100.0;
    assert!((centimetres - centimetres.round()).abs() < 1e-9, "a height in whole centimetres");
    Ok(PlacedFence {
        centre: point(&value["x_m"], &value["y_m"])?,
        heading: degrees(&value["heading_rad"])?,
        height: Centimetres::new(centimetres.round() as u16)?,
        spread: Metres::new(number(&value["spread_m"]))?,
        width: Metres::new(number(&value["width_m"]))?,
    })
}

/// An aim of which nothing is said is square.
pub fn jump(inputs: &Inputs, name: &str, left: &str, angle: &str) -> Result<Jump, Refused> {
    let zero = json!(0.0);
    let said = |field: &str| inputs.0.get(field).unwrap_or(&zero).clone();
    let aim = Aim { left: Coordinate::new(number(&said(left)))?, off_square: degrees(&said(angle))? };
    Ok(Jump { fence: fence(inputs.value(name))?, aim })
}

pub fn line(inputs: &Inputs) -> Result<GroundLine, Refused> {
    Ok(GroundLine {
        first: jump(inputs, "first", "offset1_left_m", "angle1_rad")?,
        second: jump(inputs, "second", "offset2_left_m", "angle2_rad")?,
    })
}

pub fn rules(inputs: &Inputs) -> Result<TrackRules, Refused> {
    let profile = inputs.metres("profile_stride_m")?;
    let angle = |field: &str, usual: Degrees| inputs.0.get(field).map_or(Ok(usual), degrees);
    let usual = TrackRules::usual(profile);
    Ok(TrackRules {
        profile_stride: profile,
        landing_straight: inputs.metres("landing_straight_m")?,
        takeoff_straight: inputs.metres("takeoff_straight_m")?,
        straight_within: angle("straight_angle_max_rad", usual.straight_within)?,
        most_turn: angle("max_turn_rad", usual.most_turn)?,
    })
}

pub fn arena(inputs: &Inputs) -> Result<ArenaSize, Refused> {
    Ok(ArenaSize { length: inputs.metres("arena_length_m")?, width: inputs.metres("arena_width_m")? })
}

pub fn stands(inputs: &Inputs) -> Result<Stands, Refused> {
    Ok(Stands { wing: inputs.metres("stand_m")?, foot: inputs.metres("depth_pad_m")? })
}

pub fn word(track: &Track) -> Value {
    track.curved.map_or(json!("S"), |curved| json!(curved.bends))
}

fn one_dubins(inputs: &Inputs) -> Result<Value, Refused> {
    let words: Vec<Bends> = inputs.quantity("words")?;
    let (from, to) = (passage(inputs.value("start_xyh_m_rad"))?, passage(inputs.value("end_xyh_m_rad"))?);
    let found = curves(from, to, inputs.metres("radius_m")?, &words)?;
    let name = |bends: &Bends| json!(bends).as_str().expect("a word").to_owned();
    let all: Map<String, Value> = found.iter().map(|c| (name(&c.bends), json!(c.length.get()))).collect();
    let least = found.iter().map(|c| c.length.get()).fold(f64::INFINITY, f64::min);
    let shortest = found.iter().find(|c| c.length.get() <= least + 1e-9);
    Ok(json!({
        "length_m": shortest.map(|c| c.length.get()),
        "word": shortest.map(|c| c.bends),
        "turn_rad": shortest.map(|c| c.turn.get().to_radians()),
        "all_words_length_m": all,
    }))
}

fn shown(track: Option<&Track>) -> Value {
    track.map_or(json!({"ridable": false}), |track| {
        json!({"ridable": true, "length_m": track.length.get(), "word": word(track),
            "turn_rad": track.turn.get().to_radians()})
    })
}

fn one_track(inputs: &Inputs) -> Result<Value, Refused> {
    Ok(shown(track(&line(inputs)?, &rules(inputs)?, inputs.metres("radius_m")?, Metres::MIN)?.as_ref()))
}

fn one_family(inputs: &Inputs) -> Result<Value, Refused> {
    let (line, rules, radius) = (line(inputs)?, rules(inputs)?, inputs.metres("radius_m")?);
    let extras: Vec<Metres> = inputs.quantity("extra_straight_m")?;
    let members: Result<Vec<Value>, Refused> =
        extras.into_iter().map(|extra| Ok(shown(track(&line, &rules, radius, extra)?.as_ref()))).collect();
    Ok(json!({"members": members?}))
}

fn one_circle_length(inputs: &Inputs) -> Result<Value, Refused> {
    Ok(json!({"length_m": circle_length(inputs.metres("circle_diameter_m")?)?.get()}))
}

fn one_outside_track(inputs: &Inputs) -> Result<Value, Refused> {
    let extra = moved_out(degrees(inputs.value("turn_rad"))?, inputs.metres("moved_out_m")?)?;
    Ok(json!({"extra_m": extra.get()}))
}

fn horse(inputs: &Inputs) -> Result<HorseStride, Refused> {
    let (profile, calibration) = (inputs.metres("profile_stride_m")?, inputs.quantity("calibration")?);
    Ok(HorseStride::new(profile, inputs.metres("l0_m")?, inputs.range()?, Some(calibration))?)
}

fn lean(inputs: &Inputs) -> Result<LeanLimits, Refused> {
    Ok(LeanLimits { advice: inputs.quantity("lean_advice_deg")?, most: inputs.quantity("lean_max_deg")? })
}

fn one_circle(inputs: &Inputs) -> Result<Value, Refused> {
    let line = Line {
        distance: inputs.metres("distance_m")?,
        first: inputs.metres("h_first_m")?,
        second: inputs.metres("h_second_m")?,
    };
    let (rules, floor) = (rules(inputs)?, inputs.metres("radius_floor_m")?);
    let diameter = inputs.metres("circle_diameter_m")?;
    let found = circle_between(&line, diameter, &rules, &horse(inputs)?, lean(inputs)?, floor)?;
    let strides: Map<String, Value> =
        found.counts.iter().map(|count| (count.n.to_string(), json!(count.stride.get()))).collect();
    let flagged: Vec<u32> = found.counts.iter().filter(|count| count.lean_advice).map(|count| count.n).collect();
    Ok(json!({
        "total_m": found.total.get(), "counts": found.counts.iter().map(|count| count.n).collect::<Vec<_>>(),
        "stride_m": strides, "lean_advice": flagged,
        "touch_from_first_m": found.touch.map(|(from, to)| [from.get(), to.get()]),
    }))
}

fn one_fit(inputs: &Inputs) -> Result<Value, Refused> {
    let others: Result<Vec<PlacedFence>, Refused> =
        inputs.value("others").as_array().expect("fences").iter().map(fence).collect();
    let others = others?;
    let rules = rules(inputs)?;
    let (horse, lean) = (horse(inputs)?, lean(inputs)?);
    let ground = Ground {
        arena: arena(inputs)?,
        wall_clearance: inputs.metres("wall_clearance_m")?,
        others: &others,
        obstructions: &[],
        stands: stands(inputs)?,
    };
    let found = fitting_counts(&line(inputs)?, &rules, &horse, lean, inputs.metres("radius_floor_m")?, &ground)?;
    let counts: Map<String, Value> = found
        .iter()
        .map(|count| {
            let shown = json!({
                "stride_m": count.stride.get(), "length_m": count.track.length.get(),
                "turn_rad": count.track.turn.get().to_radians(),
                "radius_m": count.track.curved.map(|c| c.radius.get()),
                "extra_straight_m": count.track.curved.map(|c| c.extra_straight.get()),
                "word": word(&count.track), "lean_advice": count.lean_advice, "unrelated": count.unrelated,
            });
            (count.n.to_string(), shown)
        })
        .collect();
    Ok(json!({"counts": counts}))
}
