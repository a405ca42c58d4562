//! As an American barn says it.
use super::Words;

pub const WORDS: Words = Words {
    language: "en-US",
    vertical: "Vertical",
    oxer: "Oxer",
    square_oxer: "Square oxer",
    triple_bar: "Triple bar",
    cross_pole: "Cross-rail",
    wall: "Wall",
    log: "Log",
    ditch: "Ditch",
    water: "Water",
    ground_pole: "Ground rail",
    pole: "rail",
    poles: "rails",
    wings: "pairs of standards",
    front_pole: "front rail",
    arena: "ring",
};
