//! The OpenAPI document: the one checked in is the one served, it says everything, and its examples fit.
mod lint;
mod schemas;

use lint::faults;
use std::fs;
use std::path::Path;
use stridewright_api::routes::list;
use stridewright_tests::{Value, json, on_both};

fn document() -> Value {
    list::all().document()
}

#[test]
fn is_checked_in() {
    let path = Path::new(env!("CARGO_MANIFEST_DIR")).join("../openapi/stridewright.json");
    let stored = fs::read_to_string(&path).unwrap_or_default();
    let made = format!("{}\n", serde_json::to_string_pretty(&document()).unwrap());
    let differs = stored.lines().zip(made.lines()).position(|(a, b)| a != b);
    assert!(
        stored == made,
        "openapi/stridewright.json is not what the program says (first difference in line {}). Rewrite it:\n\
         cargo run -p stridewright-api -- openapi > openapi/stridewright.json",
        differs.map_or(stored.lines().count().min(made.lines().count()), |n| n) + 1
    );
}

#[test]
fn nothing_is_registered_twice() {
    assert_eq!(list::all().clashes, Vec::<String>::new());
}

#[test]
fn what_stands_in_it_as_several_is_there() {
    assert_eq!(list::all().unknown_alternatives(), Vec::<String>::new());
}

#[test]
fn says_everything() {
    let faults = faults(&document());
    assert!(faults.is_empty(), "{} faults of the document:\n{}", faults.len(), faults.join("\n"));
}

/// The lint is worth something only if it sees what is wrong.
#[test]
fn the_lint_sees_what_is_wrong() {
    let horses = "/paths/~1api~1v1~1barns~1{barn_id}~1horses";
    let post = format!("{horses}/post");
    let cases: [(String, Value, &str); 16] = [
        (format!("{post}/summary"), json!(""), "no summary"),
        (format!("{post}/description"), Value::Null, "no description"),
        (format!("{post}/operationId"), json!("horses_list"), "operationId"),
        (format!("{post}/tags"), json!([]), "no tags"),
        (format!("{post}/x-access"), Value::Null, "no x-access"),
        (format!("{post}/security"), json!([{"basic": []}]), "security scheme"),
        (format!("{post}/parameters"), json!([]), "{barn_id}"),
        (format!("{post}/requestBody/content/application~1json/example"), Value::Null, "no example"),
        (format!("{post}/requestBody/content/application~1json/example/surname"), json!("x"), "surname"),
        (format!("{post}/responses/201/description"), json!(""), "no description"),
        (format!("{post}/responses/201/content/application~1json/example/name"), json!(7), "example"),
        ("/components/schemas/HorseIn/additionalProperties".to_owned(), json!(true), "HorseIn"),
        ("/components/schemas/HorseOut/properties/name".to_owned(), json!({"type": "string"}), "maxLength"),
        ("/components/schemas/HorseOut/properties/name".to_owned(), json!({"type": "integer"}), "minimum"),
        (
            "/components/schemas/HorseOut/properties/name".to_owned(),
            json!({"type": "array", "items": true}),
            "maxItems",
        ),
        ("/components/schemas/HorseOut/properties/name".to_owned(), json!({"$ref": "#/components/schemas/No"}), "No"),
    ];
    for (pointer, value, expected) in cases {
        let mut broken = document();
        let (parent, key) = pointer.rsplit_once('/').unwrap();
        broken.pointer_mut(parent).unwrap_or_else(|| panic!("{parent}"))[key.replace("~1", "/").as_str()] = value;
        let found = faults(&broken);
        assert!(found.iter().any(|fault| fault.contains(expected)), "{pointer}: {found:?}");
    }
}

on_both! {
    fn is_served(world) {
        let served = world.anonymous().get("/api/v1/openapi.json").expect(200);
        assert_eq!((served.json.clone(), served.header("content-type")), (document(), "application/json".to_owned()));
    }

    fn is_served_as_a_page_that_loads_nothing_from_elsewhere(world) {
        let anonymous = world.anonymous();
        let page = anonymous.get("/api/v1/docs").expect(200);
        let policy = page.header("content-security-policy");
        assert!(policy.contains("script-src 'self';") && !policy.contains("http"), "{policy}");
        let text = page.text();
        assert!(!text.contains("//"), "an address outside: {text}");
        let loaded: Vec<&str> = ["src=\"", "href=\""]
            .iter()
            .flat_map(|mark| text.split(mark).skip(1).map(|rest| rest.split('"').next().unwrap()))
            .filter(|address| !address.starts_with("data:"))
            .collect();
        assert_eq!(loaded.len(), 4, "{loaded:?}");
        for address in loaded {
            let file = anonymous.get(address).expect(200);
            assert!(!file.bytes.is_empty());
            let kind = file.header("content-type");
            assert_eq!(kind.contains("javascript"), address.ends_with(".js"), "{address}: {kind}");
        }
        let start = anonymous.get("/api/v1/docs/start.js").expect(200).text();
        assert!(!start.contains("//") && start.contains("url: '/api/v1/openapi.json'"), "{start}");
        anonymous.get("/api/v1/docs/index.html").refused(404, "not_found");
    }
}
