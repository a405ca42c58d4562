//! A lesson's distance, and a line's stride card.
use super::text::{heading, items, number, text, whole, wrapped};
use crate::barn::Barn;
use crate::cast::{IMPROVING, STEADY};
use crate::client::Failure;
use serde_json::{Value, json};

pub fn lesson(barn: &Barn) -> Result<(), Failure> {
    heading(
        "8. One distance for a lesson of four",
        "The distance that gives every horse and pony a count it can ride, or the fewest times the fence is rolled out.",
    );
    let members = [STEADY, IMPROVING, "Damson", "Button Moss"];
    let ids: Result<Vec<Value>, Failure> = members.iter().map(|m| Ok(json!({"horse_id": barn.id(m)?}))).collect();
    let body = json!({"members": ids?, "distance_min_m": 17.0, "distance_max_m": 26.0, "wanted_m": 21.0,
        "first_height_cm": 50, "second_height_cm": 50});
    let answer = barn.trainer.post(&barn.at("group-distances"), &body)?.json;
    println!("Two fences at 50 cm, anything from 17 to 26 m, near 21 m if possible:");
    for distance in items(&answer["distances"]) {
        let who: Vec<&str> =
            items(&distance["members"]).filter_map(|m| members.get(usize::try_from(whole(m)).ok()?).copied()).collect();
        println!("  {} for {}", text(&distance["distance_text"]), who.join(", "));
    }
    println!("  The fence is rolled out {} times.", whole(&answer["rolls"]));
    for ride in items(&answer["rides"]) {
        let name = usize::try_from(whole(&ride["member"])).ok().and_then(|m| members.get(m)).copied().unwrap_or("-");
        if ride["served"] != true {
            println!("    {name:<14} no distance serves it");
            continue;
        }
        println!(
            "    {name:<14} {} strides of {}, {:+.0} % of its normal stride",
            whole(&ride["count"]),
            text(&ride["stride_text"]),
            number(&ride["percent"])
        );
    }
    Ok(())
}

pub fn card(barn: &Barn) -> Result<(), Failure> {
    heading(
        "10. A line's stride card",
        "Every count that the horse's range holds on this line, what it asks, and where its canter is chosen.",
    );
    let body = json!({"distance": "69 ft", "first_height_cm": 80, "second_height_cm": 80,
        "horse_id": barn.id(STEADY)?, "room_before_m": 18.0, "straight_m": 45.0});
    let card = barn.trainer.post(&barn.at("lines"), &body)?.json;
    let words = format!(
        "{STEADY}, two fences at 80 cm, {}: {:.2} normal strides of {:.2} m after {:.2} m for landing and take-off.",
        text(&card["distance_text"]),
        number(&card["real_count"]),
        number(&card["normal_stride_m"]),
        number(&card["allowance_m"])
    );
    wrapped("", &words);
    for count in items(&card["counts"]) {
        let natural = if count["natural"] == true { ", the normal count" } else { "" };
        println!(
            "  {} strides of {} ({:+.0} %, band {} of 4{natural})",
            whole(&count["count"]),
            text(&count["stride_text"]),
            number(&count["percent"]),
            whole(&count["band"])
        );
        let off = count["speed_off_percent"].as_f64().map(|p| format!(", give or take {p:.0} %")).unwrap_or_default();
        let mark = &count["pace_mark"];
        let room = if mark["fits"] == false { "; there is no room for it" } else { "" };
        let words = format!(
            "canter about {:.0} m/min{off}; choose it {} before the first fence{room}",
            number(&count["speed_m_per_min"]),
            text(&mark["mark_text"])
        );
        wrapped("      ", &words);
        let gate = &count["count_in_gate"];
        wrapped(
            "      ",
            &format!("count it in on the flat between two markers {} apart", text(&gate["between_markers_text"])),
        );
    }
    let between = &card["between_counts"];
    if between["finding"].is_null() {
        wrapped("  ", "The distance meets a whole count closely enough.");
    } else {
        let words = format!(
            "Between two counts ({}): {} or {} would ride true.",
            text(&between["weight"]),
            text(&between["shorter_text"]),
            text(&between["longer_text"])
        );
        wrapped("  ", &words);
    }
    let foot = &card["on_foot"];
    let words = format!(
        "On foot: {} steps of {:.2} m and {:.2} m more.",
        whole(&foot["whole"]),
        number(&foot["step_m"]),
        number(&foot["left_over_m"])
    );
    wrapped("  ", &words);
    Ok(())
}
