//! Nothing is acknowledged before it is on the disk: the system calls of the program, and of PostgreSQL, say in
//! which order the log was written, synced, and the answer sent.
use super::PROGRAM;
use diesel::connection::SimpleConnection;
use diesel::{Connection, PgConnection};
use std::collections::BTreeSet;
use std::io::{BufRead, BufReader};
use std::path::Path;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{RecvTimeoutError, channel};
use std::time::Duration;
use stridewright_api::db::conn::AnyConn;
use stridewright_tests::barn::found;
use stridewright_tests::postgres::{Cluster, skipped};
use stridewright_tests::program::Program;
use stridewright_tests::rows::{beside, number};
use stridewright_tests::temporary::Folder;
use stridewright_tests::{json, size};

const CALLS: &str = "trace=fsync,fdatasync,pwrite64,pwritev,write,writev,sendto,sendmsg";
const CLIENTS: usize = 3;

/// A running strace.
struct Trace {
    child: Child,
    folder: Folder,
}

impl Trace {
    /// Looks on at these processes; `None`, said aloud, where that cannot be done here.
    fn of(processes: &[u32]) -> Option<Self> {
        let folder = Folder::new();
        let mut command = Command::new("strace");
        command.args(["-f", "-y", "-s", "300000", "-e", CALLS, "-o"]).arg(folder.path().join("trace"));
        for process in processes {
            command.args(["-p", &process.to_string()]);
        }
        let started = command.stderr(Stdio::piped()).spawn();
        let attached = started.ok().and_then(|mut child| {
            let lines = BufReader::new(child.stderr.take()?).lines().map_while(Result::ok);
            let (said, heard) = channel();
            std::thread::spawn(move || lines.for_each(|line| drop(said.send(line))));
            // in whatever order it attaches to them
            let mut waiting: BTreeSet<u32> = processes.iter().copied().collect();
            for _ in 0..300 {
                if waiting.is_empty() {
                    break;
                }
                match heard.recv_timeout(Duration::from_millis(100)) {
                    Ok(line) => {
                        let attached = line.split_once("Process ").and_then(|(_, rest)| rest.split_once(" attached"));
                        if let Some(id) = attached.and_then(|(id, _)| id.parse().ok()) {
                            waiting.remove(&id);
                        }
                    }
                    // a connection may have ended meanwhile
                    Err(RecvTimeoutError::Timeout) => waiting.retain(|id| Path::new(&format!("/proc/{id}")).exists()),
                    Err(RecvTimeoutError::Disconnected) => return None,
                }
            }
            if !waiting.is_empty() {
                return None;
            }
            Some(child)
        });
        if attached.is_none() {
            assert!(std::env::var_os("CI").is_none(), "strace cannot look on, and CI is set");
            println!("skipped: strace cannot look on at other processes here");
        }
        attached.map(|child| Self { child, folder })
    }

    /// Ends it and answers its lines.
    fn end(mut self) -> Vec<Call> {
        let interrupted = Command::new("kill").args(["-INT", &self.child.id().to_string()]).status();
        assert!(interrupted.unwrap().success());
        let _ = self.child.wait();
        let text = std::fs::read(self.folder.path().join("trace")).unwrap();
        calls(&String::from_utf8_lossy(&text))
    }
}

/// A system call: where in the trace it began and ended.
struct Call {
    thread: u32,
    began: usize,
    ended: usize,
    text: String,
}

impl Call {
    fn is(&self, names: &[&str]) -> bool {
        names.iter().any(|name| self.text.strip_prefix(name).is_some_and(|rest| rest.starts_with('(')))
    }

    /// The file that it is about, where that is said.
    fn file(&self) -> Option<&str> {
        self.text.split_once('<')?.1.split_once('>').map(|(file, _)| file)
    }

    fn done(&self) -> bool {
        self.text.rsplit_once("= ").is_some_and(|(_, result)| !result.starts_with('-') && !result.starts_with('?'))
    }
}

fn calls(text: &str) -> Vec<Call> {
    let mut calls = Vec::<Call>::new();
    for (at, line) in text.lines().enumerate() {
        let Some((thread, rest)) = line.split_once(' ') else { continue };
        let Ok(thread) = thread.parse() else { continue };
        let rest = rest.trim_start();
        if let Some(resumed) = rest.strip_prefix("<... ") {
            let open = calls.iter_mut().rev().find(|call| call.thread == thread && call.ended == usize::MAX);
            if let Some(call) = open {
                call.text.push_str(resumed);
                call.ended = at;
            }
            continue;
        }
        let ended = if rest.ends_with("<unfinished ...>") { usize::MAX } else { at };
        calls.push(Call { thread, began: at, ended, text: rest.to_owned() });
    }
    calls
}

/// Sends changes from a few clients and answers what each carried.
fn write(program: &Program) -> Vec<String> {
    let (barn_id, trainer) = found(&program.client());
    let path = format!("/api/v1/barns/{barn_id}/horses");
    let each = size::of(10, 100, 100);
    let one = || -> Vec<String> {
        let mut marks = Vec::new();
        for _ in 0..each {
            // random all through, so that either half tells it apart
            let [first, second] = [(); 2].map(|()| uuid::Uuid::new_v4().to_string());
            // unlike at both ends: of an update PostgreSQL logs the part that differs
            let (before, after) = (format!("a{first}a"), format!("b{second}b"));
            let made = trainer.post(&path, json!({"name": before, "profile": "horse"})).expect(201);
            trainer.patch(&format!("{path}/{}", made.id()), &made.etag(), json!({"name": after})).expect(200);
            marks.extend([first, second]);
        }
        marks
    };
    std::thread::scope(|scope| {
        let writing: Vec<_> = (0..CLIENTS).map(|_| scope.spawn(one)).collect();
        writing.into_iter().flat_map(|client| client.join().unwrap()).collect()
    })
}

/// Why the answer that carries the mark was sent too early; nothing where it was not.
fn too_early(calls: &[Call], log: &str, mark: &str) -> Option<String> {
    let carries = |call: &&Call| call.text.contains(mark);
    let answer = calls.iter().filter(carries).find(|call| call.text.contains("HTTP/1.1 20"));
    let Some(answer) = answer else { return Some(format!("{mark}: no answer seen")) };
    let is_log = |call: &&Call| call.text.split_once('>').is_some_and(|(file, _)| file.contains(log));
    // the log has pages, and the edge of one may cut a mark in two
    let (one, other) = mark.split_at(mark.len() / 2);
    let holds = |call: &&Call| call.text.contains(one) || call.text.contains(other);
    let logged = calls.iter().filter(is_log).filter(|call| !call.is(&["fsync", "fdatasync"])).find(holds);
    let Some(logged) = logged.filter(|call| call.ended < answer.began) else {
        return Some(format!("{mark}: answered before it was written"));
    };
    // whoever syncs the file: what PostgreSQL's own writer has written, the commit finds written and only syncs
    let synced = calls
        .iter()
        .filter(is_log)
        .filter(|call| call.is(&["fsync", "fdatasync"]) && call.done() && call.file() == logged.file())
        .any(|call| call.began > logged.ended && call.ended < answer.began);
    (!synced).then(|| format!("{mark}: answered before it was synced"))
}

/// In rounds, each with a trace of its own of whatever runs then: every change is looked for in all of it.
fn hold(name: &str, log: &str, program: &mut Program, database: impl Fn() -> Vec<u32>) {
    let (mut changes, mut seen, mut early) = (0, 0, Vec::new());
    for _ in 0..size::of(1, 1, 30) {
        let processes: Vec<u32> = database().into_iter().chain([program.id()]).collect();
        let Some(trace) = Trace::of(&processes) else { return };
        let marks = write(program);
        let calls = trace.end();
        changes += marks.len();
        seen += calls.len();
        early.extend(marks.iter().filter_map(|mark| too_early(&calls, log, mark)));
    }
    program.kill();
    println!(
        "sync on {name}: {changes} acknowledged changes from {CLIENTS} clients, {seen} system calls, {} answered before the log was synced",
        early.len()
    );
    assert!(early.is_empty(), "{early:?}");
}

#[test]
fn sqlite() {
    let folder = Folder::new();
    let url = format!("sqlite://{}/barns.sqlite3", folder.path().display());
    let mut program = Program::start(PROGRAM, &url);
    assert_eq!(number(&mut beside(&url), "SELECT synchronous AS number FROM pragma_synchronous"), 2, "not FULL");
    hold("SQLite", "barns.sqlite3-wal", &mut program, Vec::new);
}

#[test]
fn postgres() {
    let Some(cluster) = Cluster::start(true) else { return skipped() };
    let Some(main) = cluster.main_process() else { return println!("skipped: this PostgreSQL is not ours to look at") };
    let url = cluster.database();
    let mut conn = PgConnection::establish(&url).unwrap();
    // else the log's own writer may write a change before its commit does
    conn.batch_execute("ALTER SYSTEM SET wal_writer_delay = '10s'").unwrap();
    conn.batch_execute("SELECT pg_reload_conf()").unwrap();
    drop(conn);
    let mut program = Program::start(PROGRAM, &url);
    let AnyConn::Pg(mut session) = beside(&url) else { panic!("PostgreSQL") };
    for setting in ["fsync", "full_page_writes", "synchronous_commit"] {
        let on = format!("DO $$ BEGIN IF current_setting('{setting}') <> 'on' THEN RAISE 'it is off'; END IF; END $$");
        session.batch_execute(&on).expect(setting);
    }
    drop(session);
    let processes = || -> Vec<u32> {
        let children = std::fs::read_to_string(format!("/proc/{main}/task/{main}/children")).unwrap();
        let children = children.split_whitespace().map(|id| id.parse::<u32>().unwrap());
        [main].into_iter().chain(children).collect()
    };
    hold("PostgreSQL", "/pg_wal/", &mut program, processes);
}
