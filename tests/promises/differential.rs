//! The same random histories on SQLite, on PostgreSQL and in a slow and obvious model give the same answers.
//!
//! Between the databases everything is compared, byte for byte, but ids that the service makes, which are numbered
//! as they appear. The model covers horses, pairings, ownerships, rides and efforts, and that an arena is not taken
//! twice; whether a rule refuses a booking is compared between the databases only.
mod model;
mod pair;

use model::Model;
use pair::{Pair, Refused};
use std::collections::BTreeMap;
use stridewright_tests::size;
use stridewright_tests::watch::Watch;

/// One step: what is done, and the numbers that choose by whom and on what.
#[derive(Debug, Clone, Copy)]
struct Step {
    what: What,
    who: usize,
    one: usize,
    two: usize,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord)]
enum What {
    Horse,
    Pair,
    Unpair,
    Own,
    Book,
    Ride,
    Withdraw,
    Repeat,
    Wait,
    Horses,
    Efforts,
    Rides,
}

const WEIGHTED: [What; 20] = [
    What::Horse,
    What::Pair,
    What::Pair,
    What::Unpair,
    What::Own,
    What::Book,
    What::Book,
    What::Book,
    What::Ride,
    What::Ride,
    What::Ride,
    What::Ride,
    What::Withdraw,
    What::Repeat,
    What::Wait,
    What::Horses,
    What::Efforts,
    What::Efforts,
    What::Efforts,
    What::Rides,
];

/// A history from a seed: the same on every machine.
fn history(seed: u64, steps: usize) -> Vec<Step> {
    let mut state = seed;
    let mut next = |below: usize| {
        state = state.wrapping_add(0x9e37_79b9_7f4a_7c15);
        let mixed = (state ^ (state >> 30)).wrapping_mul(0xbf58_476d_1ce4_e5b9);
        let mixed = (mixed ^ (mixed >> 27)).wrapping_mul(0x94d0_49bb_1331_11eb);
        usize::try_from((mixed ^ (mixed >> 31)) % u64::try_from(below).unwrap()).unwrap()
    };
    let first = [What::Horse, What::Pair, What::Own, What::Book];
    let mut step = |n: usize| {
        let what = first.get(n).copied().unwrap_or_else(|| WEIGHTED[next(WEIGHTED.len())]);
        Step { what, who: next(8), one: next(1000), two: next(1000) }
    };
    (0..steps).map(&mut step).collect()
}

type Counts = BTreeMap<(What, u16), usize>;

fn run(pair: &Pair, steps: &[Step], counts: &mut Counts) -> Result<(), Refused> {
    let mut model = Model::found(pair);
    for (n, step) in steps.iter().enumerate() {
        let status = model.take(pair, *step).map_err(|e| format!("step {n} {step:?}: {e}"))?;
        *counts.entry((step.what, status)).or_default() += 1;
    }
    Ok(())
}

/// Leaves steps out while it still fails.
fn shrink(pair: &Pair, mut steps: Vec<Step>, mut why: Refused) -> (Vec<Step>, Refused) {
    let mut n = steps.len();
    while n > 0 {
        n -= 1;
        let mut fewer = steps.clone();
        fewer.remove(n);
        if let Err(e) = run(pair, &fewer, &mut Counts::new()) {
            (steps, why) = (fewer, e);
        }
    }
    (steps, why)
}

#[test]
fn both_databases_and_a_slow_model_answer_alike() {
    let Some(pair) = Pair::start() else { return };
    let (histories, length) = (size::of(30, 500, 10_000), size::of(30, 30, 50));
    let (began, mut counts) = (Watch::start(), Counts::new());
    for seed in 0..u64::try_from(histories).unwrap() {
        let steps = history(seed, length);
        if let Err(why) = run(&pair, &steps, &mut counts) {
            let (steps, why) = shrink(&pair, steps, why);
            panic!("seed {seed}: {why}\n{steps:#?}");
        }
    }
    let took = histories * length;
    let rate = f64::from(u32::try_from(took).unwrap()) / began.elapsed().as_secs_f64();
    println!("differential: {histories} histories of {length} steps, {rate:.0} steps a second, alike: {counts:?}");
    for what in WEIGHTED {
        assert!(counts.keys().any(|(done, status)| *done == what && *status < 300), "{what:?} never succeeded");
    }
}
