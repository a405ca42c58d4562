//! What the ledger says held against what the program shows: nothing lost, nothing twice, nothing that nobody asked for.
use super::ledger::Intent;
use super::writers::TOGETHER;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_tests::{Client, Value};

/// Every page of a list.
pub fn every(client: &Client, path: &str) -> Vec<Value> {
    let (mut items, mut cursor) = (Vec::new(), String::new());
    loop {
        let page = client.get(&format!("{path}?limit=200{cursor}")).expect(200);
        items.extend(page.items().iter().cloned());
        match page["next_cursor"].as_str() {
            Some(next) => cursor = format!("&cursor={next}"),
            None => return items,
        }
    }
}

#[derive(Debug, Default, PartialEq, Eq)]
pub struct Findings {
    pub lost: Vec<String>,
    pub phantom: Vec<String>,
    pub doubled: Vec<String>,
    /// There in part.
    pub torn: Vec<String>,
}

fn text(value: &Value, field: &str) -> String {
    value[field].as_str().unwrap_or_default().to_owned()
}

/// All that the barn shows, by the key that its rows carry.
struct Shown {
    horses: BTreeMap<String, Vec<Value>>,
    sessions: BTreeMap<String, Vec<Value>>,
    rides: BTreeMap<String, Vec<Value>>,
}

impl Shown {
    fn read(client: &Client, barn: &str) -> Self {
        let by = |things: &str, field: &str| {
            let mut found: BTreeMap<String, Vec<Value>> = BTreeMap::new();
            for item in every(client, &format!("{barn}/{things}")) {
                found.entry(text(&item, field)).or_default().push(item);
            }
            found
        };
        Self { horses: by("horses", "name"), sessions: by("sessions", "title"), rides: by("rides", "note") }
    }
}

/// Holds the barn against the ledger, in which everything has been acknowledged by now.
pub fn hold(intents: &[Intent], client: &Client, barn: &str) -> Findings {
    let shown = Shown::read(client, barn);
    let mut findings = Findings::default();
    let removed: BTreeSet<&String> = intents.iter().filter(|i| i.kind == "removal").map(|i| &i.of).collect();
    let mut expected: BTreeMap<&str, BTreeSet<&String>> = BTreeMap::new();
    let mut last_note: BTreeMap<&String, &String> = BTreeMap::new();
    for intent in intents {
        let (key, ids) = (&intent.request.key, intent.ids.as_ref().expect("everything is acknowledged"));
        let (things, rows) = match intent.kind.as_str() {
            "horse" if removed.contains(&ids[0]) => {
                if shown.horses.contains_key(key) {
                    findings.lost.push(format!("the removal of horse {key}"));
                }
                expected.entry("horses").or_default().insert(key);
                continue;
            }
            "horse" => ("horses", shown.horses.get(key)),
            "session" => ("sessions", shown.sessions.get(key)),
            "batch" | "correction" => ("rides", shown.rides.get(key)),
            "note" => {
                last_note.insert(&intent.of, key);
                continue;
            }
            "removal" => continue,
            other => panic!("{other}"),
        };
        expected.entry(things).or_default().insert(key);
        let rows = rows.map(Vec::as_slice).unwrap_or_default();
        let wanted = if intent.kind == "batch" { TOGETHER } else { 1 };
        let what = format!("{} {key}: {} of {wanted}", intent.kind, rows.len());
        match rows.len() {
            0 => findings.lost.push(what),
            n if n > wanted => findings.doubled.push(what),
            n if n < wanted => findings.torn.push(what),
            _ => {
                let found: BTreeSet<String> = rows.iter().map(|row| text(row, "id")).collect();
                let acknowledged = if intent.kind == "session" { &ids[..1] } else { &ids[..] };
                if found != acknowledged.iter().cloned().collect() {
                    findings.lost.push(format!("{what}, under other ids"));
                }
                if intent.kind == "session" && rows[0]["entries"].as_array().map(Vec::len) != Some(TOGETHER) {
                    findings.torn.push(format!("{what}: {}", rows[0]["entries"]));
                }
                if intent.kind == "correction" && text(&rows[0], "supersedes") != intent.of {
                    findings.torn.push(format!("{what} names {}", rows[0]["supersedes"]));
                }
            }
        }
    }
    let standing: BTreeMap<String, &Value> =
        shown.rides.values().flatten().map(|r| (text(r, "id"), &r["standing"])).collect();
    for intent in intents.iter().filter(|i| i.kind == "correction") {
        if standing.get(&intent.of).is_none_or(|standing| *standing != "superseded") {
            findings.torn.push(format!("corrected and still {:?}: {}", standing.get(&intent.of), intent.of));
        }
    }
    let sessions: BTreeMap<String, &Value> =
        shown.sessions.values().flatten().map(|s| (text(s, "id"), &s["note"])).collect();
    for (session, note) in last_note {
        if sessions.get(session).is_none_or(|found| *found != note.as_str()) {
            findings.lost.push(format!("note {note} of session {session}: {:?}", sessions.get(session)));
        }
    }
    for (things, found) in [("horses", &shown.horses), ("sessions", &shown.sessions), ("rides", &shown.rides)] {
        let none = BTreeSet::new();
        let expected = expected.get(things).unwrap_or(&none);
        let phantom = found.keys().filter(|key| *key != "stable" && !expected.contains(key));
        findings.phantom.extend(phantom.map(|key| format!("{things}: {key}")));
    }
    findings
}
