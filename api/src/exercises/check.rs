//! The rules that the parts of a layout obey together.
use super::layout::{Element, Fence, FenceKind, Layout, LayoutLine, LineKind, Measured};
use crate::problem::FieldError;
use std::collections::{BTreeMap, BTreeSet};

/// The longest gap between two elements of a combination, inner face to inner face (FEI Jumping Rules, article
/// 212: 7 to 12 m; grids are set shorter, so there is no least).
const COMBINATION_M: f64 = 12.0;
/// A pole on the ground may be raised at its ends and is still no jump (common practice, no source).
const RAISED_POLE_CM: u16 = 20;

/// Length and width of the arena in metres.
pub type Size = (f64, f64);

/// Every fault, each with its pointer below `at`.
pub fn faults(layout: &Layout, arena: Option<Size>, at: &str) -> Vec<FieldError> {
    let mut errors = Vec::new();
    let mut labels = BTreeSet::new();
    for (i, fence) in layout.fences.0.iter().enumerate() {
        let at = format!("{at}/fences/{i}");
        if !labels.insert(&fence.label) {
            errors.push(FieldError::new(format!("{at}/label"), "conflict", "must be unlike the labels before it"));
        }
        measures(fence, &at, &mut errors);
        placed(fence, arena, &at, &mut errors);
    }
    combinations(layout, at, &mut errors);
    let mut names = BTreeSet::new();
    for (i, line) in layout.lines.0.iter().enumerate() {
        let at = format!("{at}/lines/{i}");
        if !names.insert(line.name()) {
            errors.push(FieldError::new(format!("{at}/label"), "conflict", "must be unlike the lines before it"));
        }
        ends(layout, line, &at, &mut errors);
    }
    errors
}

fn measures(fence: &Fence, at: &str, errors: &mut Vec<FieldError>) {
    use FenceKind as K;
    let (height, pole) = (fence.height_cm.get(), fence.is_pole());
    let flat = matches!(fence.kind, K::Ditch | K::Water | K::GroundPole);
    if height == 0 && !flat {
        errors.push(FieldError::new(format!("{at}/height_cm"), "invalid", "must be above 0 for this kind"));
    }
    if pole && height > RAISED_POLE_CM {
        errors.push(FieldError::new(format!("{at}/height_cm"), "invalid", "must be at most 20 cm for a ground pole"));
    }
    let wide = fence.spread_cm.is_some_and(|spread| spread.get() > 0);
    let (needs, may) = match fence.kind {
        K::Oxer | K::TripleBar | K::Ditch | K::Water => (true, true),
        K::Wall | K::Log => (false, true),
        K::Vertical | K::CrossPole | K::GroundPole => (false, false),
    };
    if needs && !wide {
        errors.push(FieldError::new(format!("{at}/spread_cm"), "required", "is required, above 0, for this kind"));
    }
    if !may && wide {
        errors.push(FieldError::new(format!("{at}/spread_cm"), "invalid", "this kind has no spread"));
    }
    if fence.square == Some(true) && fence.kind != K::Oxer {
        errors.push(FieldError::new(format!("{at}/square"), "invalid", "only an oxer is square"));
    }
    if pole && fence.combination.is_some() {
        errors.push(FieldError::new(format!("{at}/combination"), "invalid", "a ground pole is no element"));
    }
}

fn placed(fence: &Fence, arena: Option<Size>, at: &str, errors: &mut Vec<FieldError>) {
    let pointer = format!("{at}/position");
    match (&fence.position, arena) {
        (None, Some(_)) => errors.push(FieldError::new(pointer, "required", "is required in an arena")),
        (Some(_), None) => errors.push(FieldError::new(pointer, "invalid", "has a meaning only in an arena")),
        (Some(p), Some((length, width))) => {
            if !(0.0..=length).contains(&p.x_m.get()) || !(0.0..=width).contains(&p.y_m.get()) {
                errors.push(FieldError::new(pointer, "invalid", "must lie inside the arena"));
            }
        }
        (None, None) => {}
    }
}

/// A combination has two elements or more, lettered from A without a gap.
fn combinations(layout: &Layout, at: &str, errors: &mut Vec<FieldError>) {
    let mut elements: BTreeMap<_, Vec<(usize, Element)>> = BTreeMap::new();
    for (i, fence) in layout.fences.0.iter().enumerate() {
        if let Some(part) = &fence.combination {
            elements.entry(&part.label).or_default().push((i, part.element));
        }
    }
    for parts in elements.values_mut() {
        parts.sort_by_key(|(_, element)| *element);
        let lettered = parts.iter().map(|(_, element)| *element as usize).eq(0..parts.len());
        if !lettered || parts.len() < 2 {
            let rule = "a combination has two elements or more, lettered from a without a gap";
            let pointers = parts.iter().map(|(i, _)| format!("{at}/fences/{i}/combination"));
            errors.extend(pointers.map(|pointer| FieldError::new(pointer, "invalid", rule)));
        }
    }
}

fn ends(layout: &Layout, line: &LayoutLine, at: &str, errors: &mut Vec<FieldError>) {
    let mut fault = |field: &str, code, rule: &str| errors.push(FieldError::new(format!("{at}/{field}"), code, rule));
    for (field, label) in [("from", &line.from), ("to", &line.to)] {
        if layout.fence(label).is_none() {
            fault(field, "not_found", "names no fence of this layout");
        }
    }
    if line.from == line.to {
        fault("to", "invalid", "must be another fence than from");
    }
    if line.circle_m.is_some() && line.kind != LineKind::WithCircle {
        fault("circle_m", "invalid", "only a line with a circle has one");
    }
    let combination = layout.in_combination(line);
    if line.combination.is_some_and(|said| said != combination) {
        fault("combination", "invalid", "must agree with the combinations of its two fences");
    }
    if combination {
        if line.kind != LineKind::Straight {
            fault("kind", "invalid", "must be straight within a combination");
        }
        // centre to centre the spreads' halves come on top of the gap
        let spread = |label| layout.fence(label).and_then(|f| f.spread_cm).map_or(0.0, |s| s.metres().get());
        let halves = match line.measured {
            Measured::InsideToInside => 0.0,
            Measured::CentreToCentre => (spread(&line.from) + spread(&line.to)) / 2.0,
        };
        if line.distance_m.get() - halves > COMBINATION_M + 1e-9 {
            fault("distance_m", "invalid", "must be at most 12 m between two elements of a combination");
        }
        if line.asks.iter().flat_map(|asks| &asks.0).any(|ask| ask.get() > 2) {
            fault("asks", "invalid", "must be a bounce, one or two strides within a combination");
        }
    }
}
