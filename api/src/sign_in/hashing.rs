//! Password hashes: argon2id, on threads of their own, few at a time, with a short queue.
use super::argon::Memory;
use crate::db::errors::Busy;
use crate::problem::Problem;
use crate::problem::table::Kind;
use argon2::Params;
use std::panic::{AssertUnwindSafe, catch_unwind};
use std::sync::atomic::{AtomicU64, Ordering};
use std::sync::mpsc::{Sender, channel};
use std::sync::{Arc, Mutex, OnceLock, PoisonError};
use tokio::sync::{OwnedSemaphorePermit, Semaphore, oneshot};

/// How many may wait for a hash.
const QUEUE: usize = 16;

type Job = Box<dyn FnOnce(&mut Memory) + Send>;

/// Hashes and checks passwords.
#[derive(Clone)]
pub struct Hasher {
    memory_kib: u32,
    /// Those at work and those who wait; nobody else is let in.
    places: Arc<Semaphore>,
    workers: usize,
    jobs: Arc<OnceLock<Sender<Job>>>,
    evaluations: Arc<AtomicU64>,
    /// What an unknown account is checked against, so that it costs the same time.
    decoy: Arc<OnceLock<String>>,
}

/// A place in the queue, or at work.
pub struct Place(#[allow(dead_code, reason = "it is held")] OwnedSemaphorePermit);

/// Threads of their own, each with its memory: on those that everything shares, each would keep some.
fn start(workers: usize) -> Sender<Job> {
    let (sender, receiver) = channel::<Job>();
    let receiver = Arc::new(Mutex::new(receiver));
    for _ in 0..workers {
        let receiver = Arc::clone(&receiver);
        std::thread::spawn(move || {
            let mut memory = Memory::default();
            loop {
                let job = receiver.lock().unwrap_or_else(PoisonError::into_inner).recv();
                let Ok(job) = job else { return };
                let _ = catch_unwind(AssertUnwindSafe(|| job(&mut memory)));
            }
        });
    }
    sender
}

impl Hasher {
    pub fn new(memory_kib: u32) -> Self {
        // one for every two processors, so that a flood of sign-ins leaves room for others
        let workers = std::thread::available_parallelism().map_or(1, |n| n.get().div_ceil(2));
        Self {
            memory_kib,
            places: Arc::new(Semaphore::new(workers + QUEUE)),
            workers,
            jobs: Arc::new(OnceLock::new()),
            evaluations: Arc::new(AtomicU64::new(0)),
            decoy: Arc::new(OnceLock::new()),
        }
    }

    /// A place, while there is one: who comes to a full queue is told to come back at once.
    pub fn place(&self) -> Result<Place, Busy> {
        Arc::clone(&self.places).try_acquire_owned().map(Place).map_err(|_| Busy)
    }

    /// How many hashes were reckoned.
    pub fn evaluations(&self) -> u64 {
        self.evaluations.load(Ordering::Relaxed)
    }

    fn hash_now(&self, memory: &mut Memory, password: &str) -> Result<String, Problem> {
        let internal = || Problem::new(Kind::Internal);
        let params = Params::new(self.memory_kib, 2, 1, None).map_err(|_| internal())?;
        memory.hash(&params, password).map_err(|_| internal())
    }

    async fn in_turn<T: Send + 'static>(
        &self,
        place: Place,
        work: impl FnOnce(&Self, &mut Memory) -> Result<T, Problem> + Send + 'static,
    ) -> Result<T, Problem> {
        let internal = || Problem::new(Kind::Internal);
        let (answer, told) = oneshot::channel();
        let hasher = Self { jobs: Arc::new(OnceLock::new()), ..self.clone() }; // a job keeps no queue open
        let job = move |memory: &mut Memory| {
            let _held = place;
            if !answer.is_closed() {
                hasher.evaluations.fetch_add(1, Ordering::Relaxed);
                let _ = answer.send(work(&hasher, memory));
            }
        };
        self.jobs.get_or_init(|| start(self.workers)).send(Box::new(job)).map_err(|_| internal())?;
        told.await.map_err(|_| internal())?
    }

    /// The PHC string of a new password.
    pub async fn hash(&self, place: Place, password: String) -> Result<String, Problem> {
        self.in_turn(place, move |hasher, memory| hasher.hash_now(memory, &password)).await
    }

    /// Whether the password fits the stored hash; without one, the same work for a no.
    pub async fn check(&self, place: Place, password: String, stored: Option<String>) -> Result<bool, Problem> {
        self.in_turn(place, move |hasher, memory| {
            let known = stored.is_some();
            let stored = match stored {
                Some(stored) => stored,
                None => match hasher.decoy.get() {
                    Some(decoy) => decoy.clone(),
                    None => {
                        let decoy = hasher.hash_now(memory, "no account has this password")?;
                        hasher.decoy.get_or_init(|| decoy).clone()
                    }
                },
            };
            let fits = memory.fits(&stored, &password).map_err(|_| Problem::new(Kind::Internal))?;
            Ok(fits && known)
        })
        .await
    }
}
