//! Where everything goes: read on a tape that one person pins in a corner, or that two hold to two corners.
use super::Setting;
use super::lengths::COLUMN_UNIT;
use super::query::SetBy;
use super::scene::Scene;
use crate::exercises::layout::FenceKind;
use stridewright_core::drawing::{BothWays, SheetPlace};
use stridewright_core::tape::{Corner, Reading, SetByOne, from_two, set_alone};
use stridewright_core::track::{ArenaSize, Point, TrackError};

/// Something that is set.
struct Thing {
    number: Option<String>,
    what: String,
    /// Its left and its right end as ridden, or the one place that it has.
    ends: Vec<Point>,
}

/// The rows, and what no tape of that length reaches.
pub struct Placed {
    pub rows: Vec<SheetPlace>,
    pub out_of_reach: Vec<String>,
}

impl Setting<'_> {
    /// Everything that is set, in the order of walking.
    pub fn places(&self, scene: &Scene) -> Result<Placed, TrackError> {
        let things = self.things(scene);
        match self.set_by {
            SetBy::One => self.alone(&things, scene.size),
            SetBy::Two => self.by_two(&things, scene.size),
        }
    }

    /// What is read at each end: of one tape along and off the wall, or of two.
    pub fn readings(&self) -> [String; 2] {
        let unit = COLUMN_UNIT;
        match self.set_by {
            SetBy::One => [format!("along {unit}"), format!("square off {unit}")],
            SetBy::Two => [format!("from the first {unit}"), format!("from the other {unit}")],
        }
    }

    /// How it is done, in a line.
    pub fn method(&self) -> String {
        let tape = self.lengths.beside(self.tape);
        let tape = format!("{} {} tape", tape.own, tape.other);
        match self.set_by {
            SetBy::One => format!("alone, {tape}: along the wall, square off; ends as ridden"),
            SetBy::Two => format!("by two, a {tape} each: where both readings meet; ends as ridden"),
        }
    }

    /// Fences by the rail that is met first, then the markers.
    fn things(&self, scene: &Scene) -> Vec<Thing> {
        let mut things: Vec<Thing> = Vec::new();
        for (n, (fence, laid)) in self.layout().fences.0.iter().zip(&scene.laid).enumerate() {
            let against = scene.ridden.iter().flatten().find(|r| r.fence == n).is_some_and(|r| r.against);
            let deep = matches!(fence.kind, FenceKind::Oxer | FenceKind::TripleBar);
            let rail = if deep { ", front" } else { "" };
            things.push(Thing {
                number: Some(fence.label.as_str().to_owned()),
                what: format!("{}{rail}", self.named(fence)),
                ends: laid.front_rail(against).to_vec(),
            });
        }
        let gate =
            scene.gate.iter().map(|gate| (format!("Gate of {}: first, last", gate.count), vec![gate.from, gate.to]));
        let marks = scene.marks.iter().map(|mark| ("Pace mark, a cone".to_owned(), vec![mark.at.at]));
        things.extend(gate.chain(marks).map(|(what, ends)| Thing { number: None, what, ends }));
        things
    }

    fn alone(&self, things: &[Thing], size: ArenaSize) -> Result<Placed, TrackError> {
        let ends: Vec<Vec<Point>> = things.iter().map(|thing| thing.ends.clone()).collect();
        let alone = set_alone(&ends, size, self.tape)?;
        let row = |row: &SetByOne| {
            let thing = things.get(row.thing)?;
            let mut cells = row.legs.iter().map(|legs| self.cells([legs.along, legs.off]));
            let number = thing.number.clone();
            Some(SheetPlace {
                pin: pin(row),
                number,
                what: thing.what.clone(),
                left: cells.next()?,
                right: cells.next(),
            })
        };
        let beyond = alone.out_of_reach.iter().filter_map(|n| things.get(*n)).map(Thing::called);
        Ok(Placed { rows: alone.rows.iter().filter_map(row).collect(), out_of_reach: beyond.collect() })
    }

    fn by_two(&self, things: &[Thing], size: ArenaSize) -> Result<Placed, TrackError> {
        let mut placed = Placed { rows: Vec::new(), out_of_reach: Vec::new() };
        for thing in things {
            let Some(found) = from_two(&thing.ends, size, self.tape)? else {
                placed.out_of_reach.push(thing.called());
                continue;
            };
            let mut cells = found.readings.iter().map(|readings| self.cells(*readings));
            let [one, other] = found.corners.map(Corner::letter);
            let pin = BothWays { own: format!("{one}, {other}"), other: String::new() };
            let Some(left) = cells.next() else { continue };
            let number = thing.number.clone();
            placed.rows.push(SheetPlace { pin, number, what: thing.what.clone(), left, right: cells.next() });
        }
        Ok(placed)
    }

    fn cells(&self, readings: [Reading; 2]) -> [BothWays; 2] {
        readings.map(|reading| self.lengths.reading(reading))
    }
}

impl Thing {
    fn called(&self) -> String {
        self.number.clone().unwrap_or_else(|| self.what.clone())
    }
}

/// `T to U, long wall`; `still T` where the tape lies there already.
fn pin(row: &SetByOne) -> BothWays {
    if row.still {
        return BothWays { own: String::new(), other: format!("pin stays at {}", row.corner.letter()) };
    }
    let wall = if row.towards == row.corner.along_long_wall() { "long" } else { "short" };
    BothWays { own: row.corner.letter().to_owned(), other: format!("to {}, {wall} wall", row.towards.letter()) }
}
