//! The same random histories of the whole API on SQLite, on PostgreSQL and in a slow and obvious model give the same
//! answers.
//!
//! The services run under one clock and one source of chance, so that their answers are compared byte for byte, ids,
//! secrets and cursors included, and at the end the audit log's last hash. The model says status, code, pointers,
//! reasons and the facts that it knows; what it does not say stands in `model.rs`.
mod cast;
mod dice;
mod model;
mod pair;
mod should;
mod steps;
mod tally;
mod world;

use cast::Cast;
use dice::Dice;
use diesel::prelude::*;
use pair::{Pair, Refused};
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::schema::audit;
use stridewright_api::on_each;
use stridewright_tests::size;
use stridewright_tests::watch::Watch;
use tally::Tally;
use world::World;

/// One step: which, and its own choices.
#[derive(Debug, Clone, Copy)]
struct Step {
    what: usize,
    seed: u64,
}

/// A history from a seed: the same on every machine.
struct History {
    seed: u64,
    steps: Vec<Step>,
}

impl History {
    fn of(seed: u64, length: usize) -> Self {
        let mut dice = Dice::new(seed);
        // each has a liking for some kinds and leaves others out, so that those it has meet each other
        let weighted: Vec<usize> = steps::ALL
            .iter()
            .enumerate()
            .flat_map(|(n, (_, often, _))| std::iter::repeat_n(n, often * dice.one(&[0, 0, 1, 5])))
            .collect();
        let what = |dice: &mut Dice| dice.pick(&weighted).unwrap_or_default();
        let steps = (0..length).map(|_| Step { what: what(&mut dice), seed: dice.seed() }).collect();
        Self { seed, steps }
    }

    fn told(&self) -> String {
        let lines: Vec<String> =
            self.steps.iter().map(|s| format!("  {} {:#x}", steps::ALL[s.what].0, s.seed)).collect();
        format!("seed {}:\n{}", self.seed, lines.join("\n"))
    }
}

/// Two services, what the histories share, and how far they have come.
struct Stage {
    pair: Pair,
    logs: [Db; 2],
    cast: Cast,
    plays: usize,
    tally: Tally,
    answers: usize,
}

impl Stage {
    fn set() -> Option<Self> {
        let pair = Pair::start()?;
        let logs = pair.urls().map(|url| Db::open(&Location::parse(url).unwrap()).unwrap());
        let cast = Cast::sign_up(&pair);
        Some(Self { pair, logs, cast, plays: 0, tally: Tally::new(), answers: 0 })
    }

    fn run(&mut self, history: &History) -> Result<(), (usize, Refused)> {
        if self.plays == cast::PLAYS {
            (self.cast, self.plays) = (Cast::sign_up(&self.pair), 0);
        }
        self.plays += 1;
        self.cast.begin(&self.pair);
        let mut world = World::new(&self.pair, &mut self.cast, &mut self.tally);
        steps::settle(&mut world, &mut Dice::new(history.seed)).map_err(|e| (0, format!("at the beginning: {e}")))?;
        for (n, step) in history.steps.iter().enumerate() {
            world.pass(1);
            let (name, _, act) = steps::ALL[step.what];
            act(&mut world, &mut Dice::new(step.seed)).map_err(|e| (n + 1, format!("step {n}, {name}: {e}")))?;
        }
        steps::look_round(&mut world, &mut Dice::new(history.seed)).map_err(|e| (history.steps.len(), e))?;
        self.answers += world.answers;
        let (barn, rows) = (world.barn.id.clone(), world.barn.audited);
        self.audited(&barn, rows).map_err(|e| (history.steps.len(), e))
    }

    /// The same rows of the audit log on both, and as many as there were writes and refusals.
    fn audited(&self, barn: &str, rows: usize) -> Result<(), Refused> {
        let barn: stridewright_core::ids::Id<stridewright_core::ids::Barn> = barn.parse().unwrap();
        let last = self.logs.each_ref().map(|db| {
            let row: QueryResult<(i64, String)> = on_each!(&mut db.conn().unwrap(), |c| audit::table
                .filter(audit::barn_id.eq(barn))
                .order(audit::seq.desc())
                .select((audit::seq, audit::hash))
                .first(c));
            row.unwrap()
        });
        if last[0] != last[1] || last[0].0 != i64::try_from(rows).unwrap() {
            return Err(format!("the audit log ends with {last:?}, and row {rows} by the model"));
        }
        Ok(())
    }

    /// Cuts it behind the step that failed, and leaves out what it does not need.
    fn shrink(&mut self, mut history: History, (mut at, mut why): (usize, Refused)) -> (History, Refused) {
        history.steps.truncate(at);
        let mut part = at / 2;
        while part > 0 {
            let mut first = 0;
            while first < history.steps.len() {
                let mut steps = history.steps.clone();
                steps.drain(first..(first + part).min(steps.len()));
                let mut fewer = History { seed: history.seed, steps };
                match self.run(&fewer) {
                    Err(failed) => {
                        (at, why) = failed;
                        fewer.steps.truncate(at);
                        history = fewer;
                    }
                    Ok(()) => first += part,
                }
            }
            part /= 2;
        }
        (history, why)
    }
}

/// So many failures are enough.
const ENOUGH: usize = 8;

/// `STRIDEWRIGHT_SEED` says where the seeds begin, `STRIDEWRIGHT_HISTORIES` how many there are.
#[test]
fn both_databases_and_a_slow_model_answer_alike() {
    let Some(mut stage) = Stage::set() else { return };
    let (histories, length) = (size::said("HISTORIES").unwrap_or(size::of(20, 500, 10_000)), size::of(30, 30, 50));
    let (began, first) = (Watch::start(), size::said("SEED").unwrap_or(0));
    let mut failed = Vec::new();
    for seed in (first..first + histories).map(|seed| u64::try_from(seed).unwrap()) {
        let history = History::of(seed, length);
        if let Err(why) = stage.run(&history) {
            failed.push((history, why));
        }
        if failed.len() == ENOUGH {
            break;
        }
    }
    // the first is told in as few steps as will do
    let all: String = failed.iter().map(|(history, (_, why))| format!("seed {}: {why}\n", history.seed)).collect();
    if let Some((history, why)) = failed.into_iter().next() {
        let (history, why) = stage.shrink(history, why);
        panic!("{all}\n{}\n{why}", history.told());
    }
    let rate = |n: usize| f64::from(u32::try_from(n).unwrap()) / began.elapsed().as_secs_f64();
    let (met, operations) = stage.tally.met();
    println!(
        "differential: {histories} histories of {length} steps, {:.0} steps and {:.0} answers a second, alike; {met} of \
         {operations} operations met with a good answer\n{}",
        rate(histories * length),
        rate(stage.answers),
        stage.tally.table()
    );
    if histories >= 500 {
        assert!(stage.tally.unmet().is_empty(), "never met: {:#?}", stage.tally.unmet());
    }
}
