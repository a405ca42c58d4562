//! What is in two places at once, and which limits are broken: found the slow way, from the API and from the tables.
use super::stable::{HARD_LIMIT, Stable};
use std::collections::BTreeMap;
use stridewright_core::calendar::Instant;
use stridewright_tests::rows::{beside, number};
use stridewright_tests::{Client, Value};

pub struct Found {
    pub sessions: Vec<Value>,
    pub overlaps: usize,
    pub overlaps_in_tables: i64,
    pub broken_limits: usize,
    /// The most jumps of the limited horse on any day.
    pub most_jumps: i64,
    pub booked: usize,
}

fn text(value: &Value) -> String {
    value.as_str().unwrap_or_default().to_owned()
}

pub fn find(client: &Client, barn: &str, url: &str, stable: &Stable) -> Found {
    let mut sessions = Vec::new();
    let mut cursor = String::new();
    loop {
        let page = client.get(&format!("{barn}/sessions?limit=200{cursor}")).expect(200);
        sessions.extend(page.items().iter().cloned());
        match page["next_cursor"].as_str() {
            Some(next) => cursor = format!("&cursor={next}"),
            None => break,
        }
    }
    let standing: Vec<&Value> =
        sessions.iter().filter(|s| ["booked", "open"].contains(&text(&s["status"]).as_str())).collect();
    let (broken_limits, most_jumps) = limits(&standing, &stable.horses[0]);
    Found {
        overlaps: overlaps(&standing, &stable.arenas[1]),
        overlaps_in_tables: overlaps_in_tables(url),
        broken_limits,
        most_jumps,
        booked: standing.len(),
        sessions,
    }
}

fn entries(session: &Value) -> impl Iterator<Item = &Value> {
    let stands = |e: &&Value| ["booked", "open", "unresolved"].contains(&e["status"].as_str().unwrap());
    session["entries"].as_array().unwrap().iter().filter(stands)
}

/// How often a thing is held more often at once than it may be.
fn overlaps(standing: &[&Value], of_two: &str) -> usize {
    let mut held: BTreeMap<String, Vec<(Instant, Instant)>> = BTreeMap::new();
    for session in standing {
        let span = (text(&session["starts_at"]).parse().unwrap(), text(&session["ends_at"]).parse().unwrap());
        let own = ["arena_id", "fence_set_id", "trainer_id", "adult_id"].map(|field| text(&session[field]));
        let mut things: Vec<String> = own.into_iter().collect();
        things.extend(entries(session).flat_map(|e| [text(&e["horse_id"]), text(&e["rider_id"])]));
        // the trainer may be the adult too, but once is enough
        things.sort();
        things.dedup();
        things.into_iter().filter(|id| !id.is_empty()).for_each(|id| held.entry(id).or_default().push(span));
    }
    let too_many = |id: &str, spans: &[(Instant, Instant)]| {
        let may = if id == of_two { 2 } else { 1 };
        spans.iter().filter(|at| spans.iter().filter(|s| s.0 <= at.0 && s.1 > at.0).count() > may).count()
    };
    held.iter().map(|(id, spans)| too_many(id, spans)).sum()
}

/// The same from sessions and entries, and then from what is held to be occupied.
fn overlaps_in_tables(url: &str) -> i64 {
    let thing = |kind: &str, column: &str| {
        format!(
            "SELECT '{kind}' AS kind, barn_id, {column} AS id, id AS session_id, starts_at, ends_at FROM session \
             WHERE status IN ('booked', 'open') AND {column} IS NOT NULL"
        )
    };
    let entry = |kind: &str, column: &str| {
        format!(
            "SELECT '{kind}', s.barn_id, e.{column}, s.id, s.starts_at, s.ends_at FROM session s JOIN entry e \
             ON e.barn_id = s.barn_id AND e.session_id = s.id WHERE s.status IN ('booked', 'open') \
             AND e.status IN ('booked', 'open', 'unresolved') AND e.{column} IS NOT NULL"
        )
    };
    let all = [
        thing("arena", "arena_id"),
        thing("fence_set", "fence_set_id"),
        thing("person", "trainer_id"),
        thing("person", "adult_id"),
        entry("horse", "horse_id"),
        entry("person", "rider_id"),
    ];
    let c = &mut beside(url);
    let held = all.join(" UNION ");
    c.batch(&format!("CREATE TEMPORARY TABLE held AS {held}; CREATE INDEX held_by ON held (id, kind, starts_at)"))
        .unwrap();
    let more = "(SELECT count(*) FROM held b WHERE b.barn_id = a.barn_id AND b.kind = a.kind AND b.id = a.id \
        AND b.starts_at <= a.starts_at AND b.ends_at > a.starts_at)";
    let may = "coalesce((SELECT r.sessions_at_once FROM arena r WHERE r.barn_id = a.barn_id AND r.id = a.id), 1)";
    let wrong = number(c, &format!("SELECT count(*) AS number FROM held a WHERE {more} > {may}"));
    let twice = "SELECT count(*) AS number FROM occupancy a JOIN occupancy b ON a.barn_id = b.barn_id \
        AND a.kind = b.kind AND a.resource_id = b.resource_id AND a.place = b.place AND a.session_id < b.session_id \
        AND a.starts_at < b.ends_at AND b.starts_at < a.ends_at";
    let not_held = "SELECT count(*) AS number FROM held h WHERE NOT EXISTS (SELECT 1 FROM occupancy o \
        WHERE o.barn_id = h.barn_id AND o.kind = h.kind AND o.resource_id = h.id AND o.session_id = h.session_id \
        AND o.starts_at = h.starts_at AND o.ends_at = h.ends_at)";
    wrong + number(c, twice) + number(c, not_held)
}

/// Days in Lisbon on which the horse jumps more than it may, and the most it jumps.
fn limits(standing: &[&Value], horse: &str) -> (usize, i64) {
    let mut days: BTreeMap<jiff::civil::Date, i64> = BTreeMap::new();
    for session in standing.iter().filter(|s| s["kind"] == "jumping") {
        let starts_at: jiff::Timestamp = text(&session["starts_at"]).parse().unwrap();
        let day = starts_at.in_tz("Europe/Lisbon").unwrap().date();
        for entry in entries(session).filter(|e| e["horse_id"] == horse) {
            *days.entry(day).or_default() += entry["planned_efforts"].as_i64().unwrap();
        }
    }
    (days.values().filter(|jumps| **jumps > HARD_LIMIT).count(), days.values().copied().max().unwrap_or(0))
}
