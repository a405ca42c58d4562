//! The log file: refusals, failures and sign-ins, one JSON object a line whatever strangers send, and no secrets.
use std::collections::BTreeMap;
use std::io::{BufRead, BufReader, Read, Write};
use std::net::TcpStream;
use std::process::{Child, Command, Stdio};
use std::sync::mpsc::{Receiver, channel};
use std::time::Duration;
use stridewright_api::db::pool::{Db, Location};
use stridewright_api::db::scope::Scope;
use stridewright_api::problem::Problem;
use stridewright_core::ids::{Barn, Id};
use stridewright_tests::barn::{PASSWORD, found, fresh_email, sign_in};
use stridewright_tests::temporary::Folder;
use stridewright_tests::{Client, Value, json};

/// The program, and what it writes to its log.
struct Logging {
    child: Child,
    lines: Receiver<Vec<u8>>,
    base: String,
}

impl Logging {
    fn start(url: &str) -> Self {
        let mut child = Command::new(env!("CARGO_BIN_EXE_barn-server"))
            .args(["--database-url", url, "serve", "--listen", "127.0.0.1:0"])
            .env_remove("STRIDEWRIGHT_LOG")
            .stderr(Stdio::piped())
            .spawn()
            .unwrap();
        let (said, lines) = channel();
        let mut output = BufReader::new(child.stderr.take().unwrap());
        std::thread::spawn(move || {
            let mut line = Vec::new();
            while output.read_until(b'\n', &mut line).is_ok_and(|n| n > 0) {
                if said.send(std::mem::take(&mut line)).is_err() {
                    return;
                }
            }
        });
        let base = loop {
            let line = lines.recv_timeout(Duration::from_secs(60)).expect("it listens");
            if let Some(base) = String::from_utf8(line).unwrap().trim_end().strip_prefix("listening on ") {
                break base.to_owned();
            }
        };
        Self { child, lines, base }
    }

    /// Ends it; everything it logged.
    fn stop(mut self) -> Vec<Vec<u8>> {
        let _ = self.child.kill();
        let _ = self.child.wait();
        self.lines.iter().collect()
    }

    /// Sends bytes as they are; the status of the answer.
    fn raw(&self, request: &[u8]) -> String {
        let mut stream = TcpStream::connect(self.base.trim_start_matches("http://")).unwrap();
        stream.write_all(request).unwrap();
        let mut answer = Vec::new();
        let _ = stream.read_to_end(&mut answer);
        String::from_utf8_lossy(&answer).split(' ').nth(1).unwrap_or_default().to_owned()
    }
}

impl Drop for Logging {
    fn drop(&mut self) {
        let _ = self.child.kill();
        let _ = self.child.wait();
    }
}

/// What would end a line, move a cursor or colour a screen, where it is written as it came.
const STRANGE: [&str; 6] = ["%0d%0aforged", "\u{2028}forged", "\u{85}forged", "%1b[31m", "\"}forged", "\u{202e}forged"];

#[test]
fn is_one_object_a_line_without_secrets() {
    let folder = Folder::new();
    let file = format!("{}/barns.sqlite3", folder.path().display());
    let program = Logging::start(&format!("sqlite://{file}"));
    let anonymous = Client::new(&program.base);
    let (barn, trainer) = found(&anonymous);
    let at = |rest: &str| format!("/api/v1/barns/{barn}/{rest}");
    let secret =
        trainer.post(&at("invitations"), json!({"name": "Robin", "roles": ["rider"]})).expect(201).text_of("secret");
    let email = fresh_email("rider");
    let account = json!({"email": email, "name": "Robin", "password": PASSWORD, "invitation": secret});
    anonymous.post("/api/v1/accounts", account).expect(201);
    let rider = sign_in(&anonymous, &email).member;
    let wrong = json!({"email": email, "password": "seven-strides-to-the-wall"});
    anonymous.post("/api/v1/sign-ins", wrong).expect(401);
    anonymous.get(&at("horses")).expect(401);
    trainer.get(&at("horse")).expect(404);
    let mut answered = BTreeMap::<String, usize>::new();
    for strange in STRANGE {
        for path in [format!("/api/v1/barns/{strange}"), format!("/{strange}"), "/nothing".to_owned()] {
            let agent = strange.replace('%', "\t");
            let headers = format!("Host: barn\r\nUser-Agent: {agent}\r\nIdempotency-Key: {agent}\r\nConnection: close");
            let status = program.raw(format!("GET {path} HTTP/1.1\r\n{headers}\r\n\r\n").as_bytes());
            *answered.entry(status).or_default() += 1;
        }
    }
    let raw = |status: &str| answered.get(status).copied().unwrap_or_default();
    assert!(raw("404") >= STRANGE.len() && raw("401") > 0, "{answered:?}");
    // a refusal that cannot be kept is answered all the same
    let (held, told) = channel();
    let (done, release) = channel::<()>();
    let (here, location) = (barn.parse::<Id<Barn>>().unwrap(), Location::parse(&format!("sqlite://{file}")).unwrap());
    let holder = std::thread::spawn(move || {
        let work = |_: &mut _| {
            held.send(()).unwrap();
            release.recv_timeout(Duration::from_secs(60)).ok();
            Ok::<(), Problem>(())
        };
        Db::open(&location).unwrap().write(&Scope::barn(here), work).unwrap_or_else(|p| panic!("{p}"));
    });
    told.recv().unwrap();
    rider.get(&at("invitations")).expect(403);
    done.send(()).unwrap();
    holder.join().unwrap();

    // a failure of the database
    let db = Db::open(&Location::parse(&format!("sqlite://{file}")).unwrap()).unwrap();
    db.conn().unwrap().batch("DROP TABLE guess").unwrap();
    anonymous.post("/api/v1/sign-ins", json!({"email": email, "password": PASSWORD})).expect(500);

    let lines = program.stop();
    let events: Vec<Value> = lines
        .iter()
        .map(|line| {
            let text = line.strip_suffix(b"\n").unwrap();
            assert!(text.iter().all(|b| (0x20..0x7f).contains(b)), "{:?}", String::from_utf8_lossy(text));
            serde_json::from_slice(text).unwrap_or_else(|e| panic!("{e}: {}", String::from_utf8_lossy(text)))
        })
        .collect();
    let of = |event: &str| events.iter().filter(|e| e["fields"]["event"] == event).count();
    let refused = |status: u16| {
        events.iter().filter(|e| e["fields"]["event"] == "refused" && e["fields"]["status"] == status).count()
    };
    assert_eq!((of("signed_in"), of("sign_in_refused"), of("failed")), (2, 1, 1), "{events:#?}");
    // what the HTTP library refuses before it is a request (400) is not ours to log
    assert_eq!((refused(401), refused(404), refused(403)), (2 + raw("401"), 1 + raw("404"), 1), "{answered:?}");
    let lost = events.iter().filter(|e| e["fields"]["message"] == "a refusal is missing in the audit log").count();
    assert_eq!(lost, 1, "{events:#?}");
    let all = String::from_utf8(lines.concat()).unwrap();
    let tokens = [trainer.token.clone().unwrap(), rider.token.clone().unwrap()];
    for secret in [PASSWORD, "seven-strides", &secret, &email, &trainer.email, &tokens[0], &tokens[1], "Bearer"] {
        assert!(!all.contains(secret), "{secret} stands in the log");
    }
    println!(
        "log file: {} events on as many lines, {} sign-ins, strange text answered {answered:?} among them, no secret",
        events.len(),
        of("signed_in") + of("sign_in_refused"),
    );
}
