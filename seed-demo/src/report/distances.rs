//! A lesson's distance, and a line's stride card.
use super::text::{heading, items, number, text, whole, wrapped};
use crate::barn::Barn;
use crate::cast::{IMPROVING, STEADY};
use crate::client::Failure;
use crate::json::Fields;
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
    for distance in items(answer.of("distances")) {
        let who: Vec<&str> = items(distance.of("members"))
            .filter_map(|m| members.get(usize::try_from(whole(m)).ok()?).copied())
            .collect();
        println!("  {} for {}", text(distance.of("distance_text")), who.join(", "));
    }
    match whole(answer.of("rolls")) {
        0 => println!("  The fence stays where it is."),
        1 => println!("  The fence is rolled out once."),
        rolls => println!("  The fence is rolled out {rolls} times."),
    }
    for ride in items(answer.of("rides")) {
        let name = usize::try_from(whole(ride.of("member"))).ok().and_then(|m| members.get(m)).copied().unwrap_or("-");
        if ride.of("served") != true {
            println!("    {name:<14} no distance serves it");
            continue;
        }
        println!(
            "    {name:<14} {} strides of {}, {:+.0} % of its normal stride",
            whole(ride.of("count")),
            text(ride.of("stride_text")),
            number(ride.of("percent"))
        );
    }
    Ok(())
}

pub fn card(barn: &Barn) -> Result<(), Failure> {
    heading(
        "10. A line's stride card",
        "Every count that the horse's range holds on this line, what it asks, and where its canter is chosen.",
    );
    let body = json!({"distance": "84 ft", "first_height_cm": 80, "second_height_cm": 80,
        "horse_id": barn.id(STEADY)?, "room_before_m": 28.0, "straight_m": 45.0});
    let card = barn.trainer.post(&barn.at("lines"), &body)?.json;
    let words = format!(
        "{STEADY}, two fences at 80 cm, {}: {:.2} normal strides of {:.2} m after {:.2} m for landing and take-off.",
        text(card.of("distance_text")),
        number(card.of("real_count")),
        number(card.of("normal_stride_m")),
        number(card.of("allowance_m"))
    );
    wrapped("", &words);
    for count in items(card.of("counts")) {
        let natural = if count.of("natural") == true { ", the normal count" } else { "" };
        println!(
            "  {} strides of {} ({:+.0} %, band {} of 4{natural})",
            whole(count.of("count")),
            text(count.of("stride_text")),
            number(count.of("percent")),
            whole(count.of("band"))
        );
        let off =
            count.of("speed_off_percent").as_f64().map(|p| format!(", give or take {p:.0} %")).unwrap_or_default();
        let mark = count.of("pace_mark");
        let room = if mark.of("fits") == false { "; there is no room for it" } else { "" };
        let words = format!(
            "canter about {:.0} m/min{off}; choose it {} before the first fence{room}",
            number(count.of("speed_m_per_min")),
            text(mark.of("mark_text"))
        );
        wrapped("      ", &words);
        let gate = count.of("count_in_gate");
        wrapped(
            "      ",
            &format!("count it in on the flat between two markers {} apart", text(gate.of("between_markers_text"))),
        );
    }
    let between = card.of("between_counts");
    if between.of("finding").is_null() {
        wrapped("  ", "The distance meets a whole count closely enough.");
    } else {
        let words = format!(
            "Between two counts ({}): {} or {} would ride true.",
            text(between.of("weight")),
            text(between.of("shorter_text")),
            text(between.of("longer_text"))
        );
        wrapped("  ", &words);
    }
    let foot = card.of("on_foot");
    let words = format!(
        "On foot: {} steps of {:.2} m and {:.2} m more.",
        whole(foot.of("whole")),
        number(foot.of("step_m")),
        number(foot.of("left_over_m"))
    );
    wrapped("  ", &words);
    Ok(())
}
