//! The cases of `geometry_*.json`.
use crate::Outcome;
use crate::close::difference;
use crate::{layouts, tracks};
use serde_json::{Map, Value, json};
use stridewright_core::stride::{
    BetweenCounts, CountedRide, Feel, Finding, FindingWeight, Flag, GroupMember, GroupQuery, HorseStride, Line, Mover,
    Pair, SetAs, StrideRange, allowance, asks, between_counts, canter, count_in_gate, counted_stride, distance, effort,
    flags, group_distance, guessed_stride, lean, least_radius, natural_count, pace_mark, required_stride,
    stride_from_speed, taped_stride,
};
use stridewright_core::units::{Degrees, Factor, Metres, MetresPerSecond, Probability};

/// Why an input was refused.
pub type Refused = Box<dyn std::error::Error>;

pub fn run(kind: &str, case: &Value) -> Outcome {
    let inputs = Inputs(case["inputs"].as_object().expect("inputs"));
    let answer = match kind {
        "allowance" => one_allowance(&inputs),
        "distance" => one_distance(&inputs),
        "required_stride" => one_required_stride(&inputs),
        "natural_count" => one_natural_count(&inputs),
        "asks" => one_asks(&inputs),
        "band" => one_band(&inputs),
        "flags" => one_flags(&inputs),
        "speed" => one_speed(&inputs),
        "speed_published" => one_published_speed(&inputs),
        "stride_from_speed" => one_stride_from_speed(&inputs),
        "min_radius" => one_least_radius(&inputs),
        "lean" => one_lean(&inputs),
        "pace_mark" => one_pace_mark(&inputs),
        "between_counts" => one_between_counts(&inputs),
        "gate" => one_gate(&inputs),
        "group_distance" => one_group_distance(&inputs),
        "normal_stride" => one_normal_stride(&inputs),
        other => match tracks::answer(other, &inputs).or_else(|| layouts::answer(other, &inputs)) {
            Some(answer) => answer,
            None => return Outcome::UnknownKind,
        },
    };
    compare(&case["expected"], &answer, &case["tolerance"])
}

/// One tolerance for all fields, or one a field.
fn compare(expected: &Value, answer: &Result<Value, Refused>, tolerance: &Value) -> Outcome {
    let must_refuse = expected["error"] == json!(true);
    let got = match answer {
        Err(_) if must_refuse => return Outcome::Agrees,
        Err(error) => return Outcome::Differs(format!("refused: {error}")),
        Ok(got) if must_refuse => return Outcome::Differs(format!("must be refused, got {got}")),
        Ok(got) => got,
    };
    let how = match tolerance {
        Value::Object(by_field) => {
            let fields = expected.as_object().expect("fields");
            assert!(fields.keys().eq(by_field.keys()), "a tolerance for each field");
            let extra = got.as_object().and_then(|got| got.keys().find(|key| !fields.contains_key(*key)));
            extra.map(|key| format!("{key}: not expected")).or_else(|| {
                fields.iter().find_map(|(key, e)| {
                    difference(e, &got[key], by_field[key].as_f64().expect("a tolerance"), false, key)
                })
            })
        }
        _ => difference(expected, got, tolerance.as_f64().expect("a tolerance"), false, ""),
    };
    how.map_or(Outcome::Agrees, Outcome::Differs)
}

pub struct Inputs<'a>(pub &'a Map<String, Value>);

impl Inputs<'_> {
    /// A field that must be there, so that a misspelt name is never taken for a refusal.
    pub fn value(&self, field: &str) -> &Value {
        self.0.get(field).unwrap_or_else(|| panic!("no input {field}"))
    }

    pub fn quantity<Q: serde::de::DeserializeOwned>(&self, field: &str) -> Result<Q, Refused> {
        Ok(serde_json::from_value(self.value(field).clone()).map_err(|error| format!("{field}: {error}"))?)
    }

    pub fn metres(&self, field: &str) -> Result<Metres, Refused> {
        self.quantity(field)
    }

    fn line(&self) -> Result<Line, Refused> {
        Ok(Line {
            distance: self.metres("distance_m")?,
            first: self.metres("h_first_m")?,
            second: self.metres("h_second_m")?,
        })
    }

    pub fn range(&self) -> Result<StrideRange, Refused> {
        Ok(StrideRange::new(self.metres("stride_min_m")?, self.metres("stride_max_m")?)?)
    }
}

fn bare(length: Option<Metres>) -> Option<f64> {
    length.map(Metres::get)
}

fn one_allowance(inputs: &Inputs) -> Result<Value, Refused> {
    let room = allowance(inputs.metres("height_m")?, inputs.metres("profile_stride_m")?)?;
    Ok(json!({"allowance_m": room.get()}))
}

fn one_distance(inputs: &Inputs) -> Result<Value, Refused> {
    let answer = distance(
        inputs.quantity("n")?,
        inputs.metres("stride_m")?,
        inputs.metres("profile_stride_m")?,
        inputs.metres("h_first_m")?,
        inputs.metres("h_second_m")?,
    )?;
    Ok(json!({"distance_m": answer.get()}))
}

fn one_required_stride(inputs: &Inputs) -> Result<Value, Refused> {
    let share: Probability = inputs.quantity("elasticity")?;
    let (n, profile) = (inputs.quantity("n")?, inputs.metres("profile_stride_m")?);
    let stride = required_stride(&inputs.line()?, n, profile, share)?;
    Ok(json!({"stride_m": bare(stride)}))
}

fn one_natural_count(inputs: &Inputs) -> Result<Value, Refused> {
    let natural = natural_count(&inputs.line()?, inputs.metres("l0_m")?, inputs.metres("profile_stride_m")?)?;
    Ok(json!({
        "real": natural.real.get(),
        "n": natural.n,
        "stride_m": bare(natural.stride),
        "percent": natural.percent.map(|percent| percent.get()),
    }))
}

fn one_asks(inputs: &Inputs) -> Result<Value, Refused> {
    let asks = asks(&inputs.line()?, inputs.range()?, inputs.metres("profile_stride_m")?)?;
    Ok(json!({
        "counts": asks.iter().map(|ask| ask.n).collect::<Vec<_>>(),
        "unrelated": asks.iter().filter(|ask| ask.unrelated).map(|ask| ask.n).collect::<Vec<_>>(),
    }))
}

fn one_band(inputs: &Inputs) -> Result<Value, Refused> {
    let effort = effort(inputs.metres("stride_m")?, inputs.metres("l0_m")?)?;
    Ok(json!({"band": u8::from(effort.band), "percent": effort.percent.get()}))
}

fn one_flags(inputs: &Inputs) -> Result<Value, Refused> {
    let (stride, normal) = (inputs.metres("stride_m")?, inputs.metres("l0_m")?);
    let speed = canter(stride, normal, inputs.quantity::<Factor>("calibration")?)?.speed;
    let name = |flag| match flag {
        Flag::StrideShort => "stride_short",
        Flag::StrideLong => "stride_long",
        Flag::Fast => "fast",
    };
    let raised: Vec<_> = flags(stride, normal, speed)?.into_iter().map(name).collect();
    Ok(json!({"flags": raised, "speed_m_per_s": speed.get()}))
}

fn one_speed(inputs: &Inputs) -> Result<Value, Refused> {
    let canter = canter(inputs.metres("stride_m")?, inputs.metres("l0_m")?, inputs.quantity("calibration")?)?;
    Ok(json!({
        "freq_hz": canter.frequency.get(),
        "speed_m_per_s": canter.speed.get(),
        "pace_m_per_min": canter.pace.get(),
    }))
}

fn one_published_speed(inputs: &Inputs) -> Result<Value, Refused> {
    let canter = canter(inputs.metres("stride_m")?, inputs.metres("l0_m")?, inputs.quantity("calibration")?)?;
    Ok(json!({"speed_m_per_s": canter.speed.get()}))
}

fn one_stride_from_speed(inputs: &Inputs) -> Result<Value, Refused> {
    let speed: MetresPerSecond = inputs.quantity("speed_m_per_s")?;
    let stride = stride_from_speed(speed, inputs.metres("l0_m")?, inputs.quantity("calibration")?)?;
    Ok(json!({"stride_m": stride.get()}))
}

fn one_least_radius(inputs: &Inputs) -> Result<Value, Refused> {
    let angle: Degrees = inputs.quantity("lean_max_deg")?;
    let least = least_radius(inputs.quantity("speed_m_per_s")?, angle, inputs.metres("radius_floor_m")?)?;
    Ok(json!({"radius_m": least.radius.get(), "lean_deg_at_radius": least.lean.angle.get()}))
}

fn one_lean(inputs: &Inputs) -> Result<Value, Refused> {
    let lean = lean(inputs.quantity("speed_m_per_s")?, inputs.metres("radius_m")?)?;
    Ok(json!({"lean_deg": lean.angle.get(), "lateral_g": lean.lateral.get()}))
}

fn one_pace_mark(inputs: &Inputs) -> Result<Value, Refused> {
    let (stride, profile) = (inputs.metres("stride_m")?, inputs.metres("profile_stride_m")?);
    let mark = pace_mark(stride, profile, inputs.quantity("room_m")?)?;
    Ok(json!({
        "pace_mark_m": mark.mark.get(),
        "latest_m": mark.latest.get(),
        "fits": mark.fits,
        "strides_available": mark.strides_available.map(|strides| strides.get()),
    }))
}

fn one_between_counts(inputs: &Inputs) -> Result<Value, Refused> {
    let pair = if inputs.0.contains_key("pair") { inputs.quantity("pair")? } else { Pair::default() };
    let (normal, profile) = (inputs.metres("l0_m")?, inputs.metres("profile_stride_m")?);
    let BetweenCounts { real, n, off, finding, shorter, longer } =
        between_counts(&inputs.line()?, normal, profile, pair)?;
    let code = finding.map(|(finding, _)| match finding {
        Finding::BetweenCounts => "between_counts",
        Finding::NeitherBounceNorOne => "neither_bounce_nor_one",
    });
    let level = finding.map(|(_, level)| match level {
        FindingWeight::Advice => "advice",
        FindingWeight::Stop => "stop",
        FindingWeight::Impossible => "impossible",
    });
    Ok(json!({
        "real": real.get(), "n": n, "off": off.get(), "finding": code, "level": level,
        "shorter_m": bare(shorter), "longer_m": bare(longer),
    }))
}

fn one_gate(inputs: &Inputs) -> Result<Value, Refused> {
    let (n, profile) = (inputs.quantity("n")?, inputs.metres("profile_stride_m")?);
    let gate = count_in_gate(&inputs.line()?, n, profile, inputs.quantity("straight_m")?)?;
    Ok(json!({
        "gate_m": bare(gate.map(|gate| gate.between_markers)),
        "poles_m": bare(gate.map(|gate| gate.between_poles)),
        "stride_m": bare(gate.map(|gate| gate.stride)),
        "nearest_m": bare(gate.map(|gate| gate.nearest)),
        "fits": gate.and_then(|gate| gate.fits),
    }))
}

fn one_group_distance(inputs: &Inputs) -> Result<Value, Refused> {
    let member = |member: &Value| -> Result<GroupMember, Refused> {
        let member = Inputs(member.as_object().expect("a member"));
        let (profile, normal) = (member.metres("profile_stride_m")?, member.metres("l0_m")?);
        let set_as: SetAs = member.quantity("kind")?;
        let horse = HorseStride::new(profile, normal, member.range()?, None)?;
        Ok(GroupMember { horse, first: member.metres("h_first_m")?, second: member.metres("h_second_m")?, set_as })
    };
    let members = inputs.value("members").as_array().expect("members");
    let answer = group_distance(&GroupQuery {
        members: members.iter().map(member).collect::<Result<_, _>>()?,
        distance_min: inputs.metres("distance_min_m")?,
        distance_max: inputs.metres("distance_max_m")?,
        wanted: inputs.quantity("wanted_m")?,
        served_ratio: inputs.quantity("served_ratio")?,
    })?;
    let ride = |ride: &stridewright_core::stride::GroupRide| {
        json!({
            "distance_m": ride.distance.get(), "n": ride.n, "stride_m": ride.stride.get(),
            "log_off": ride.log_off.get(),
        })
    };
    Ok(json!({
        "distances_m": answer.distances.iter().map(|at| at.get()).collect::<Vec<_>>(),
        "rolls": answer.rolls(),
        "rides": answer.rides.iter().map(|one| one.as_ref().map(ride)).collect::<Vec<_>>(),
        "unserved": answer.unserved,
        "worst": answer.worst.map(|worst| worst.get()),
        "total": answer.total.map(|total| total.get()),
    }))
}

fn one_normal_stride(inputs: &Inputs) -> Result<Value, Refused> {
    let profile = inputs.metres("profile_stride_m")?;
    let ride = |ride: &Value| -> Result<CountedRide, Refused> {
        let ride = Inputs(ride.as_object().expect("a ride"));
        Ok(CountedRide { n: ride.quantity("n")?, feel: ride.quantity::<Feel>("feel")? })
    };
    let normal = match inputs.value("source").as_str() {
        Some("guess") => guessed_stride(profile, inputs.quantity::<Mover>("mover")?)?,
        Some("counted") => {
            let rides = inputs.value("rides").as_array().expect("rides");
            let rides = rides.iter().map(ride).collect::<Result<Vec<_>, _>>()?;
            counted_stride(profile, inputs.metres("distance_m")?, &rides)?
        }
        Some("taped") => taped_stride(profile, inputs.metres("length_m")?)?,
        other => panic!("unknown source {other:?}"),
    };
    Ok(json!({"l0_m": normal.stride.get(), "implausible": normal.implausible}))
}
