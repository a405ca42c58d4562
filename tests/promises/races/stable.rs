//! What the racers share, and the bookings they try: in the nights when the clocks change, too.
use stridewright_core::calendar::Instant;
use stridewright_tests::{Client, Value, json};

/// Jumps a day at most of the first horse, and no reason passes that.
pub const HARD_LIMIT: i64 = 12;

/// The nights in Lisbon, and where the ten days begin.
const AUTUMN: &str = "2026-10-24T22:00:00Z";
const SPRING: &str = "2027-03-27T22:00:00Z";
const DAYS: &str = "2027-01-11T00:00:00Z";

pub struct Stable {
    pub arenas: Vec<String>,
    fence_sets: Vec<String>,
    people: Vec<String>,
    pub horses: Vec<String>,
}

/// A number of its own for each attempt, of which parts are picked.
pub fn mix(n: usize) -> u64 {
    let mut z = (n as u64).wrapping_add(1).wrapping_mul(0x9e37_79b9_7f4a_7c15);
    z = (z ^ (z >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
    z = (z ^ (z >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
    z ^ (z >> 31)
}

fn pick(things: &[String], bits: u64) -> &String {
    &things[usize::try_from(bits).unwrap() % things.len()]
}

impl Stable {
    pub fn new(trainer: &Client, barn: &str) -> Self {
        let make = |things: &str, body: Value| trainer.post(&format!("{barn}/{things}"), body).expect(201).id();
        let arena = |at_once: u8| {
            make("arenas", json!({"name": "School", "length_m": 60, "width_m": 25, "sessions_at_once": at_once}))
        };
        let items = json!({"wings_pairs": 10, "poles": 40, "planks": 4, "fillers": 4, "cups": 60, "safety_cups": 10});
        let person = |_| {
            let roles = ["rider", "trainer"];
            make("people", json!({"name": "Robin", "roles": roles, "birth_date": "1988-04-01"}))
        };
        let stable = Self {
            arenas: vec![arena(1), arena(2)],
            fence_sets: (0..2).map(|_| make("fence-sets", json!({"name": "Poles", "items": items}))).collect(),
            people: (0..6).map(person).collect(),
            horses: (0..6).map(|_| make("horses", json!({"name": "Bramble", "profile": "horse"}))).collect(),
        };
        let limit = json!({"kind": "max_efforts_per_day", "value": HARD_LIMIT, "hard": true, "source": "trainer"});
        make(&format!("horses/{}/workload-limits", stable.horses[0]), limit);
        stable
    }

    /// Up to an hour at a quarter: one in four in a night when the clocks change.
    pub fn time(&self, n: usize) -> (Instant, Instant) {
        let bits = mix(n);
        let (from, quarters) = match bits % 8 {
            0 => (AUTUMN, 24),
            1 => (SPRING, 24),
            _ => (DAYS, 960),
        };
        let first: Instant = from.parse().unwrap();
        let quarter = i64::try_from((bits >> 8) % quarters).unwrap();
        let length = 1_800 + 900 * i64::try_from((bits >> 20) % 3).unwrap();
        let starts_at = first.plus_seconds(quarter * 900);
        (starts_at, starts_at.plus_seconds(length))
    }

    /// A booking with one or two horses.
    pub fn booking(&self, n: usize) -> Value {
        let (bits, (starts_at, ends_at)) = (mix(n ^ 0x5555_5555), self.time(n));
        let jumping = bits.is_multiple_of(2);
        let entries: Vec<Value> = (0..=(bits >> 1) % 2)
            .map(|one| {
                let horse = pick(&self.horses, (bits >> (4 + 8 * one)) + one);
                let efforts = if jumping { 3 + (bits >> 40) % 3 } else { 0 };
                let mut entry = json!({"horse_id": horse, "planned_efforts": efforts});
                if jumping {
                    entry["planned_height_cm"] = json!(70);
                    entry["override_reason"] = json!("Only cross-poles.");
                }
                if (bits >> (3 + one)).is_multiple_of(2) {
                    entry["rider_id"] = json!(pick(&self.people, (bits >> (24 + 4 * one)) + one));
                }
                entry
            })
            .collect();
        let mut body = json!({
            "kind": if jumping { "jumping" } else { "flat" }, "title": "Lines", "starts_at": starts_at,
            "ends_at": ends_at, "arena_id": pick(&self.arenas, bits >> 32), "entries": entries
        });
        if (bits >> 44).is_multiple_of(2) {
            body["trainer_id"] = json!(pick(&self.people, bits >> 36));
        }
        if jumping && (bits >> 45).is_multiple_of(3) {
            body["fence_set_id"] = json!(pick(&self.fence_sets, bits >> 48));
        }
        body
    }
}
