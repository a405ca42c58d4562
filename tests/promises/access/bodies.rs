//! Bodies that are taken: the document's own example with ids of the barn in it, and what an example cannot know.
use super::operations::Operation;
use super::yard::{Place, Yard};
use stridewright_tests::barn::PASSWORD;
use stridewright_tests::{Value, json};

/// What a request is about.
#[derive(Clone, Copy)]
pub struct About<'a> {
    pub yard: &'a Yard,
    pub place: &'a Place,
    /// Whether a trainer asks: some bodies say more than others may.
    pub trainer: bool,
    /// A refresh token that nobody has used.
    pub refresh: &'a str,
}

/// The id of what a request makes: always the same, so that two answers can be compared.
pub fn made(n: usize) -> String {
    format!("01990000-0000-7000-8000-{n:012}")
}

/// The body, where the operation takes one; `line` is the operation's with its variant.
pub fn of(operation: &Operation, line: &str, about: About<'_>) -> Option<Value> {
    let mut body = operation.body.clone()?;
    let mut n = 0;
    fill(&mut body, line, about.place, &mut n);
    let own = particular(operation, line, about);
    if own.is_object() {
        merge(&mut body, own);
    }
    Some(body)
}

/// Puts ids of the place where the example has its own.
fn fill(value: &mut Value, line: &str, place: &Place, n: &mut usize) {
    match value {
        Value::Object(fields) => {
            for (name, value) in fields {
                if name == "id" {
                    *n += 1;
                    *value = json!(made(*n));
                } else if let (true, Some(id)) = (is_reference(name), place.id(line, name)) {
                    *value = json!(id);
                } else {
                    fill(value, line, place, n);
                }
            }
        }
        Value::Array(values) => values.iter_mut().for_each(|value| fill(value, line, place, n)),
        _ => {}
    }
}

/// Whether a field of this name holds the id of something else.
pub fn is_reference(name: &str) -> bool {
    name.ends_with("_id") || name == "guardian_of"
}

/// Sets fields; `null` leaves one out.
fn merge(body: &mut Value, own: Value) {
    let Value::Object(own) = own else { return };
    for (name, value) in own {
        match value {
            Value::Null => drop(body.as_object_mut().unwrap().remove(&name)),
            value => body[name] = value,
        }
    }
}

fn particular(operation: &Operation, line: &str, About { yard, place, trainer, refresh }: About<'_>) -> Value {
    let id = |name: &str| json!(place.id(line, name).unwrap_or_else(|| panic!("no {name} for {line}")));
    let source = ["trainer", "owner", "vet"].into_iter().find(|source| line.ends_with(&format!("[{source}]")));
    let jumped = json!([{"fence": "1", "outcome": "jumped"}, {"fence": "2", "outcome": "jumped"}]);
    let pair = |efforts: u8| {
        json!({"id": made(2), "horse_id": id("horse_id"), "rider_id": id("rider_id"),
        "planned_efforts": efforts, "planned_height_cm": 80})
    };
    match operation.name.as_str() {
        "sign_in_sign_up" if line.contains('[') => {
            json!({"email": "newcomer@example.org", "barn": null, "invitation": yard.invitation})
        }
        "sign_in_sign_up" => json!({"email": "newcomer@example.org", "invitation": null}),
        "sign_in_create" => json!({"email": yard.rider.email, "password": PASSWORD}),
        "sign_in_refresh" => json!({"refresh_token": refresh}),
        "sign_in_join" => json!({"invitation": yard.invitation}),
        "sign_in_change_password" => json!({"old_password": PASSWORD, "new_password": "five-strides-to-the-oxer"}),
        "barns_change" => json!({"time_zone": null}),
        "arenas_create" | "arenas_change" => json!({"length_m": 60, "width_m": 25, "obstructions": null,
            "hours": [{"weekday": "monday", "opens": "06:00", "closes": "22:00"}], "letters": null}),
        "exercises_create" => json!({"revision": revision(&id("arena_id"))}),
        "exercises_create_revision" => revision(&id("arena_id")),
        "people_create" => json!({"birth_date": "2001-06-04", "minor": null, "step_m": 0.9, "roles": ["rider"]}),
        "people_change" if trainer && line.contains('[') => {
            json!({"birth_date": null, "minor": null, "step_m": 0.9, "roles": null})
        }
        "people_change" if trainer => json!({"birth_date": null, "minor": null, "step_m": 0.9, "roles": ["rider"]}),
        "people_change" => json!({"birth_date": null, "minor": null, "step_m": 0.9, "roles": null}),
        "invitations_create" => json!({"guardian_of": id("guardian_of"), "person_id": null, "roles": []}),
        "horses_create" | "horses_change" => {
            json!({"normal_stride": {"measured_on": "2026-05-20", "source": "counted", "stride_m": 3.6}})
        }
        "horses_create_ownership" => json!({"person_id": id("other_owner_id")}),
        "horses_create_pairing" => json!({"rider_id": id("other_rider_id")}),
        "workload_create_limit" => json!({"source": source.expect("whose limit")}),
        "workload_change_limit" => json!({"clear_days": null, "value": 50}),
        "workload_create_horse_stand_down" => {
            json!({"source": source.expect("whose stand-down"), "from_date": "2026-11-01", "free_from_date": "2026-11-09"})
        }
        "workload_create_rider_stand_down" => {
            json!({"source": "vet", "from_date": "2026-11-01", "free_from_date": "2026-11-09"})
        }
        "workload_change_horse_stand_down" | "workload_change_rider_stand_down" => {
            json!({"scope": null, "from_date": null, "free_from_date": "2026-11-09"}) // no weaker than it is
        }
        "workload_clear_horse_stand_down" | "workload_clear_rider_stand_down" => json!({"cleared_on": "2026-05-15"}),
        "outings_create" => json!({"id": made(1), "rider_id": id("rider_id"), "note": "Away"}),
        "outings_change" => json!({"done": {"efforts": 12, "height_cm": 80}}),
        "sessions_create" => json!({"ends_at": "2026-06-04T17:00:00Z", "places": null, "revision": null,
            "confirm": null, "adult_id": null, "entries": [pair(10)]}),
        "sessions_change" => {
            json!({"starts_at": "2026-06-04T16:00:00Z", "ends_at": "2026-06-04T17:00:00Z", "status": null,
            "override_reason": null, "places": 1, "revision": null, "adult_id": null})
        }
        "sessions_create_entry" => {
            json!({"override_reason": null, "confirm": null, "planned_efforts": 10, "planned_height_cm": 80, "planned_pole_passes": null,
                "asks": null})
        }
        "sessions_change_entry" if line.contains("[cancelled]") => {
            json!({"horse_id": null, "rider_id": null, "closing": null, "planned_efforts": null, "planned_height_cm": null,
                "planned_pole_passes": null, "override_reason": null, "asks": null, "status": "cancelled"})
        }
        "sessions_change_entry" => json!({"closing": null, "planned_efforts": 12, "planned_height_cm": 75,
            "planned_pole_passes": null, "override_reason": null, "reason": null, "status": null}),
        "rail_links_create" => json!({"expires_at": "2026-06-01T12:00:00Z"}),
        "rides_create" | "rides_correct" => json!({"go": 3, "kind": null, "fences": jumped, "efforts": null,
            "pole_passes": null, "height_cm": null, "withdrawn": null, "at": "2026-06-01T07:30:00Z",
            "attempts": [{"line": "1-2", "asked": 5, "ridden": 6}]}),
        "rides_create_batch" => {
            json!({"rides": [{"id": made(1), "entry_id": id("entry_id"), "go": 4, "fences": jumped}]})
        }
        "evaluations_line" => json!({"step_m": 0.9, "horse": {"profile": "horse"}}),
        "evaluations_barn_line" if line.contains("[a pair]") => {
            json!({"step_m": 0.9, "horse_id": null, "pairing_id": id("pairing_id")})
        }
        "evaluations_barn_line" => json!({"step_m": 0.9}),
        "evaluations_barn_evaluate" if line.contains("[a pair]") => {
            json!({"horse_id": null, "pairing_id": id("pairing_id")})
        }
        "evaluations_group" => json!({"distance_min_m": 18, "distance_max_m": 24, "wanted_m": null,
            "members": [{"label": "Bay", "horse": {"profile": "horse"}}]}),
        "evaluations_barn_group" => json!({"distance_min_m": 18, "distance_max_m": 24, "wanted_m": null,
            "members": [if line.contains("[a pair]") { json!({"pairing_id": id("pairing_id")}) } else { json!({"horse_id": id("horse_id")}) }]}),
        _ => Value::Null,
    }
}

fn revision(arena: &Value) -> Value {
    json!({"arena_id": arena, "level": "novice",
        "fences": [{"label": "1", "kind": "vertical", "height_cm": 80, "position": {"x_m": 15.0, "y_m": 12.5, "heading_deg": 90.0}},
            {"label": "2", "kind": "vertical", "height_cm": 80, "position": {"x_m": 35.1168, "y_m": 12.5, "heading_deg": 90.0}}],
        "lines": [{"label": "1-2", "from": "1", "to": "2", "kind": "straight", "distance_m": 20.1168,
            "measured": "inside_to_inside", "asks": [5]}]})
}
