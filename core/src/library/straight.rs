//! Exercises on a straight line.
use super::sketch::{Part, Sketch, SketchLine, Terms, rides};
use crate::stride::{GUIDES, Gait, GuideUse, Pair, StrideError};
use crate::units::Metres;

/// The counts to ask for on a line of `n`: the normal one first, then more, then fewer; fewer later and never for a
/// novice.
fn asks(terms: &Terms, n: u32) -> Vec<u32> {
    match terms.level {
        Pair::Novice => vec![n, n + 1],
        Pair::Usual => vec![n, n + 1, n, n - 1],
        Pair::Schooled => vec![n, n + 1, n + 2, n, n - 1],
    }
}

/// The middle of a printed distance, to the nearest 5 cm.
fn printed(terms: &Terms, wanted: impl Fn(&GuideUse) -> bool) -> f64 {
    let found = GUIDES.iter().find(|guide| guide.profiles.contains(&terms.profile) && wanted(&guide.is_for));
    let middle = found.map_or(3.0, |guide| f64::midpoint(guide.least.get(), guide.most.get()));
    (middle * 20.0).round() / 20.0
}

fn grid_gap(terms: &Terms, approach: Gait, gap: u8, strides: u8) -> f64 {
    printed(terms, |of| *of == GuideUse::Grid { approach, gap, strides })
}

fn combination_gap(terms: &Terms, strides: u8) -> f64 {
    printed(terms, |of| matches!(of, GuideUse::Combination { strides: n, .. } if *n == strides))
}

fn two(terms: &Terms, n: u32, first: Part, second: Part) -> Result<Sketch, StrideError> {
    let mut sketch = Sketch::row(&[("1", first), ("2", second)], &[rides(terms, n, first, second)?]);
    sketch.ride(0, 1, &asks(terms, n));
    Ok(sketch)
}

pub fn pole_five(terms: &Terms) -> Result<Sketch, StrideError> {
    two(terms, 5, Part::POLE, Part::POLE)
}

pub fn pole_row(terms: &Terms) -> Result<Sketch, StrideError> {
    let gap = printed(terms, |of| *of == GuideUse::Poles(Gait::Canter));
    Ok(Sketch::row(&[("1", Part::POLE), ("2", Part::POLE), ("3", Part::POLE), ("4", Part::POLE)], &[gap; 3]))
}

pub fn trot_grid(terms: &Terms) -> Result<Sketch, StrideError> {
    let before = printed(terms, |of| *of == GuideUse::PlacingPole(Gait::Trot));
    let gaps = [before, grid_gap(terms, Gait::Trot, 1, 1), grid_gap(terms, Gait::Trot, 2, 1)];
    let parts = [("P", Part::POLE), ("1", Part::cross(terms)), ("2", Part::vertical(terms)), ("3", Part::oxer(terms))];
    Ok(Sketch::row(&parts, &gaps))
}

pub fn bounces(terms: &Terms) -> Result<Sketch, StrideError> {
    // low, whoever rides: there is no stride to put anything right
    let low = Part::cross(&Terms { level: Pair::Novice, ..*terms });
    let gap = grid_gap(terms, Gait::Trot, 1, 0);
    Ok(Sketch::row(&[("1", low), ("2", low), ("3", low)], &[gap, gap]))
}

pub fn related_five(terms: &Terms) -> Result<Sketch, StrideError> {
    two(terms, 5, Part::vertical(terms), Part::vertical(terms))
}

pub fn related_three(terms: &Terms) -> Result<Sketch, StrideError> {
    let mut sketch = two(terms, 3, Part::vertical(terms), Part::vertical(terms))?;
    if let Some(line) = sketch.lines.first_mut() {
        line.asks = vec![3, 4];
    }
    Ok(sketch)
}

pub fn related_seven(terms: &Terms) -> Result<Sketch, StrideError> {
    two(terms, 7, Part::vertical(terms), Part::oxer(terms))
}

pub fn narrow_last(terms: &Terms) -> Result<Sketch, StrideError> {
    let (first, last) = (Part::vertical(terms), Part::vertical(terms).narrow());
    let mut sketch = two(terms, 5, first, last)?;
    if let Some(line) = sketch.lines.first_mut() {
        line.asks = vec![5, 6];
    }
    Ok(sketch)
}

pub fn circle_between(terms: &Terms) -> Result<Sketch, StrideError> {
    let part = Part::vertical(terms);
    let mut sketch = Sketch::row(&[("1", part), ("2", part)], &[rides(terms, 5, part, part)?]);
    let circle = Some(Metres::nearest(if terms.level == Pair::Schooled { 12.0 } else { 15.0 }));
    sketch.lines.push(SketchLine { fences: [0, 1], asks: Vec::new(), circle });
    Ok(sketch)
}

/// Marks those fences as elements of one combination.
fn combine(sketch: &mut Sketch, from: usize) {
    for fence in sketch.fences.iter_mut().skip(from) {
        fence.combination = Some("2");
    }
}

pub fn double(terms: &Terms) -> Result<Sketch, StrideError> {
    let (alone, into, out) = (Part::vertical(terms), Part::vertical(terms), Part::oxer(terms));
    let gaps = [rides(terms, 5, alone, into)?, combination_gap(terms, 1)];
    let mut sketch = Sketch::row(&[("1", alone), ("2a", into), ("2b", out)], &gaps);
    combine(&mut sketch, 1);
    sketch.ride(0, 1, &[5, 6]);
    sketch.ride(1, 2, &[1]);
    Ok(sketch)
}

pub fn treble(terms: &Terms) -> Result<Sketch, StrideError> {
    let (upright, wide) = (Part::vertical(terms), Part::oxer(terms));
    let gaps = [combination_gap(terms, 2), combination_gap(terms, 1)];
    let mut sketch = Sketch::row(&[("2a", upright), ("2b", wide), ("2c", upright)], &gaps);
    combine(&mut sketch, 0);
    sketch.ride(0, 1, &[2]);
    sketch.ride(1, 2, &[1]);
    Ok(sketch)
}

pub fn on_the_angle(terms: &Terms) -> Result<Sketch, StrideError> {
    // both fences turned the same way off the line: ridden straight, jumped on the angle
    let mut sketch = two(terms, 5, Part::vertical(terms), Part::vertical(terms))?;
    for fence in &mut sketch.fences {
        fence.laid.placed.heading = crate::units::Degrees::nearest(8.0);
    }
    if let Some(line) = sketch.lines.first_mut() {
        line.asks = vec![5, 6];
    }
    Ok(sketch)
}
