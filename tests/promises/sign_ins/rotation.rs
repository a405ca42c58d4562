//! Refresh tokens under a thief: a random walk of both, held against what one live token a sign-in allows.
use super::{ME, refresh, signed_in};
use stridewright_tests::client::Client;
use stridewright_tests::size;
use stridewright_tests::{Database, World};

/// A small generator with a seed, so that a walk can be walked again.
struct Chance(u64);

impl Chance {
    fn below(&mut self, n: usize) -> usize {
        // splitmix64
        self.0 = self.0.wrapping_add(0x9E37_79B9_7F4A_7C15);
        let mut z = self.0;
        z = (z ^ (z >> 30)).wrapping_mul(0xBF58_476D_1CE4_E5B9);
        z = (z ^ (z >> 27)).wrapping_mul(0x94D0_49BB_1331_11EB);
        ((z ^ (z >> 31)) % n as u64) as usize
    }
}

/// The tokens of one sign-in that somebody holds.
#[derive(Clone, Default)]
struct Hand {
    newest: String,
    old: Vec<String>,
    access: String,
}

impl Hand {
    /// Exchanges the newest; whether it was taken.
    fn refresh(&mut self, nobody: &Client) -> bool {
        let answer = refresh(nobody, &self.newest);
        if answer.status != 200 {
            answer.refused(401, "unauthenticated");
            return false;
        }
        self.old.push(std::mem::replace(&mut self.newest, answer.text_of("refresh_token")));
        self.access = answer.text_of("access_token");
        true
    }
}

#[derive(Default)]
struct Figures {
    steps: usize,
    families: usize,
    killed: usize,
    races: usize,
}

/// One sign-in until it is dead; the model knows which token is the live one.
fn family(world: &World, chance: &mut Chance, steps: usize, figures: &mut Figures) {
    let nobody = world.anonymous();
    let signed = signed_in(&nobody, &world.trainer.email);
    let begun =
        Hand { newest: signed.text_of("refresh_token"), old: Vec::new(), access: signed.text_of("access_token") };
    let (mut live, mut victim) = (Some(begun.newest.clone()), begun);
    let mut thief: Option<Hand> = None;
    figures.families += 1;
    while figures.steps < steps && live.is_some() {
        figures.steps += 1;
        match chance.below(12) {
            0..=4 => walk(&nobody, &mut victim, &mut live),
            5 | 6 => thief = Some(victim.clone()),
            7 | 8 => {
                if let Some(thief) = &mut thief {
                    walk(&nobody, thief, &mut live);
                }
            }
            9 => {
                // somebody finds an old one
                if !victim.old.is_empty() {
                    let old = &victim.old[chance.below(victim.old.len())];
                    refresh(&nobody, old).refused(401, "unauthenticated");
                    live = None;
                }
            }
            10 => {
                // both at the same moment, with the same token: at most one is served, and then nobody
                figures.races += 1;
                let mut hands = [victim.clone(), victim.clone()];
                let served = std::thread::scope(|scope| {
                    let threads = hands.each_mut().map(|hand| scope.spawn(|| hand.refresh(&nobody)));
                    threads.map(|thread| thread.join().unwrap())
                });
                let one = Some(&victim.newest) == live.as_ref();
                assert_eq!(served.iter().filter(|s| **s).count(), usize::from(one), "{served:?}");
                live = None;
                if let Some(winner) = served.iter().position(|s| *s) {
                    refresh(&nobody, &hands[winner].newest).refused(401, "unauthenticated");
                    victim = hands[winner].clone();
                }
            }
            _ => {
                let status = nobody.with_token(&victim.access).ask("DELETE", "/api/v1/sign-ins/current").send().status;
                assert_eq!(status, 204);
                live = None;
            }
        }
    }
    if live.is_none() {
        figures.killed += 1;
        let mut tokens: Vec<String> = victim.old.iter().cloned().chain([victim.newest.clone()]).collect();
        tokens.extend(thief.iter().flat_map(|t| t.old.iter().cloned().chain([t.newest.clone()])));
        for token in tokens {
            refresh(&nobody, &token).refused(401, "unauthenticated");
        }
        for hand in thief.iter().chain([&victim]) {
            nobody.with_token(&hand.access).get(ME).refused(401, "unauthenticated");
        }
    }
}

/// One exchange: served if and only if it is the live token; any other of the family ends it.
fn walk(nobody: &Client, hand: &mut Hand, live: &mut Option<String>) {
    let is_live = Some(&hand.newest) == live.as_ref();
    assert_eq!(hand.refresh(nobody), is_live, "a token that is not the live one was taken, or the live one was not");
    *live = is_live.then(|| hand.newest.clone());
}

fn never_both(world: &World) {
    let seed = 20_260_601;
    let (mut chance, mut figures) = (Chance(seed), Figures::default());
    let steps = size::of(150, 3_000, 100_000);
    while figures.steps < steps {
        family(world, &mut chance, steps, &mut figures);
    }
    assert!(figures.killed > figures.families / 2 && figures.races > 0, "too little happened to show anything");
    println!(
        "refresh tokens on {:?}: seed {seed}, {} steps, {} families, {} ended, {} races, at most one live token each",
        world.server.database, figures.steps, figures.families, figures.killed, figures.races
    );
}

#[test]
fn sqlite() {
    World::on(Database::Sqlite, never_both);
}

#[test]
fn postgres() {
    World::on(Database::Postgres, never_both);
}
