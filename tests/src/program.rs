//! The program as a process of its own.
use crate::client::Client;
use std::io::{BufRead, BufReader};
use std::process::{Child, Command, Stdio};

/// A running `serve`; it is killed with this value.
pub struct Program {
    child: Child,
    pub base: String,
}

impl Program {
    /// Starts it, without a bound on requests, and waits until it listens.
    pub fn start(program: &str, url: &str) -> Self {
        Self::start_with(program, url, &[])
    }

    /// The same with more in its environment.
    pub fn start_with(program: &str, url: &str, environment: &[(&str, &str)]) -> Self {
        let mut child = Command::new(program)
            .args(["--database-url", url, "serve", "--listen", "127.0.0.1:0"])
            .envs([("STRIDEWRIGHT_LOG", "error"), ("STRIDEWRIGHT_REQUESTS_PER_SECOND", "0")])
            .envs(environment.iter().copied())
            .stderr(Stdio::piped())
            .spawn()
            .expect("the program");
        let mut lines = BufReader::new(child.stderr.take().expect("a pipe")).lines();
        let mut seen = Vec::new();
        let base = loop {
            let Some(Ok(line)) = lines.next() else { panic!("it ended before it listened: {seen:?}") };
            match line.strip_prefix("listening on ") {
                Some(base) => break base.to_owned(),
                None => seen.push(line),
            }
        };
        // what else it says goes to the test's own output, and never fills the pipe
        std::thread::spawn(move || lines.map_while(Result::ok).for_each(|line| eprintln!("{line}")));
        Self { child, base }
    }

    /// Starts one that dies at this passing of a named point: `before commit:1`.
    pub fn dying(program: &str, url: &str, point: &str) -> Self {
        Self::start_with(program, url, &[("STRIDEWRIGHT_DIE_AT", point)])
    }

    /// Its process.
    pub fn id(&self) -> u32 {
        self.child.id()
    }

    /// Waits until it dies by itself; answers whether it did, and was not killed by another.
    pub fn died(&mut self) -> bool {
        use std::os::unix::process::ExitStatusExt;
        const ABORTED: i32 = 6;
        self.child.wait().is_ok_and(|status| status.signal() == Some(ABORTED))
    }

    pub fn client(&self) -> Client {
        Client::new(&self.base)
    }

    /// Its memory, in KiB.
    pub fn memory_kib(&self) -> u64 {
        let status = std::fs::read_to_string(format!("/proc/{}/status", self.child.id())).expect("a process");
        let line = status.lines().find_map(|line| line.strip_prefix("VmRSS:")).expect("its memory");
        line.trim().trim_end_matches(" kB").parse().expect("a number")
    }

    /// Whether it still runs.
    pub fn runs(&mut self) -> bool {
        matches!(self.child.try_wait(), Ok(None))
    }

    /// As by `kill -9`.
    pub fn kill(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

impl Drop for Program {
    fn drop(&mut self) {
        self.kill();
    }
}
