//! As a British yard says it.
use super::Words;

pub const WORDS: Words = Words {
    language: "en-GB",
    vertical: "Upright",
    oxer: "Oxer",
    square_oxer: "Square oxer",
    triple_bar: "Triple bar",
    cross_pole: "Cross-pole",
    wall: "Wall",
    log: "Log",
    ditch: "Ditch",
    water: "Water",
    ground_pole: "Ground pole",
    pole: "pole",
    poles: "poles",
    wings: "pairs of wings",
    front_pole: "front pole",
    arena: "arena",
};
