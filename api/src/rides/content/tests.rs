#![allow(clippy::unwrap_used, clippy::indexing_slicing, reason = "a test that cannot go on must stop")]
use super::*;
use crate::problem::{FieldError, Problem};
use crate::wire::input::Input;
use serde_json::{Value, json};

const NOW: &str = "2026-06-01T08:00:00Z";

fn read_with(known: &Known, body: Value) -> Result<Content, Problem> {
    let mut errors = Vec::<FieldError>::new();
    let ride = RideIn::read(body, "", &mut errors);
    assert!(errors.is_empty(), "{errors:?}");
    let mut faults = Faults::default();
    let content = read(ride.unwrap(), known, NOW.parse().unwrap(), "", &mut faults);
    faults.refuse().map(|()| content.unwrap())
}

fn pointers(refused: Result<Content, Problem>) -> Vec<String> {
    let problem = serde_json::to_value(refused.unwrap_err()).unwrap();
    problem["errors"].as_array().unwrap().iter().map(|e| e["pointer"].as_str().unwrap().to_owned()).collect()
}

/// Two fences 21 m apart, 90 and 100 cm, and poles on the ground.
fn with_layout() -> Known {
    let layout: Layout = serde_json::from_value(json!({
        "fences": [
            {"label": "1", "kind": "vertical", "height_cm": 90},
            {"label": "2", "kind": "oxer", "height_cm": 100},
            {"label": "p", "kind": "ground_pole", "height_cm": 0},
            {"label": "q", "kind": "ground_pole", "height_cm": 0}
        ],
        "lines": [
            {"label": "long side", "from": "1", "to": "2", "kind": "straight", "distance_m": 21.0,
             "measured": "inside_to_inside"},
            {"from": "p", "to": "q", "kind": "with_circle", "distance_m": 17.5, "measured": "inside_to_inside"}
        ]
    }))
    .unwrap();
    Known { layout: Some(layout), stored: None, ahead: false }
}

fn fence(label: &str, outcome: &str) -> Value {
    json!({"fence": label, "outcome": outcome})
}

#[test]
fn a_go_counts_fences_left_up_or_not_and_poles_apart() {
    let pole = json!({"fence": "p", "outcome": "jumped", "ground_pole": true});
    let fences = json!([fence("1", "jumped"), fence("2", "rail"), fence("3", "run_out"), pole, fence("4", "fall")]);
    let content = read_with(&Known::default(), json!({"fences": fences, "pole_passes": 4})).unwrap();
    assert_eq!((content.efforts, content.pole_passes), (2, 5));
    let refused = json!({"fences": [fence("1", "refusal"), fence("1", "refusal")]});
    assert_eq!(read_with(&Known::default(), refused).unwrap().efforts, 0);
}

#[test]
fn nothing_follows_a_fall() {
    let fences = json!([fence("1", "fall"), fence("2", "jumped")]);
    assert_eq!(pointers(read_with(&Known::default(), json!({ "fences": fences }))), ["/fences/1"]);
    let attempt = |fault| json!({"line": "long side", "fault": fault});
    let attempts = json!([attempt("fall"), attempt("rail")]);
    assert_eq!(pointers(read_with(&with_layout(), json!({ "attempts": attempts }))), ["/attempts/1"]);
}

#[test]
fn measures_left_out_stand_as_in_the_exercise() {
    let known = with_layout();
    let fences = json!([fence("1", "jumped"), fence("2", "jumped")]);
    for line in ["long side", "1-2"] {
        let attempt = json!({"line": line, "ridden": 5});
        let content = read_with(&known, json!({"fences": fences, "attempts": [attempt]})).unwrap();
        let one = &content.attempts[0];
        assert_eq!(
            (one.distance_m, one.first_height_cm.get(), one.second_height_cm.get()),
            (Metres::nearest(21.0), 90, 100)
        );
        assert!(!one.poles && !one.circle && !one.combination);
        assert_eq!(content.height_cm.map(Centimetres::get), Some(100));
    }
    let poles = read_with(&known, json!({"attempts": [{"line": "p-q", "ridden": 4}]})).unwrap();
    assert!(poles.attempts[0].poles && poles.attempts[0].circle);
    assert_eq!((poles.efforts, poles.height_cm), (0, None));
}

#[test]
fn heights_as_ridden_replace_those_of_the_exercise() {
    let lowered =
        json!({"line": "long side", "ridden": 6, "first_height_cm": 60, "second_height_cm": 70, "distance_m": 21.5});
    let body = json!({"fences": [fence("1", "jumped"), fence("2", "jumped")], "attempts": [lowered]});
    let content = read_with(&with_layout(), body).unwrap();
    assert_eq!(content.height_cm.map(Centimetres::get), Some(70));
    assert_eq!(content.attempts[0].distance_m, Metres::nearest(21.5));
}

#[test]
fn a_line_that_nobody_knows_tells_its_measures() {
    let body =
        json!({"fences": [fence("1", "jumped")], "attempts": [{"line": "9-10", "ridden": 4, "second_height_cm": 80}]});
    let expected = ["/attempts/0/distance_m", "/attempts/0/first_height_cm"];
    assert_eq!(pointers(read_with(&with_layout(), body)), expected);
    let (zero, mut errors) = (json!({"attempts": [{"line": "9-10", "distance_m": 0, "poles": true}]}), Vec::new());
    let _ = RideIn::read(zero, "", &mut errors);
    assert_eq!(errors.iter().map(|e: &FieldError| e.pointer.as_str()).collect::<Vec<_>>(), ["/attempts/0/distance_m"]);
}

#[test]
fn a_completed_line_without_its_fences_would_lose_efforts() {
    let attempt = json!({"line": "long side", "ridden": 5});
    assert_eq!(pointers(read_with(&with_layout(), json!({ "attempts": [attempt] }))), ["/fences"]);
}

#[test]
fn each_kind_has_its_own_fields() {
    let known = Known::default();
    let one = read_with(&known, json!({"kind": "extra_fence", "height_cm": 80})).unwrap();
    assert_eq!((one.efforts, one.height_cm.map(Centimetres::get)), (1, Some(80)));
    let about = read_with(&known, json!({"kind": "about", "efforts": 12, "height_cm": 90})).unwrap();
    assert_eq!(about.efforts, 12);
    assert_eq!(pointers(read_with(&known, json!({"kind": "about"}))), ["/efforts"]);
    assert_eq!(pointers(read_with(&known, json!({"efforts": 3, "pole_passes": 1}))), ["/efforts"]);
    let misplaced = json!({"kind": "extra_fence", "go": 2, "fences": [], "attempts": []});
    assert_eq!(pointers(read_with(&known, misplaced)), ["/go", "/fences", "/attempts"]);
}

#[test]
fn only_a_very_wrong_clock_is_refused() {
    let at = |at| json!({"at": at, "fences": [fence("1", "jumped")]});
    assert!(read_with(&Known::default(), at("2026-06-02T08:00:00Z")).is_ok());
    assert_eq!(pointers(read_with(&Known::default(), at("2026-06-02T08:00:01Z"))), ["/at"]);
}

#[test]
fn a_session_ahead_says_nothing_of_when_it_was_ridden() {
    let ahead = Known { ahead: true, ..Known::default() };
    assert_eq!(pointers(read_with(&ahead, json!({"fences": [fence("1", "jumped")]}))), ["/at"]);
    assert!(read_with(&ahead, json!({"at": "2026-06-01T07:00:00Z", "fences": [fence("1", "jumped")]})).is_ok());
}

#[test]
fn a_repetition_means_what_it_meant_when_it_was_stored() {
    let body = || json!({"fences": [fence("1", "jumped"), fence("2", "jumped")], "attempts": [{"line": "long side", "ridden": 5}]});
    let then = read_with(&with_layout(), body()).unwrap();
    // the exercise of the session was taken away meanwhile
    let known = Known { layout: None, stored: Some(then.clone()), ahead: true };
    assert_eq!(read_with(&known, body()).unwrap(), then);
}

#[test]
fn what_was_stored_before_a_rule_is_answered_as_it_was() {
    let odd = || {
        json!({"fences": [], "attempts": [{"line": "old", "ridden": 5, "distance_m": 210.0, "fault": "break",
        "first_height_cm": 0, "second_height_cm": 0, "poles": true}]})
    };
    assert_eq!(pointers(read_with(&Known::default(), odd())), ["/attempts/0/distance_m"]);
    let mut then = read_with(&Known::default(), json!({"pole_passes": 1})).unwrap();
    then.pole_passes = 0;
    let known = Known { stored: Some(then), ..Known::default() };
    assert!(read_with(&known, odd()).is_ok() && read_with(&known, json!({})).is_ok());
}

#[test]
fn time_and_note_do_not_make_another_go() {
    let go = |outcome: &str, at, note| {
        read_with(&Known::default(), json!({"fences": [fence("1", outcome)], "at": at, "note": note})).unwrap()
    };
    let first = go("jumped", "2026-06-01T07:00:00Z", "soft");
    assert!(first.same_jumps(&go("jumped", "2026-06-01T07:01:00Z", "softly")));
    assert!(!first.same_jumps(&go("rail", "2026-06-01T07:00:00Z", "soft")));
    assert_ne!(first, go("jumped", "2026-06-01T07:00:00Z", "softly"));
}
