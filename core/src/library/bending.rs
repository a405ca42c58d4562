//! Exercises with bends and turns.
use super::sketch::{Part, Sketch, Terms, rides};
use crate::stride::{GUIDES, Gait, GuideUse, Pair, Profile, StrideError, distance};
use crate::track::{GroundLine, TrackError, TrackRules, track};
use crate::units::Metres;

/// Of a turn that is ridden in the normal canter, and of a tight one.
const fn radii(terms: &Terms) -> (f64, f64) {
    if matches!(terms.profile, Profile::Horse) { (11.0, 7.0) } else { (9.0, 6.0) }
}

fn reckoned(error: TrackError) -> StrideError {
    match error {
        TrackError::Stride(error) => error,
        other => StrideError::NotPositive(other.field()),
    }
}

/// Two fences whose track turns by `turn` degrees and rides in `n` at the wider radius.
fn bend(terms: &Terms, n: u32, turn: f64, part: Part) -> Result<Sketch, StrideError> {
    let stride = terms.profile.design_stride();
    let wanted = distance(n, stride, stride, part.height.metres(), part.height.metres())?.get();
    let (rules, radius) = (TrackRules::usual(stride), Metres::nearest(radii(terms).0));
    let sketch = |apart: f64| {
        let mut sketch = Sketch::default();
        sketch.put("1", part, -apart / 2.0, 0.0, turn / 2.0);
        sketch.put("2", part, apart / 2.0, 0.0, -turn / 2.0);
        sketch
    };
    let (mut near, mut far) = (wanted / 2.0, wanted);
    for _ in 0..40 {
        let middle = f64::midpoint(near, far);
        let line = sketch(middle);
        let [first, second] = [0, 1].map(|i| line.fences.get(i).map(|fence| fence.laid.placed.square()));
        let (Some(first), Some(second)) = (first, second) else { break };
        let length = track(&GroundLine { first, second }, &rules, radius, Metres::MIN).map_err(reckoned)?;
        if length.is_some_and(|track| track.length.get() >= wanted) { far = middle } else { near = middle }
    }
    // to the nearest 5 cm, as it is set
    Ok(sketch((far * 20.0).round() / 20.0))
}

pub fn bending_five(terms: &Terms) -> Result<Sketch, StrideError> {
    let mut sketch = bend(terms, 5, 40.0, Part::vertical(terms))?;
    sketch.ride(0, 1, if terms.level == Pair::Novice { &[5] } else { &[5, 6, 5] });
    Ok(sketch)
}

pub fn bending_six(terms: &Terms) -> Result<Sketch, StrideError> {
    let mut sketch = bend(terms, 6, 60.0, Part::vertical(terms))?;
    sketch.ride(0, 1, &[6, 7]);
    Ok(sketch)
}

pub fn fan(terms: &Terms) -> Result<Sketch, StrideError> {
    let found = GUIDES
        .iter()
        .find(|guide| guide.profiles.contains(&terms.profile) && guide.is_for == GuideUse::Poles(Gait::Canter));
    let gap = found.map_or(3.0, |guide| guide.least.get());
    let step = 20.0f64;
    let radius = gap / step.to_radians();
    let mut sketch = Sketch::default();
    for (label, n) in ["1", "2", "3", "4"].into_iter().zip(0u8..) {
        let angle = -90.0 + step * (f64::from(n) - 1.5);
        let (sin, cos) = angle.to_radians().sin_cos();
        sketch.put(label, Part::POLE, radius * cos, radius * (sin + 1.0), angle + 90.0);
    }
    Ok(sketch)
}

pub fn poles_on_a_circle(_: &Terms) -> Result<Sketch, StrideError> {
    let mut sketch = Sketch::default();
    for (label, angle) in ["1", "2", "3", "4"].into_iter().zip([0.0f64, 90.0, 180.0, 270.0]) {
        let (sin, cos) = angle.to_radians().sin_cos();
        sketch.put(label, Part::POLE, 10.0 * cos, 10.0 * sin, angle + 90.0);
    }
    Ok(sketch)
}

pub fn serpentine(terms: &Terms) -> Result<Sketch, StrideError> {
    let across = 2.0 * radii(terms).1;
    let mut sketch = Sketch::default();
    for (label, (n, heading)) in ["1", "2", "3"].into_iter().zip([(-1.0, 90.0), (0.0, -90.0), (1.0, 90.0)]) {
        sketch.put(label, Part::POLE, n * across, 0.0, heading);
    }
    sketch.ride(0, 1, &[]);
    sketch.ride(1, 2, &[]);
    Ok(sketch)
}

pub fn figure_of_eight(terms: &Terms) -> Result<Sketch, StrideError> {
    let part = Part::cross(terms);
    let mut sketch = Sketch::default();
    sketch.put("1", part, -5.0, 3.0, -30.0);
    sketch.put("2", part, 5.0, 3.0, 210.0);
    sketch.ride(0, 1, &[]);
    sketch.ride(1, 0, &[]);
    Ok(sketch)
}

pub fn small_course(terms: &Terms) -> Result<Sketch, StrideError> {
    let (upright, wide) = (Part::vertical(terms), Part::oxer(terms));
    let (five, four) = (rides(terms, 5, upright, wide)?, rides(terms, 4, upright, upright)?);
    let half = wide.spread.get() / 2.0;
    let mut sketch = Sketch::default();
    sketch.put("1", upright, -five / 2.0, -9.0, 0.0);
    sketch.put("2", wide, five / 2.0 + half, -9.0, 0.0);
    sketch.put("3", upright, four / 2.0, 9.0, 180.0);
    sketch.put("4", upright, -four / 2.0, 9.0, 180.0);
    sketch.put("5", Part::cross(terms), 1.0, 0.5, 30.0);
    sketch.ride(0, 1, &[5]);
    sketch.ride(1, 2, &[]);
    sketch.ride(2, 3, &[4]);
    sketch.ride(3, 4, &[]);
    Ok(sketch)
}
