//! Who walks through a list page by page misses nothing and reads nothing twice of what was there all along, while
//! others put in and take out: every list of the document.
use std::collections::BTreeMap;
use std::sync::atomic::{AtomicBool, AtomicUsize, Ordering};
use stridewright_tests::operations::{Operation, Request, Stage};
use stridewright_tests::postgres::skipped;
use stridewright_tests::server::{Server, settings};
use stridewright_tests::{Client, Database, Value, json, size};

const PAGES: [usize; 4] = [1, 7, 50, 200];
/// How many rows a list may have, where there is a most: the barns of an account, the goes of an entry.
fn most(list: &Operation) -> Option<usize> {
    match list.template.as_str() {
        "/api/v1/barns" => Some(stridewright_api::barns::memberships::MOST),
        template if template.ends_with("/entries/{entry_id}/rides") => {
            usize::try_from(stridewright_api::rides::log::MOST).ok()
        }
        _ => None,
    }
}

/// What the pages of a list show: how often each id.
fn walk(client: &Client, path: &str, limit: usize) -> BTreeMap<String, usize> {
    let (mut seen, mut cursor) = (BTreeMap::new(), String::new());
    loop {
        let page = client.get(&format!("{path}?limit={limit}{cursor}")).expect(200);
        assert!(page.items().len() <= limit, "{path}: a page of {} where {limit} were asked for", page.items().len());
        for item in page.items() {
            *seen.entry(id_of(item)).or_default() += 1;
        }
        match page["next_cursor"].as_str() {
            Some(next) => cursor = format!("&cursor={next}"),
            None => return seen,
        }
    }
}

/// Its id, or what stands for it: the barn of a membership, the number of a revision.
fn id_of(item: &Value) -> String {
    let named = ["id", "guardian_id", "revision"].iter().map(|field| &item[*field]).find(|id| !id.is_null());
    named.unwrap_or(&item["barn"]["id"]).to_string()
}

/// What puts rows into a list: the POST to its address, or to the same thing further down.
fn inserts<'a>(all: &'a [Operation], list: &Operation) -> &'a Operation {
    let last = list.template.rsplit('/').next().unwrap();
    let posts = |o: &&Operation| o.method == "POST" && o.keyed;
    let own = all.iter().filter(posts).find(|o| o.template == list.template);
    let further = || all.iter().filter(posts).find(|o| o.template.ends_with(&format!("/{last}")));
    own.or_else(further).unwrap_or_else(|| panic!("nothing puts rows into {}", list.template))
}

/// A request to insert, whose row comes anywhere in the order of ids.
fn anywhere(stage: &Stage, insert: &Operation, path: &str) -> Request {
    let mut request = stage.request_to(insert, path);
    if let Some(id) = request.body.as_mut().and_then(|body| body.get_mut("id")) {
        let random = uuid::Uuid::new_v4();
        let millis = 1_500_000_000_000 + u64::from(u32::from_be_bytes(random.as_bytes()[..4].try_into().unwrap())) * 50;
        let bytes = random.as_bytes()[6..].try_into().unwrap();
        *id = json!(uuid::Builder::from_unix_timestamp_millis(millis, bytes).into_uuid());
    }
    request
}

#[derive(Default)]
struct Figures {
    walks: usize,
    rows: usize,
    inserted: AtomicUsize,
    removed: AtomicUsize,
}

fn walks_through(stage: &Stage, list: &Operation, rows: usize, figures: &mut Figures) {
    let (name, all) = (&list.template, stage.operations());
    let insert = inserts(all, list);
    let remove = all.iter().find(|o| o.method == "DELETE" && o.template.rsplit_once('/').unwrap().0 == insert.template);
    // the list and what puts rows into it are of the same things
    let own = insert.template == list.template;
    let path = if own {
        stage.path(&insert.template)
    } else {
        format!("/api/v1/barns/{}/{}", stage.barn_id, name.rsplit('/').next().unwrap())
    };
    let into = || if own { path.clone() } else { stage.path(&insert.template) };
    let put = |request: Request| {
        let answer = request.send();
        assert!(answer.status < 300, "{name}: {} {}", answer.status, answer.text());
        answer
    };
    let most = most(list);
    // half of it, so that room is left for what comes meanwhile
    for _ in 0..most.map_or(rows, |most| rows.min(most / 2)) {
        put(anywhere(stage, insert, &into()));
    }
    let client = &stage.trainer.client;
    let steady = walk(client, &path, 200);
    assert!(steady.len() >= rows.min(steady.len()) && steady.values().all(|times| *times == 1), "{name}");
    figures.rows += steady.len();
    let (done, inserted, removed) = (AtomicBool::new(false), &figures.inserted, &figures.removed);
    std::thread::scope(|scope| {
        scope.spawn(|| {
            while !done.load(Ordering::Relaxed) {
                let answer = anywhere(stage, insert, &into()).send();
                if most.is_some() && answer.status == 409 {
                    return; // it is full, and was not before
                }
                assert!(answer.status < 300, "{name}: {} {}", answer.status, answer.text());
                let made = answer.header("location");
                inserted.fetch_add(1, Ordering::Relaxed);
                if remove.is_some() && !made.is_empty() {
                    let mut ask = client.ask("DELETE", &made);
                    let etag = client.get(&made).expect(200).header("etag");
                    if !etag.is_empty() {
                        ask = ask.if_match(&etag);
                    }
                    removed.fetch_add(usize::from(ask.send().status == 204), Ordering::Relaxed);
                }
            }
        });
        for limit in PAGES {
            let seen = walk(client, &path, limit);
            let missed: Vec<&String> = steady.keys().filter(|id| !seen.contains_key(*id)).collect();
            let repeated: Vec<&String> = seen.iter().filter(|(_, times)| **times > 1).map(|(id, _)| id).collect();
            figures.walks += 1;
            if !missed.is_empty() || !repeated.is_empty() {
                done.store(true, Ordering::Relaxed);
                panic!("{name} in pages of {limit}: missed {missed:?}, repeated {repeated:?}");
            }
        }
        done.store(true, Ordering::Relaxed);
    });
}

fn every_list(database: Database) {
    let Some(server) = Server::alone(database, settings()) else { return skipped() };
    let rows = size::of(16, 210, 2_000);
    let mut figures = Figures::default();
    let stage = Stage::new(&Client::new(&server.base));
    let lists: Vec<Operation> = stage.operations().iter().filter(|o| o.paged && o.method == "GET").cloned().collect();
    assert!(lists.len() > 15);
    for list in &lists {
        // each in a barn of its own, or one list would grow by the others' rows
        let stage = Stage::new(&Client::new(&server.base));
        walks_through(&stage, list, rows, &mut figures);
    }
    let Figures { walks, rows, inserted, removed } = figures;
    println!(
        "cursor walks on {database:?}: {} lists, {walks} walks in pages of {PAGES:?} over {rows} rows, {} put in and {} \
         taken out meanwhile, 0 missed, 0 repeated",
        lists.len(),
        inserted.into_inner(),
        removed.into_inner()
    );
}

#[test]
fn sqlite() {
    every_list(Database::Sqlite);
}

#[test]
fn postgres() {
    every_list(Database::Postgres);
}
