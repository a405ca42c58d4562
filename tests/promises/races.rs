//! Races: nothing is in two places at once, whoever comes first.
use std::sync::Barrier;
use std::sync::atomic::{AtomicUsize, Ordering};
use stridewright_core::calendar::Instant;
use stridewright_tests::yard::{Yard, session};
use stridewright_tests::{Value, World, json, on_both, size};

/// Attempts over many slots.
fn attempts() -> usize {
    size::of(2_000, 20_000, 1_000_000)
}

on_both! {
    fn of_64_clients_for_one_slot_one_wins(world) {
        let yard = Yard::new(world);
        let body = session(&yard, "2026-06-03", 9, 10);
        let (start, won, lost) = (Barrier::new(64), AtomicUsize::new(0), AtomicUsize::new(0));
        std::thread::scope(|scope| {
            for _ in 0..64 {
                scope.spawn(|| {
                    start.wait();
                    let answer = world.trainer.post(&world.at("sessions"), body.clone());
                    match answer.status {
                        201 => won.fetch_add(1, Ordering::Relaxed),
                        409 => lost.fetch_add(1, Ordering::Relaxed),
                        // told to come back: as good as a no here
                        503 => lost.fetch_add(1, Ordering::Relaxed),
                        other => panic!("{other}: {}", answer.text()),
                    };
                });
            }
        });
        assert_eq!((won.into_inner(), lost.into_inner()), (1, 63));
        assert_eq!(world.trainer.get(&world.at("sessions")).expect(200).items().len(), 1);
    }

    fn nothing_overlaps_after_many_attempts(world) {
        let yard = Yard::new(world);
        let (total, next) = (attempts(), AtomicUsize::new(0));
        let (booked, refused) = (AtomicUsize::new(0), AtomicUsize::new(0));
        std::thread::scope(|scope| {
            for _ in 0..8 {
                scope.spawn(|| {
                    loop {
                        let n = next.fetch_add(1, Ordering::Relaxed);
                        if n >= total {
                            break;
                        }
                        let answer = world.trainer.post(&world.at("sessions"), flat(&yard, n));
                        match answer.status {
                            201 => booked.fetch_add(1, Ordering::Relaxed),
                            409 => refused.fetch_add(1, Ordering::Relaxed),
                            other => panic!("{other}: {}", answer.text()),
                        };
                    }
                });
            }
        });
        let (booked, refused) = (booked.into_inner(), refused.into_inner());
        assert_eq!(booked + refused, total);
        assert!(booked > 50 && refused > booked, "{booked} booked, {refused} refused: not much of a race");
        let sessions = all(world, "sessions");
        assert_eq!(sessions.len(), booked);
        assert_eq!(overlaps(&sessions), 0);
    }
}

/// Half hours at uneven starts over ten days, in two arenas, for three horses: most meet another.
fn flat(yard: &Yard, n: usize) -> Value {
    let mix = (n as u64).wrapping_mul(0x9e37_79b9_7f4a_7c15) >> 20;
    let pick = |from: u64, of: u64| (mix >> from) % of;
    let start =
        Instant::from_micros(1_780_300_800_000_000).unwrap().plus_seconds(i64::try_from(pick(0, 960) * 900).unwrap());
    let horse = [&yard.horse, &yard.second_horse, &yard.pony][usize::try_from(pick(11, 3)).unwrap()];
    let arena = if pick(17, 2) == 0 { &yard.arena } else { &yard.other_arena };
    json!({
        "kind": "flat", "title": "Flat work", "arena_id": arena,
        "starts_at": start, "ends_at": start.plus_seconds(1800), "entries": [{"horse_id": horse}]
    })
}

/// Every page of a list.
fn all(world: &World, things: &str) -> Vec<Value> {
    let (mut items, mut cursor) = (Vec::new(), String::new());
    loop {
        let page = world.trainer.get(&world.at(&format!("{things}?limit=200{cursor}"))).expect(200);
        items.extend(page.items().iter().cloned());
        match page["next_cursor"].as_str() {
            Some(next) => cursor = format!("&cursor={next}"),
            None => return items,
        }
    }
}

/// Pairs of sessions that share an arena or a horse and overlap, found the slow way.
fn overlaps(sessions: &[Value]) -> usize {
    let time = |s: &Value, field: &str| s[field].as_str().unwrap().parse::<Instant>().unwrap();
    let spans: Vec<_> = sessions
        .iter()
        .map(|s| (time(s, "starts_at"), time(s, "ends_at"), &s["arena_id"], &s["entries"][0]["horse_id"]))
        .collect();
    let mut count = 0;
    for (i, a) in spans.iter().enumerate() {
        for b in &spans[i + 1..] {
            count += usize::from(a.0 < b.1 && b.0 < a.1 && (a.2 == b.2 || a.3 == b.3));
        }
    }
    count
}
