//! Plans and setting sheets: what is on them, for whom, and that an exercise can be planned by the API alone.
use std::io::Write;
use std::process::{Command, Stdio};
use stridewright_tests::{Answer, Client, Value, World, json, on_both};

fn fence(label: &str, kind: &str, x: f64, y: f64, heading: f64) -> Value {
    let spread = matches!(kind, "oxer" | "triple_bar").then_some(100);
    json!({"label": label, "kind": kind, "height_cm": 100, "spread_cm": spread,
        "position": {"x_m": x, "y_m": y, "heading_deg": heading}})
}

/// A straight six: 72 ft between the inner faces, up the middle of the arena.
fn straight_six(arena: &Value) -> Value {
    let line = json!({"from": "1", "to": "2", "kind": "straight", "distance_m": 21.9456, "measured": "inside_to_inside",
        "asks": [5, 6]});
    let fences = [fence("1", "vertical", 28.0, 16.0, 0.0), fence("2", "oxer", 50.4456, 16.0, 0.0)];
    json!({"arena_id": arena, "level": "usual", "fences": fences, "lines": [line]})
}

fn ring(world: &World) -> String {
    world.make("arenas", json!({"name": "Big ring", "length_m": 80, "width_m": 40}))
}

fn exercise(world: &World, revision: Value) -> String {
    world.make("exercises", json!({"name": "Up the middle", "revision": revision}))
}

fn unplaced(mut revision: Value) -> Value {
    revision["arena_id"] = Value::Null;
    for fence in revision["fences"].as_array_mut().unwrap() {
        fence["position"] = Value::Null;
    }
    revision
}

fn session(world: &World, arena: &str, exercise: &str, more: Value) -> String {
    let mut session = json!({"kind": "jumping", "title": "Lesson", "arena_id": arena, "exercise_id": exercise,
        "trainer_id": world.trainer.person_id, "starts_at": "2027-03-04T17:00:00Z", "ends_at": "2027-03-04T18:00:00Z"});
    session.as_object_mut().unwrap().extend(more.as_object().unwrap().clone());
    world.make("sessions", session)
}

/// The text of a drawing, element by element.
fn texts(svg: &str) -> Vec<String> {
    let document = roxmltree::Document::parse(svg).unwrap_or_else(|e| panic!("{e}"));
    document.descendants().filter(|n| n.has_tag_name("text")).filter_map(|n| n.text()).map(str::to_owned).collect()
}

/// The text of a page, without its elements; entities as they stand.
fn words(html: &str) -> String {
    let body = html.split_once("<body>").unwrap().1;
    let mut text = String::new();
    let mut inside = false;
    for c in body.chars() {
        match c {
            '<' => inside = true,
            '>' => {
                inside = false;
                text.push(' ');
            }
            _ if inside => {}
            c => text.push(c),
        }
    }
    text.split_whitespace()
        .collect::<Vec<_>>()
        .join(" ")
        .replace("&#34;", "\"")
        .replace("&quot;", "\"")
        .replace("&#39;", "'")
}

/// What pdftotext (Poppler) reads; none where it is not installed, which is a failure where everything has to be there.
fn read_back(pdf: &[u8]) -> Option<String> {
    let begun =
        Command::new("pdftotext").args(["-layout", "-", "-"]).stdin(Stdio::piped()).stdout(Stdio::piped()).spawn();
    let Ok(mut reader) = begun else {
        assert!(std::env::var_os("CI").is_none(), "pdftotext is not installed");
        println!("skipped: no pdftotext found");
        return None;
    };
    reader.stdin.take().unwrap().write_all(pdf).unwrap();
    let read = reader.wait_with_output().unwrap();
    assert!(read.status.success());
    Some(String::from_utf8(read.stdout).unwrap())
}

fn plan(client: &Client, at: &str, query: &str) -> Answer {
    client.get(&format!("{at}/plan.svg{query}"))
}

on_both! {
    fn a_plan_is_a_drawing_with_its_words(world) {
        let arena = ring(world);
        let id = exercise(world, straight_six(&json!(arena)));
        let at = world.at(&format!("exercises/{id}/revisions/1"));
        let drawn = plan(&world.trainer, &at, "").expect(200);
        assert_eq!(drawn.header("content-type"), "image/svg+xml");
        assert!(drawn.header("content-security-policy").starts_with("default-src 'none'"));
        let (svg, texts) = (drawn.text(), texts(&drawn.text()));
        // the barn is metric: metres first, and counts five and six, as an unmeasured horse may be asked for
        for word in ["Up the middle", "Upright", "Oxer", "T", "Z", "5", "6", "pace mark"] {
            assert!(texts.iter().any(|text| text == word), "{word} in {texts:?}");
        }
        assert!(texts.iter().any(|text| text.contains("21.95 m (72'0\")")), "{texts:?}");
        assert!(svg.replace("&quot;", "\"").contains("1: Upright, 1.00 m (3'3\"), 28.00 m (91'10\") along"), "the same in words");
        // seven and a half strides of the canter that is asked first, 12 ft (the profile's own)
        assert!(texts.iter().any(|text| text.contains("27.43 m (90'0\") before 1")), "{texts:?}");
        // it comes again only where it changed
        let again = world.trainer.ask("GET", &format!("{at}/plan.svg")).header("If-None-Match", &drawn.etag()).send();
        assert!(again.expect(304).bytes.is_empty());
        // another horse, another canter
        let pony = plan(&world.trainer, &at, "?profile=small_pony").expect(200).text();
        assert!(pony != svg && !pony.contains("27.43 m"));
        // in feet first, with the words of an American barn
        let words = json!({"units": "imperial", "labels": "american"});
        world.trainer.change(world.at("").trim_end_matches('/'), words).expect(200);
        let american = plan(&world.trainer, &at, "").expect(200).text();
        assert!(american.contains("72'0&quot; (21.95 m)") && american.contains(">Vertical<"));
    }
}

on_both! {
    fn a_plan_is_for_a_horse_that_one_may_know(world) {
        let id = exercise(world, straight_six(&json!(ring(world))));
        let at = world.at(&format!("exercises/{id}/revisions/1"));
        let (mine, other) = (world.horse("Tamarisk"), world.horse("Ketch"));
        let rider = world.rider_of(&mine);
        plan(&rider.client, &at, &format!("?horse_id={mine}")).expect(200);
        for whose in [format!("?horse_id={other}"), format!("?horse_id={}", uuid())] {
            assert_eq!(plan(&rider.client, &at, &whose).refused(409, "at_odds").pointers(), ["?horse_id"]);
        }
        let both = format!("?horse_id={mine}&pairing_id={}", uuid());
        assert_eq!(plan(&rider.client, &at, &both).refused(409, "at_odds").pointers(), ["?pairing_id"]);
        let profile = format!("?horse_id={mine}&profile=horse");
        assert_eq!(plan(&rider.client, &at, &profile).refused(409, "at_odds").pointers(), ["?profile"]);
        plan(&rider.client, &at, "?horse_id=7").refused(422, "invalid_query");
        plan(&world.elsewhere().trainer.client, &at, "").refused(404, "not_found");
    }
}

fn uuid() -> &'static str {
    "01890a5d-ac96-774b-bcce-b302099a8057"
}

on_both! {
    fn a_sheet_says_where_everything_goes(world) {
        let arena = ring(world);
        let id = exercise(world, straight_six(&json!(arena)));
        let at = world.at(&format!("exercises/{id}/revisions/1/setting-sheet"));
        let page = world.trainer.get(&format!("{at}.html")).expect(200);
        assert_eq!(page.header("content-type"), "text/html; charset=utf-8");
        let said = words(&page.text());
        // the first fence's rail is 28 m along the long wall and 14.25 to 17.75 m off it (3.5 m wide); the oxer's front
        // rail stands half a metre before its centre, and is read to 5 cm from the nearer corner
        for row in ["T to U, long wall 1 Upright 28.00 91'10\" 17.75 58'2\" 28.00 91'10\" 14.25 46'10\"",
            "U to T, long wall 2 Oxer, front 30.05 98'8\" 17.75 58'2\" 30.05 98'8\" 14.25 46'10\""] {
            assert!(said.contains(row), "{row} in {said}");
        }
        for part in ["1 Upright from T to U 1.00 m (3'3\") 0.30 m out, take-off side 4 flat",
            "2 Oxer from T to U 1.00 m (3'3\") 1.00 m (3'3\") 0.30 m out, take-off side 4 flat in front, 2 safety back",
            "1 to 2 21.95 72'0\" 24.0 inside to inside 5 then 6",
            "3 pairs of wings, 7 poles, 8 flat cups, 2 safety cups",
            "1 to 2 21.95 m (72'0\"); front poles: left ends 21.95 m (72'0\"), right 21.95 m (72'0\")", "Empty cups off every wing.",
            "alone, 50.00 m (164'1\") tape", "Walk every distance before it is jumped."] {
            assert!(said.contains(part), "{part} in {said}");
        }
        let order = ["First", "Where the poles go", "Fences", "Lines", "Equipment", "Last check", "Walk every"];
        let places: Vec<usize> = order.iter().map(|part| said.find(part).unwrap()).collect();
        assert!(places.is_sorted(), "{places:?}");
        // two people, a short tape, and steps of one's own
        let two = words(&world.trainer.get(&format!("{at}.html?set_by=two&step_m=1.0")).expect(200).text());
        // the two corners from which the tapes cross best, each by the diagonal of its two sides: to 5 cm, to two inches
        let read = |across: f64| format!("{:.2}", (28.0f64.hypot(across) * 20.0).round() / 20.0);
        let row = format!("Z, T 1 Upright {} 117'4\" {} 108'10\"", read(40.0 - 17.75), read(17.75));
        assert!(two.contains(&row), "{row} in {two}");
        assert!(two.contains("21.9 inside to inside"), "{two}");
        let short = words(&world.trainer.get(&format!("{at}.html?tape_m=15")).expect(200).text());
        assert!(short.contains("This tape is too short for 1, 2"), "{short}");
        world.trainer.get(&format!("{at}.html?tape_m=0")).refused(422, "invalid_query");
    }
}

on_both! {
    fn the_sheet_of_a_session_says_when_and_what_changes(world) {
        let (arena, set) = (ring(world), world.fence_set());
        let id = exercise(world, straight_six(&json!(arena)));
        let entries: Vec<Value> = [("Tamarisk", 80), ("Ketch", 100), ("Pepperpot", 60)].into_iter().map(|(name, height)| {
            let rider = world.rider();
            let horse = world.horse(name);
            world.pair(&horse, &rider.person_id);
            json!({"horse_id": horse, "rider_id": rider.person_id, "planned_efforts": 4, "planned_height_cm": height})
        }).collect();
        let own = entries[0]["horse_id"].as_str().map(str::to_owned).unwrap();
        let more = json!({"fence_set_id": set, "entries": entries});
        let session = session(world, &arena, &id, more);
        let at = world.at(&format!("sessions/{session}/setting-sheet"));
        let said = words(&world.trainer.get(&format!("{at}.html")).expect(200).text());
        for part in ["Thursday 4 March, 17:00", "Ready by 16:45", "Big ring, 80 × 40 m",
            "1 Upright from T to U 0.60 m (2'0\")",
            "Before Tamarisk: 1, 2 up to at most 0.80 m (2'7\"). All distances stay.",
            "Before Ketch: 1, 2 up to at most 1.00 m (3'3\"). All distances stay.",
            "Top school set has all of it"] {
            assert!(said.contains(part), "{part} in {said}");
        }
        // an owner sees their own horse only, as everywhere
        let owner = world.owner_of(&own);
        let own = words(&owner.client.get(&format!("{at}.html")).expect(200).text());
        assert!(!own.contains("Ketch") && !own.contains("Pepperpot"), "{own}");
        world.elsewhere().trainer.get(&format!("{at}.html")).refused(404, "not_found");
        // elsewhere the exercise has no place, and without one there is nothing to set
        let hall = world.make("arenas", json!({"name": "The hall", "length_m": 40, "width_m": 20}));
        world.trainer.change(&world.at(&format!("sessions/{session}")), json!({"arena_id": hall})).expect(200);
        let moved = words(&world.trainer.get(&format!("{at}.html")).expect(200).text());
        assert!(moved.contains("It has no place here yet") && !moved.contains("Where the poles go"), "{moved}");
        world.trainer.change(&world.at(&format!("sessions/{session}")), json!({"exercise_id": null})).expect(200);
        world.trainer.get(&format!("{at}.html")).refused(409, "nothing_to_set");
        world.trainer.get(&format!("{at}.pdf")).refused(409, "nothing_to_set");
    }
}

on_both! {
    fn a_normal_stride_is_counted_by_a_card(world) {
        let at = world.at("normal-stride-card.html");
        let card = words(&world.trainer.get(&at).expect(200).text());
        // trainers' pages put the poles 66 ft apart for five strides of 12 ft, six feet to land and to take off; a stride
        // longer or shorter than by a fifth is nobody's (both by the model of strides)
        for part in ["Lay two poles on the ground, 20.12 m (66'0\") apart", "5 3.80 m (12'6\") 3.66 m (12'0\") 3.51 m (11'6\")",
            "7 count again count again count again", "About 10.97 m (36'0\") for three strides", "An approved helmet"] {
            assert!(card.contains(part), "{part} in {card}");
        }
        let pony = words(&world.rider().client.get(&format!("{at}?profile=small_pony")).expect(200).text());
        assert!(pony.contains("a small pony") && !pony.contains("20.12 m"), "{pony}");
        world.trainer.get(&format!("{at}?profile=mule")).refused(422, "invalid_query");
        world.elsewhere().trainer.get(&at).refused(404, "not_found");
    }
}

on_both! {
    fn what_has_no_place_is_set_by_its_distances(world) {
        let id = exercise(world, unplaced(straight_six(&json!(null))));
        let at = world.at(&format!("exercises/{id}/revisions/1"));
        plan(&world.trainer, &at, "").refused(409, "not_placed");
        let said = words(&world.trainer.get(&format!("{at}/setting-sheet.html")).expect(200).text());
        assert!(said.contains("1 to 2 21.95 72'0\" 24.0 inside to inside") && !said.contains("Where the poles go"), "{said}");
        world.trainer.get(&format!("{at}/setting-sheet.pdf")).expect(200);
    }
}

on_both! {
    fn an_exercise_is_planned_by_the_api_alone(world) {
        // chosen in the library, placed in the arena, kept, booked, and set from the printed sheet
        let arena = world.make("arenas", json!({"name": "The long hall", "length_m": 60, "width_m": 30}));
        let chosen = world.trainer.get("/api/v1/library?kind=bending_line&level=usual").expect(200);
        let key = chosen["exercises"][0]["key"].as_str().unwrap();
        let placed = world.trainer.get(&world.at(&format!("arenas/{arena}/library/{key}"))).expect(200);
        let name = "Bending, \"four & five\" <b>";
        let id = world.make("exercises", json!({"name": name, "revision": placed["revision"]}));
        let session = session(world, &arena, &id, json!({}));
        let at = world.at(&format!("sessions/{session}/setting-sheet"));
        let pdf = world.trainer.get(&format!("{at}.pdf")).expect(200);
        assert_eq!(pdf.header("content-type"), "application/pdf");
        assert!(pdf.bytes.starts_with(b"%PDF-"));
        let Some(read) = read_back(&pdf.bytes) else { return };
        for part in [name, "The long hall", "Thursday 4 March", "17:00", "Where the poles go", "square off", "Upright",
            "along the track", "middle", "Walk every distance before it is jumped."] {
            assert!(read.contains(part), "{part} in {read}");
        }
        // every reading of the page stands on the printed sheet too
        let page = words(&world.trainer.get(&format!("{at}.html")).expect(200).text());
        let readings: Vec<&str> = page.split_whitespace().filter(|word| word.ends_with('"') && word.contains('\'')).collect();
        assert!(readings.len() > 8);
        for reading in readings {
            assert!(read.contains(reading), "{reading} in {read}");
        }
        assert_eq!(page.matches("<b>").count(), 0, "a name is no element");
    }
}
