//! The cases of `geometry_*.json` that are about fit.
use crate::geometry::{Inputs, Refused};
use crate::tracks::{arena, fence, jump, line, rules, stands};
use serde_json::{Value, json};
use stridewright_core::layout::{
    FenceKind, Found, LaidFence, LayoutFinding, LineFinding, Ridden, RoomWanted, TurnRoom, TurnWanted, Weight,
    approach_room, check_layout, check_line, getaway_room,
};
use stridewright_core::track::{Ground, PlacedFence};
use stridewright_core::units::Metres;

pub fn answer(kind: &str, inputs: &Inputs) -> Option<Result<Value, Refused>> {
    Some(match kind {
        "turn_room" => one_turn_room(inputs),
        "arena" => one_arena(inputs),
        "findings" => one_findings(inputs),
        _ => return None,
    })
}

fn bare(length: Option<Metres>) -> Option<f64> {
    length.map(Metres::get)
}

fn one_turn_room(inputs: &Inputs) -> Result<Value, Refused> {
    let jump = jump(inputs, "fence", "offset_left_m", "angle_rad")?;
    let wanted = TurnWanted {
        straight: inputs.metres("straight_m")?,
        radius: inputs.metres("turn_radius_m")?,
        wall_clearance: inputs.metres("wall_clearance_m")?,
    };
    let which = match inputs.value("which").as_str() {
        Some("approach") => approach_room,
        Some("getaway") => getaway_room,
        other => panic!("{other:?}"),
    };
    let room = which(&jump, wanted, arena(inputs)?)?;
    Ok(json!({
        "clearance_m": {"left": room.left.get(), "right": room.right.get()}, "sides": room.sides,
        "fits": !room.sides.is_empty(), "missing_m": bare(room.missing),
        "longest_straight_m": bare(room.longest_straight),
    }))
}

fn of_line(what: LineFinding) -> String {
    match what {
        LineFinding::TrackOutside => "track_outside".to_owned(),
        LineFinding::TrackNearWall => "track_near_wall".to_owned(),
        LineFinding::ApproachShort => "approach_short".to_owned(),
        LineFinding::GetawayShort => "getaway_short".to_owned(),
        LineFinding::TrackCrossesOwn(k) => format!("track_crosses_own:{k}"),
        LineFinding::TrackCrossesFence(i) => format!("track_crosses_fence:{i}"),
        LineFinding::TrackNearFence(i) => format!("track_near_fence:{i}"),
        LineFinding::TrackCrossesObstruction(i) => format!("track_crosses_obstruction:{i}"),
        LineFinding::TrackNearObstruction(i) => format!("track_near_obstruction:{i}"),
    }
}

fn of_layout(what: LayoutFinding) -> String {
    match what {
        LayoutFinding::FenceOutside(i) => format!("fence_outside:{i}"),
        LayoutFinding::FootprintsOverlap(i, j) => format!("footprints_overlap:{i}:{j}"),
        LayoutFinding::OnStanding(i, j) => format!("on_standing:{i}:{j}"),
        LayoutFinding::OnObstruction(i, j) => format!("on_obstruction:{i}:{j}"),
        LayoutFinding::BothWays(i) => format!("both_ways:{i}"),
        LayoutFinding::ResetBetween(k) => format!("reset_between:{k}"),
    }
}

fn told<W: Copy>(findings: &[Found<W>], weight: Weight, name: fn(W) -> String) -> Vec<String> {
    findings.iter().filter(|found| found.weight == weight).map(|found| name(found.what)).collect()
}

fn one_arena(inputs: &Inputs) -> Result<Value, Refused> {
    let others: Result<Vec<PlacedFence>, Refused> =
        inputs.value("others").as_array().expect("fences").iter().map(fence).collect();
    let others = others?;
    let ground = Ground {
        arena: arena(inputs)?,
        wall_clearance: inputs.metres("wall_clearance_m")?,
        others: &others,
        obstructions: &[],
        stands: stands(inputs)?,
    };
    let wanted = RoomWanted {
        approach: inputs.metres("approach_m")?,
        getaway: inputs.metres("getaway_m")?,
        turn_radius: inputs.metres("turn_radius_m")?,
        fence_clearance: inputs.metres("fence_clearance_m")?,
    };
    let found = check_line(&line(inputs)?, &rules(inputs)?, inputs.metres("radius_m")?, &ground, wanted)?;
    let Some(check) = found else { return Ok(json!({"ridable": false})) };
    let near = |i: usize| check.to_fences.iter().map(|near| near[i].get()).collect::<Vec<f64>>();
    let sides = |room: &TurnRoom| json!(room.sides);
    Ok(json!({
        "ridable": true, "length_m": check.track.length.get(), "track_wall_clearance_m": check.wall_clearance.get(),
        "track_fence_distance_m": near(0), "approach_fence_distance_m": near(1), "getaway_fence_distance_m": near(2),
        "own_fence_distance_m": check.to_own.map_or([None, None], |own| own.map(|near| Some(near.get()))),
        "approach_sides": sides(&check.approach), "approach_missing_m": bare(check.approach.missing),
        "getaway_sides": sides(&check.getaway), "getaway_missing_m": bare(check.getaway.missing),
        "impossible": told(&check.findings, Weight::Impossible, of_line),
        "advice": told(&check.findings, Weight::Advice, of_line), "fits": check.fits(),
    }))
}

fn one_findings(inputs: &Inputs) -> Result<Value, Refused> {
    let laid = |value: &Value| -> Result<LaidFence, Refused> {
        let kind: FenceKind = serde_json::from_value(value["kind"].clone())?;
        Ok(LaidFence { placed: fence(value)?, kind, square: value["square"].as_bool().unwrap_or(false) })
    };
    let list = |name: &str| inputs.value(name).as_array().expect("a list");
    let fences: Result<Vec<LaidFence>, Refused> = list("fences").iter().map(laid).collect();
    let ridden = |line: &Value, fence: &str, way: &str| Ridden {
        fence: usize::try_from(line[fence].as_u64().expect("a place")).expect("a place"),
        against: line[way].as_i64().expect("a way") < 0,
    };
    let lines: Vec<[Ridden; 2]> = list("lines")
        .iter()
        .map(|line| [ridden(line, "first", "first_way"), ridden(line, "second", "second_way")])
        .collect();
    let combinations: Result<Vec<Vec<Metres>>, Refused> = list("combinations")
        .iter()
        .map(|shared| Ok(serde_json::from_value(shared["profile_strides_m"].clone())?))
        .collect();
    let ground = Ground {
        arena: arena(inputs)?,
        wall_clearance: Metres::MIN,
        others: &[],
        obstructions: &[],
        stands: stands(inputs)?,
    };
    let found = check_layout(&fences?, &lines, &combinations?, &ground)?;
    let impossible = told(&found, Weight::Impossible, of_layout);
    Ok(json!({
        "fits": impossible.is_empty(), "impossible": impossible, "advice": told(&found, Weight::Advice, of_layout),
    }))
}
