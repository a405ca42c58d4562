//! What a client outside the program meant to write and what was acknowledged, in a file of its own: a line is on
//! the disk before the request is sent, and another once it was answered.
use std::collections::BTreeMap;
use std::fs::File;
use std::io::Write as _;
use std::path::{Path, PathBuf};
use std::sync::Mutex;
use stridewright_tests::operations::Request;
use stridewright_tests::{Answer, Client, Value, json};

pub struct Ledger {
    path: PathBuf,
    file: Mutex<File>,
}

/// A request as it was meant.
#[derive(Debug, Clone)]
pub struct Intent {
    pub writer: usize,
    pub kind: String,
    /// What it changes, corrects or removes; empty where it makes something.
    pub of: String,
    pub request: Request,
    /// The ids in its answer, once there is one.
    pub ids: Option<Vec<String>>,
}

impl Ledger {
    pub fn new(folder: &Path) -> Self {
        let path = folder.join("ledger");
        let file = Mutex::new(File::create_new(&path).unwrap());
        Self { path, file }
    }

    fn append(&self, line: &Value) {
        let mut file = self.file.lock().unwrap();
        writeln!(file, "{line}").unwrap();
        file.sync_data().unwrap();
    }

    pub fn intend(&self, intent: &Intent) {
        let Request { method, path, key, etag, body, .. } = &intent.request;
        self.append(&json!({
            "intent": key, "writer": intent.writer, "kind": intent.kind, "of": intent.of,
            "method": method, "path": path, "etag": etag, "body": body
        }));
    }

    pub fn acknowledge(&self, key: &str, answer: &Answer) {
        self.append(&json!({"ack": key, "ids": ids(&answer.json)}));
    }

    /// Reads it back from the file, in the order of the intents.
    pub fn read(&self, client: &Client) -> Vec<Intent> {
        let text = std::fs::read_to_string(&self.path).unwrap();
        let (mut intents, mut places) = (Vec::<Intent>::new(), BTreeMap::<String, usize>::new());
        for line in text.lines() {
            let line: Value = serde_json::from_str(line).unwrap();
            let text = |field: &str| line[field].as_str().unwrap_or_default().to_owned();
            if let Some(key) = line["ack"].as_str() {
                let ids = line["ids"].as_array().unwrap().iter().map(|id| id.as_str().unwrap().to_owned());
                intents[places[key]].ids = Some(ids.collect());
                continue;
            }
            places.insert(text("intent"), intents.len());
            let request = Request {
                client: client.clone(),
                method: text("method"),
                path: text("path"),
                key: text("intent"),
                etag: line["etag"].as_str().map(str::to_owned),
                body: Some(line["body"].clone()).filter(|body| !body.is_null()),
            };
            let writer = usize::try_from(line["writer"].as_u64().unwrap()).unwrap();
            intents.push(Intent { writer, kind: text("kind"), of: text("of"), request, ids: None });
        }
        intents
    }
}

/// The id of what was made, and those of its entries or rides.
pub fn ids(answer: &Value) -> Vec<String> {
    let parts = ["entries", "rides"].into_iter().filter_map(|field| answer[field].as_array()).flatten();
    let all = std::iter::once(answer).chain(parts);
    all.filter_map(|thing| thing["id"].as_str().map(str::to_owned)).collect()
}
