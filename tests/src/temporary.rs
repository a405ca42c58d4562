//! Things outside the process that must go when it ends, killed or not: a shell waits at the other end
//! of a pipe, and cleans up when the pipe closes.
use std::io::{BufRead, BufReader};
use std::path::{Path, PathBuf};
use std::process::{Child, ChildStdin, Command, Stdio};

/// A shell script that prints one line when it is ready, and goes on when its input ends.
pub struct Watched {
    child: Child,
    pipe: Option<ChildStdin>,
    /// The line it printed.
    pub said: String,
}

impl Watched {
    /// Starts the script; `runner` is what runs the shell, as another user for instance.
    pub fn start(runner: &[&str], script: &str, arguments: &[&str]) -> std::io::Result<Self> {
        let words: Vec<&str> = runner.iter().chain(&["sh", "-c", script, "sh"]).chain(arguments).copied().collect();
        // an interrupt from the terminal is for the tests; the script must outlive them
        let script = "trap '' INT HUP TERM QUIT; exec \"$@\"";
        let mut child = Command::new("sh")
            .args(["-c", script, "sh"])
            .args(words)
            .current_dir("/")
            .stdin(Stdio::piped())
            .stdout(Stdio::piped())
            .spawn()?;
        let pipe = child.stdin.take();
        let mut said = String::new();
        if let Some(output) = child.stdout.take() {
            BufReader::new(output).read_line(&mut said)?;
        }
        Ok(Self { child, pipe, said: said.trim_end().to_owned() })
    }
}

impl Drop for Watched {
    fn drop(&mut self) {
        drop(self.pipe.take());
        let _ = self.child.wait();
    }
}

/// A folder that is removed with this value, or with the process.
pub struct Folder {
    path: PathBuf,
    _watched: Watched,
}

impl Folder {
    pub fn new() -> Self {
        let script =
            r#"d=$(mktemp -d "${TMPDIR:-/tmp}/stridewright.XXXXXX") && echo "$d"; cat >/dev/null; rm -rf "$d""#;
        let watched = Watched::start(&[], script, &[]).expect("sh");
        assert!(Path::new(&watched.said).is_dir(), "no temporary folder could be made");
        Self { path: watched.said.clone().into(), _watched: watched }
    }

    pub fn path(&self) -> &Path {
        &self.path
    }
}

impl Default for Folder {
    fn default() -> Self {
        Self::new()
    }
}
