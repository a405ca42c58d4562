//! The exercises of the barn, with distances of its own.
use crate::barn::Barn;
use crate::client::Failure;
use crate::json::Fields;
use serde_json::{Value, json};

/// One line of an exercise.
#[derive(Debug, Clone, Copy)]
pub struct Stretch {
    pub from: &'static str,
    pub to: &'static str,
    pub distance_m: f64,
    /// `straight` or `bending`.
    pub kind: &'static str,
    /// Counts to ask for; a single one is that of a grid or a combination, and is not schooled.
    pub asks: &'static [u8],
}

/// An exercise: fences by label and kind, and lines.
pub struct Plan {
    pub name: &'static str,
    pub purpose: &'static str,
    pub level: &'static str,
    pub fences: &'static [(&'static str, &'static str, u16)],
    pub lines: &'static [Stretch],
    /// Where it is placed in the long hall: x, y and heading of each fence.
    pub places: &'static [(f64, f64, f64)],
}

const fn straight(from: &'static str, to: &'static str, distance_m: f64, asks: &'static [u8]) -> Stretch {
    Stretch { from, to, distance_m, kind: "straight", asks }
}

const fn bending(from: &'static str, to: &'static str, distance_m: f64, asks: &'static [u8]) -> Stretch {
    Stretch { from, to, distance_m, kind: "bending", asks }
}

/// 66, 69 and 84 feet in metres.
const FT_66: f64 = 20.1168;
const FT_69: f64 = 21.0312;
const FT_84: f64 = 25.6032;

pub const TWO: &str = "Two fences, 69 ft";
pub const TWO_LONG: &str = "Two fences, 84 ft";
pub const POLES: &str = "Two poles, 66 ft";
pub const GRID: &str = "Grid of three";
pub const BEND: &str = "Bending line, 24.5 m";
pub const FAN: &str = "Fan of four poles";
pub const SERPENTINE: &str = "Serpentine of three";
pub const EIGHT: &str = "Figure of eight";
pub const NARROW: &str = "Narrow fence, 21 m";
pub const COMBINATION: &str = "Fence and double, 17.5 m";
pub const COURSE: &str = "Small course of seven";

pub const PLANS: [Plan; 11] = [
    Plan {
        name: TWO,
        purpose: "The same line in the normal count, then in one more and one fewer.",
        level: "novice",
        fences: &[("1", "vertical", 70), ("2", "vertical", 70)],
        lines: &[straight("1", "2", FT_69, &[5, 6, 4])],
        places: &[(19.0, 10.0, 0.0), (40.03, 10.0, 0.0)],
    },
    Plan {
        name: TWO_LONG,
        purpose: "A longer line, on which the counts lie nearer to each other.",
        level: "novice",
        fences: &[("1", "vertical", 75), ("2", "oxer", 75)],
        lines: &[straight("1", "2", FT_84, &[6, 7, 5, 8])],
        places: &[],
    },
    Plan {
        name: POLES,
        purpose: "Counting without a jump.",
        level: "novice",
        fences: &[("1", "ground_pole", 0), ("2", "ground_pole", 0)],
        lines: &[straight("1", "2", FT_66, &[5, 6, 4, 7])],
        places: &[],
    },
    Plan {
        name: GRID,
        purpose: "Quick forelegs and a straight line; the distances do the work.",
        level: "usual",
        fences: &[("1", "cross_pole", 50), ("2", "vertical", 60), ("3", "oxer", 65)],
        lines: &[straight("1", "2", 5.6, &[1]), straight("2", "3", 6.6, &[1])],
        places: &[],
    },
    Plan {
        name: BEND,
        purpose: "The track decides the count: two strides of bend, then straight to the middle.",
        level: "usual",
        fences: &[("1", "vertical", 70), ("2", "vertical", 70)],
        lines: &[bending("1", "2", 24.5, &[6, 7, 5])],
        places: &[],
    },
    Plan {
        name: FAN,
        purpose: "One stride between poles, nearer to the middle or further out.",
        level: "novice",
        fences: &[("1", "ground_pole", 0), ("2", "ground_pole", 0), ("3", "ground_pole", 0), ("4", "ground_pole", 0)],
        lines: &[],
        places: &[],
    },
    Plan {
        name: SERPENTINE,
        purpose: "Land on the new lead and keep the rhythm through both turns.",
        level: "usual",
        fences: &[("1", "vertical", 65), ("2", "vertical", 65), ("3", "vertical", 65)],
        lines: &[bending("1", "2", 26.5, &[7, 6, 8]), bending("2", "3", 26.5, &[7, 6, 8])],
        places: &[],
    },
    Plan {
        name: EIGHT,
        purpose: "Two fences across the middle, out of a turn to either hand.",
        level: "usual",
        fences: &[("1", "vertical", 65), ("2", "cross_pole", 60)],
        lines: &[bending("1", "2", 31.5, &[8, 9, 7])],
        places: &[],
    },
    Plan {
        name: NARROW,
        purpose: "A narrow second fence: straight first, then the count.",
        level: "usual",
        fences: &[("1", "vertical", 70), ("2", "wall", 65)],
        lines: &[straight("1", "2", 21.0, &[5, 6])],
        places: &[],
    },
    Plan {
        name: COMBINATION,
        purpose: "A short line to a double of one stride.",
        level: "usual",
        fences: &[("1", "vertical", 70), ("2a", "vertical", 70), ("2b", "oxer", 70)],
        lines: &[straight("1", "2a", 17.5, &[4, 5]), straight("2a", "2b", 7.6, &[1])],
        places: &[],
    },
    Plan {
        name: COURSE,
        purpose: "Every question once, at an even pace.",
        level: "usual",
        fences: &[
            ("1", "vertical", 75),
            ("2", "oxer", 75),
            ("3", "vertical", 75),
            ("4", "vertical", 75),
            ("5", "oxer", 75),
            ("6", "vertical", 75),
            ("7", "vertical", 75),
        ],
        lines: &[
            straight("1", "2", FT_84, &[6, 7]),
            bending("3", "4", 24.5, &[6, 7, 5]),
            straight("6", "7", FT_69, &[5, 6]),
        ],
        places: &[],
    },
];

impl Plan {
    /// Jump efforts of one go.
    pub fn efforts(&self) -> u32 {
        count(self.fences.iter().filter(|(_, kind, _)| *kind != "ground_pole").count())
    }

    /// Whether it is of poles on the ground alone.
    pub fn poles_only(&self) -> bool {
        self.efforts() == 0
    }

    fn body(&self, arena: Option<&str>) -> Value {
        let placed = arena.filter(|_| !self.places.is_empty());
        let fences = self.fences.iter().enumerate().map(|(n, (label, kind, height))| {
            let mut fence = json!({"label": label, "kind": kind, "height_cm": height});
            if *kind == "oxer" {
                fence.set("spread_cm", json!(80));
            }
            if let Some(element) = label.strip_prefix('2').filter(|e| !e.is_empty()) {
                fence.set("combination", json!({"label": "2", "element": element}));
            }
            if let (Some(_), Some((x, y, heading))) = (placed, self.places.get(n)) {
                fence.set("position", json!({"x_m": x, "y_m": y, "heading_deg": heading}));
            }
            fence
        });
        let lines = self.lines.iter().map(|line| {
            let measured = if line.kind == "straight" { "inside_to_inside" } else { "centre_to_centre" };
            json!({"from": line.from, "to": line.to, "kind": line.kind, "distance_m": line.distance_m,
                "measured": measured, "asks": line.asks})
        });
        let (fences, lines): (Vec<Value>, Vec<Value>) = (fences.collect(), lines.collect());
        let revision = json!({"arena_id": placed, "level": self.level, "fences": fences, "lines": lines});
        json!({"name": self.name, "purpose": self.purpose, "revision": revision})
    }
}

impl Stretch {
    /// Whether its count is asked for: that of a grid or a combination is given by its distance.
    pub const fn schooled(&self) -> bool {
        self.asks.len() > 1
    }

    /// Its name in logs.
    pub fn name(&self) -> String {
        format!("{}-{}", self.from, self.to)
    }
}

/// The plan of that name.
pub fn plan(name: &str) -> Option<&'static Plan> {
    PLANS.iter().find(|plan| plan.name == name)
}

/// A small count.
pub fn count(n: usize) -> u32 {
    u32::try_from(n).unwrap_or(u32::MAX)
}

pub fn fill(barn: &mut Barn) -> Result<String, Failure> {
    for plan in &PLANS {
        let arena = barn.id(crate::places::INDOOR)?.to_owned();
        barn.make(plan.name, "exercises", &plan.body(Some(&arena)))?;
    }
    Ok(format!("{} exercises", PLANS.len()))
}
