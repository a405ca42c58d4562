//! Those who race: each sends bookings to one of two processes, and moves and cancels what was booked.
use super::stable::{Stable, mix};
use std::collections::BTreeSet;
use std::ops::Range;
use std::sync::atomic::{AtomicUsize, Ordering};
use std::sync::{Mutex, RwLock};
use stridewright_tests::barn::{Member, sign_in};
use stridewright_tests::client::fresh;
use stridewright_tests::operations::Request;
use stridewright_tests::program::Program;
use stridewright_tests::{Answer, Client, Value, json};

pub const PROGRAM: &str = env!("CARGO_BIN_EXE_barn-server");
const RACERS: usize = 8;

#[derive(Default)]
pub struct Outcome {
    pub booked: BTreeSet<String>,
    pub moved: usize,
    pub cancelled: usize,
    pub refused: usize,
    pub by_limit: usize,
    /// Another changed the session first.
    pub outrun: usize,
    pub busy: usize,
    pub sent_again: usize,
    /// Answers that must not be.
    pub faults: Vec<String>,
}

pub struct Race<'a> {
    programs: [Mutex<Program>; 2],
    bases: RwLock<[String; 2]>,
    trainer: RwLock<Member>,
    barn: String,
    stable: &'a Stable,
    outcome: Mutex<Outcome>,
    /// What may be moved or cancelled.
    standing: Mutex<Vec<String>>,
}

impl<'a> Race<'a> {
    pub fn new(programs: [Program; 2], trainer: Member, barn: &str, stable: &'a Stable) -> Self {
        let bases = [programs[0].base.clone(), programs[1].base.clone()];
        Self {
            programs: programs.map(Mutex::new),
            bases: RwLock::new(bases),
            trainer: RwLock::new(trainer),
            barn: barn.to_owned(),
            stable,
            outcome: Mutex::default(),
            standing: Mutex::default(),
        }
    }

    /// The trainer at one of the processes.
    pub fn client(&self, process: usize) -> Client {
        self.trainer.read().unwrap().client.at(&self.bases.read().unwrap()[process])
    }

    /// Sends it to one process, and to the other where that is gone.
    fn send(&self, request: &Request, process: usize) -> Answer {
        for turn in process..process + 1_000 {
            let client = self.client(turn % 2);
            let token = client.token.clone();
            match (Request { client, ..request.clone() }).try_send() {
                Ok(answer) if answer.status == 401 => self.sign_in_again(token),
                Ok(answer) => return answer,
                Err(_) => self.outcome.lock().unwrap().sent_again += 1,
            }
        }
        panic!("neither process answers: {} {}", request.method, request.path)
    }

    /// Unless another did so meanwhile.
    fn sign_in_again(&self, expired: Option<String>) {
        let mut trainer = self.trainer.write().unwrap();
        if trainer.client.token == expired {
            let base = self.bases.read().unwrap()[0].clone();
            trainer.client = sign_in(&Client::new(&base), &trainer.email).member.client;
        }
    }

    fn request(&self, method: &str, path: &str, etag: Option<String>, body: Option<Value>) -> Request {
        let client = self.client(0);
        Request { client, method: method.to_owned(), path: path.to_owned(), key: fresh(), etag, body }
    }

    /// Attempts by their numbers; halfway one process is killed.
    pub fn run(&self, url: &str, attempts: Range<usize>) -> Outcome {
        let next = AtomicUsize::new(attempts.start);
        std::thread::scope(|scope| {
            for _ in 0..RACERS {
                scope.spawn(|| {
                    loop {
                        let n = next.fetch_add(1, Ordering::Relaxed);
                        if n == usize::midpoint(attempts.start, attempts.end) {
                            self.kill_one(url);
                        }
                        if n >= attempts.end {
                            break;
                        }
                        self.attempt(n);
                    }
                });
            }
        });
        std::mem::take(&mut self.outcome.lock().unwrap())
    }

    /// Kills the second process under way, and starts it again.
    fn kill_one(&self, url: &str) {
        let mut program = self.programs[1].lock().unwrap();
        program.kill();
        *program = Program::start(PROGRAM, url);
        self.bases.write().unwrap()[1].clone_from(&program.base);
    }

    fn attempt(&self, n: usize) {
        match mix(n ^ 0x00ff_00ff) % 20 {
            0..=13 => self.book(n),
            14..=16 => self.change(n, false),
            _ => self.change(n, true),
        }
    }

    fn book(&self, n: usize) {
        let request = self.request("POST", &format!("{}/sessions", self.barn), None, Some(self.stable.booking(n)));
        let answer = self.send(&request, n);
        if answer.status == 201 {
            let id = answer.id();
            self.standing.lock().unwrap().push(id.clone());
            self.outcome.lock().unwrap().booked.insert(id);
        } else {
            self.note(&answer);
        }
    }

    fn change(&self, n: usize, cancel: bool) {
        let id = {
            let standing = self.standing.lock().unwrap();
            if standing.is_empty() {
                return;
            }
            standing[usize::try_from(mix(n) >> 16).unwrap() % standing.len()].clone()
        };
        let path = format!("{}/sessions/{id}", self.barn);
        let seen = self.send(&self.request("GET", &path, None, None), n);
        if seen.status != 200 {
            return self.note(&seen);
        }
        let body = if cancel {
            json!({"status": "cancelled"})
        } else {
            let (starts_at, ends_at) = self.stable.time(n);
            let arena = &self.stable.arenas[usize::try_from(mix(n) >> 40).unwrap() % 2];
            json!({"starts_at": starts_at, "ends_at": ends_at, "arena_id": arena, "override_reason": "It rained."})
        };
        let answer = self.send(&self.request("PATCH", &path, Some(seen.etag()), Some(body)), n);
        match answer.status {
            200 if cancel => {
                let mut standing = self.standing.lock().unwrap();
                let before = standing.len();
                standing.retain(|other| *other != id);
                // another racer may have cancelled it between the look and this: the second time changes nothing
                self.outcome.lock().unwrap().cancelled += before - standing.len();
            }
            200 => self.outcome.lock().unwrap().moved += 1,
            _ => self.note(&answer),
        }
    }

    fn note(&self, answer: &Answer) {
        let mut outcome = self.outcome.lock().unwrap();
        match answer.status {
            409 => {
                outcome.refused += 1;
                let hard = |reason: &Value| {
                    (&reason["code"], &reason["binding"]) == (&json!("max_efforts_per_day"), &json!(true))
                };
                let by_limit = answer["reasons"].as_array().is_some_and(|reasons| reasons.iter().any(hard));
                outcome.by_limit += usize::from(by_limit);
            }
            412 => outcome.outrun += 1,
            503 => outcome.busy += 1,
            other => outcome.faults.push(format!("{other}: {}", answer.text())),
        }
    }
}
