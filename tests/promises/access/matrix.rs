//! The matrix: privileged success first, then everybody who is refused.
use super::bodies::About;
use super::callers::{self, Refused};
use super::expected::{self, Line};
use super::operations::Operation;
use super::requests::{Request, lasting, said, whole};
use super::store::Store;
use super::twin;
use super::yard::{Place, Yard, nobody};
use std::cell::{Cell, RefCell};
use std::collections::{BTreeMap, BTreeSet};
use stridewright_tests::barn::{Member, PASSWORD};
use stridewright_tests::server::Server;
use stridewright_tests::{Answer, Client, json};

pub struct Matrix<'a> {
    pub here: Yard,
    pub there: Yard,
    pub store: Store,
    pub answers: usize,
    pub lines: &'a [Line<'a>],
    removed: Member,
    both: Member,
    bad: Refused,
    refresh: String,
    /// Ids that were there from the beginning.
    pub known: BTreeSet<String>,
    /// What each allowed request was answered when there was no twin.
    alone: BTreeMap<(String, &'static str), String>,
    counted: Cell<usize>,
    faults: RefCell<Vec<String>>,
}

/// Somebody of a column: who asks, and about which place.
pub struct Caller<'a> {
    pub column: &'static str,
    name: String,
    pub client: Client,
    pub place: &'a Place,
}

impl<'a> Matrix<'a> {
    pub fn new(server: &'static Server, lines: &'a [Line<'a>]) -> Self {
        let (here, there) = (Yard::new(server, "canary-a"), Yard::new(server, "canary-b"));
        let mut store = Store::open(server.database, &server.url);
        let (removed, both) = (callers::removed(&here), callers::of_both(&here, &there));
        let bad = callers::refused(&here, &mut store);
        for yard in [&here, &there] {
            assert_eq!(
                store.tables_without_rows(&yard.world.barn_id),
                Vec::<String>::new(),
                "every kind of row exists"
            );
        }
        let session = json!({"email": here.rider.email, "password": PASSWORD});
        let refresh = here.world.anonymous().post("/api/v1/sign-ins", session).expect(201).text_of("refresh_token");
        store.keep();
        let places = [&here.near, &here.far, &here.ward, &there.near, &there.far, &there.ward];
        let known = places.iter().flat_map(|place| place.all().cloned()).chain([twin::BARN.to_owned()]).collect();
        let (alone, counted, faults) = (BTreeMap::new(), Cell::new(0), RefCell::new(Vec::new()));
        Self { here, there, store, answers: 0, lines, removed, both, bad, refresh, known, alone, counted, faults }
    }

    /// How many sorts of callers and credentials ask.
    pub fn callers(&self) -> usize {
        expected::COLUMNS.len() + 4 + self.bad.len()
    }

    pub fn request(&self, operation: &Operation, line: &str, place: &Place, trainer: bool) -> Request {
        let about = About { yard: &self.here, place, trainer, refresh: &self.refresh };
        Request::new(operation, line, about, &self.here.world.trainer)
    }

    /// Sends; whatever is answered holds nothing of another barn.
    pub fn send(&self, request: &Request, client: &Client) -> Answer {
        let answer = request.send(client);
        self.clean(request, client, &answer);
        answer
    }

    fn clean(&self, request: &Request, client: &Client, answer: &Answer) {
        self.counted.set(self.counted.get() + 1);
        let bytes = format!("{:?}\n{}", answer.headers, answer.text());
        let of_here = [&self.here.world.trainer, &self.here.rider, &self.here.owner, &self.here.guardian];
        let here = request.path.contains(&self.here.world.barn_id)
            || of_here.iter().any(|member| member.client.token == client.token);
        for canary in [self.there.canary.as_str(), twin::CANARY] {
            // the twin is nobody's
            let clean = !bytes.contains(canary) || (!here && canary != twin::CANARY);
            self.require(clean, || format!("{} {} tells of {canary}: {bytes}", request.method, request.path));
        }
        self.require(answer.status < 500, || format!("{} {}: {bytes}", request.method, request.path));
    }

    /// Notes a fault; a part of the matrix is gone through to its end before it fails, unless one is enough.
    pub fn require(&self, holds: bool, fault: impl FnOnce() -> String) {
        if !holds {
            self.faults.borrow_mut().push(fault());
            if std::env::var_os("STRIDEWRIGHT_ONE_FAULT").is_some() {
                self.settle("at the first fault");
            }
        }
    }

    /// Fails with what was noted.
    pub fn settle(&self, part: &str) {
        let faults = self.faults.borrow();
        assert!(
            faults.is_empty(),
            "{part}: {} faults, of which the first are\n{}",
            faults.len(),
            faults[..faults.len().min(40)].join("\n")
        );
    }

    /// Fails where any row differs from what was kept.
    pub fn unchanged(&mut self, what: &str) {
        self.answers = self.counted.get();
        let changes = self.store.changes();
        assert!(changes.is_empty(), "{what}: refused, and done all the same: {changes:?}");
    }

    /// Those of the table's columns, with the place that makes it own or another's.
    pub fn columns(&self) -> Vec<Caller<'_>> {
        let (here, there) = (&self.here, &self.there.world);
        let (near, far, ward) = (&here.near, &here.far, &here.ward);
        let member =
            |column, client: &Client, place| Caller { column, name: column.to_owned(), client: client.clone(), place };
        vec![
            member("trainer", &here.world.trainer, near),
            member("rider-own", &here.rider, near),
            member("rider-other", &here.rider, far),
            member("guardian-own", &here.guardian, ward),
            member("guardian-other", &here.guardian, far),
            member("owner-own", &here.owner, near),
            member("owner-other", &here.owner, far),
            member("rail-own", &here.client(&here.rail), near),
            member("rail-other", &here.client(&here.rail), far),
            member("stranger", &there.trainer, near),
            member("anonymous", &here.world.anonymous(), near),
        ]
    }

    /// Those who are as somebody of the table: other strangers, and who belongs to both barns.
    fn as_others(&self) -> Vec<Caller<'_>> {
        let (near, far) = (&self.here.near, &self.here.far);
        let caller = |column, name: &str, member: &Member, place| Caller {
            column,
            name: name.to_owned(),
            client: member.client.clone(),
            place,
        };
        vec![
            caller("stranger", "rider of another barn", &self.there.rider, near),
            caller("stranger", "owner of another barn", &self.there.owner, near),
            caller("stranger", "removed member", &self.removed, near),
            caller("rider-other", "rider here, trainer of another barn", &self.both, far),
        ]
    }

    fn ask(&self, line: &Line<'_>, caller: &Caller<'_>) -> (Request, Answer) {
        let mut request = self.request(line.operation, &line.line, caller.place, caller.column == "trainer");
        if !line.operation.in_barn() && line.operation.wants_match {
            // one's own account has one's own version
            let read = caller.client.get(&request.path);
            request.headers =
                vec![("If-Match".to_owned(), if read.status == 200 { read.etag() } else { "\"v1\"".to_owned() })];
        }
        let answer = self.send(&request, &caller.client);
        let cell = line.cell(caller.column);
        let at = format!("{} as {}: expected {cell}", line.line, caller.name);
        self.require(expected::is(answer.status, cell), || format!("{at}, not {}: {}", answer.status, answer.text()));
        // a good answer has the headers that the document names for it, of these, and no others
        if let Some(named) = line.operation.headers.get(&answer.status.to_string()) {
            for header in ["etag", "location"] {
                let (said, sent) = (named.contains(header), answer.headers.contains_key(header));
                self.require(said == sent, || format!("{at}: {header} said: {said}, sent: {sent}"));
            }
        }
        (request, answer)
    }

    /// Those allowed, and what they are answered while there is no twin.
    pub fn alone(&mut self) {
        let mut alone = BTreeMap::new();
        for line in self.lines {
            for n in self.allowed_in(line) {
                let caller = &self.columns()[n];
                let (_, answer) = self.ask(line, caller);
                alone.insert((line.line.clone(), caller.column), lasting(&answer, &self.known));
                self.store.put_back();
            }
        }
        self.alone = alone;
        self.settle("those who may");
    }

    /// Which of the columns may, or fail only for what the body names.
    fn allowed_in(&self, line: &Line<'_>) -> Vec<usize> {
        let columns = self.columns();
        let may = |caller: &Caller<'_>| ["ok", "409"].contains(&line.cell(caller.column));
        (0..columns.len()).filter(|n| may(&columns[*n])).collect()
    }

    pub fn with_a_twin(&mut self) {
        twin::make(&mut self.store, &self.here);
        self.store.keep();
    }

    /// The same beside the twin: the same answers, and what is written is written here only.
    pub fn allowed(&mut self) {
        let here = self.here.world.barn_id.replace('-', "");
        for line in self.lines {
            for n in self.allowed_in(line) {
                let caller = &self.columns()[n];
                let (_, answer) = self.ask(line, caller);
                let at = format!("{} as {}", line.line, caller.column);
                // what stands outside of barns counts as it goes
                if !line.operation.public {
                    let before = &self.alone[&(line.line.clone(), caller.column)];
                    let beside = lasting(&answer, &self.known);
                    self.require(&beside == before, || {
                        format!("{at}: without the twin\n{before}\nand with it\n{beside}")
                    });
                }
                let column = caller.column;
                let changes = self.store.put_back();
                let elsewhere: Vec<_> = changes.iter().filter(|(_, barn)| !barn.is_empty() && *barn != here).collect();
                let fresh = !line.operation.in_barn();
                self.require(elsewhere.is_empty() || fresh, || {
                    format!("{at}: rows of other barns changed: {elsewhere:?}")
                });
                let asks = line.operation.asks() || line.cell(column) != "ok";
                self.require(!asks || changes.is_empty(), || format!("{at}: changed {changes:?}"));
            }
        }
        self.settle("those who may, beside a twin");
    }

    /// Those not allowed. What is hidden is answered as what is not there, to the byte.
    pub fn refused(&mut self) {
        for line in self.lines {
            for caller in self.columns().iter().chain(&self.as_others()) {
                let cell = line.cell(caller.column);
                if ["ok", "409"].contains(&cell) {
                    if caller.name != caller.column && line.operation.asks() {
                        self.ask(line, caller);
                    }
                    continue;
                }
                let (request, answer) = self.ask(line, caller);
                if request.body.is_some() {
                    let half = request.send_half(&caller.client);
                    let at = || format!("{} as {} with half a body: {}", line.line, caller.name, whole(&half));
                    // who may ask some of this is refused for what the body asks
                    let other =
                        |of: &Line<'_>| of.operation.name == line.operation.name && of.cell(caller.column) == "ok";
                    let may_say = cell == "403" && self.lines.iter().any(other);
                    self.require(said(&half) == said(&answer) || (may_say && half.status == 400), at);
                }
                if cell == "404" {
                    let absent = self.send(&self.absent(line, &request, caller), &caller.client);
                    let (hidden, absent) = (whole(&answer), whole(&absent));
                    let at = || format!("{} as {}: hidden\n{hidden}\nand absent\n{absent}", line.line, caller.name);
                    self.require(hidden == absent, at);
                }
            }
            self.unchanged(&line.line);
        }
        self.settle("those who may not");
    }

    /// The same request about what is nowhere: the barn's id for who is no part of it, else every other id.
    fn absent(&self, line: &Line<'_>, request: &Request, caller: &Caller<'_>) -> Request {
        let barn = &self.here.world.barn_id;
        if caller.column == "stranger" {
            return request.swap(barn, &nobody());
        }
        let in_path = line.operation.in_path.iter().filter(|name| name.ends_with("_id") && *name != "barn_id");
        in_path.fold(request.clone(), |request, name| {
            let id = caller.place.id(&line.line, name).expect("an id");
            Request { path: request.path.replace(id, &nobody()), ..request }
        })
    }

    /// Credentials that do not hold: 401, the same for every reason and every thing, there or not.
    pub fn without_credentials(&mut self) {
        for line in self.lines.iter().filter(|line| !line.operation.public) {
            let request = self.request(line.operation, &line.line, &self.here.near, true);
            let mut first = None;
            for (name, values) in &self.bad {
                let answer = request.send_with(&self.here.world.anonymous(), values);
                self.clean(&request, &self.here.world.anonymous(), &answer);
                let at = format!("{} with {name}", line.line);
                let refused = answer.status == 401 && answer["code"] == "unauthenticated";
                self.require(refused, || format!("{at}: {} {}", answer.status, answer.text()));
                let challenged = answer.header("www-authenticate").starts_with("Bearer");
                self.require(challenged, || format!("{at}: no challenge"));
                let said = said(&answer);
                let same = *first.get_or_insert_with(|| said.clone()) == said;
                self.require(same, || format!("{at}: not the same for every reason: {said}"));
            }
            self.unchanged(&line.line);
        }
        self.settle("credentials that do not hold");
    }
}
