//! Arenas and fence sets.
use crate::barn::Barn;
use crate::client::Failure;
use serde_json::{Value, json};

pub const INDOOR: &str = "The Long Hall";
pub const OUTDOOR: &str = "The Walnut Arena";
pub const SETS: [&str; 3] = ["Striped set", "Plain set", "Pony set"];

fn hours(opens: &str, closes: &str) -> Value {
    let days = ["monday", "tuesday", "wednesday", "thursday", "friday", "saturday", "sunday"];
    days.iter().map(|day| json!({"weekday": day, "opens": opens, "closes": closes})).collect()
}

fn items(wings: u32, poles: u32, planks: u32, fillers: u32, cups: u32, safety_cups: u32) -> Value {
    json!({"wings_pairs": wings, "poles": poles, "planks": planks, "fillers": fillers, "cups": cups,
        "safety_cups": safety_cups})
}

pub fn fill(barn: &mut Barn) -> Result<String, Failure> {
    let indoor = json!({"name": INDOOR, "length_m": 60.0, "width_m": 20.0, "indoor": true, "lights": true,
        "footing": "sand_and_fibre", "letters": "20x60", "hours": hours("07:00", "21:30")});
    let walnut = json!([{"name": "The walnut tree", "x_m": 66.0, "y_m": 0.0, "length_m": 3.0, "width_m": 3.0}]);
    let outdoor = json!({"name": OUTDOOR, "length_m": 70.0, "width_m": 45.0, "indoor": false, "lights": true,
        "footing": "sand", "hours": hours("08:00", "20:00"), "obstructions": walnut});
    barn.make(INDOOR, "arenas", &indoor)?;
    barn.make(OUTDOOR, "arenas", &outdoor)?;
    let sets = [items(12, 48, 6, 4, 96, 16), items(10, 36, 4, 2, 72, 10), items(8, 28, 2, 4, 56, 8)];
    for (name, items) in SETS.iter().zip(sets) {
        barn.make(name, "fence-sets", &json!({"name": name, "items": items}))?;
    }
    Ok("2 arenas, 3 fence sets".to_owned())
}
