//! A member's 403 or 409 leaves one row, with who, what and where; a 401 or a 404 leaves none anywhere.
use super::rows::{Log, Row};
use crate::wall::two_barns::{Ids, account_of, fill};
use std::collections::{BTreeMap, BTreeSet};
use stridewright_api::problem::table::Kind;
use stridewright_api::routes::list;
use stridewright_tests::client::fresh;
use stridewright_tests::yard::session;
use stridewright_tests::{Answer, Client, Value, World, json, on_both};

struct Operation {
    method: String,
    path: String,
    template: String,
    /// The entity's name in `x-access`.
    resource: String,
}

/// Every operation of a barn, about what lies in it.
fn operations(world: &World, ids: &Ids) -> Vec<Operation> {
    let document = list::all().document();
    let mut found = Vec::new();
    let paths = document["paths"].as_object().unwrap().iter();
    for (template, item) in paths.filter(|(template, _)| template.contains("{barn_id}")) {
        let mut path = template.replace("{barn_id}", &world.barn_id).replace("{revision}", "1");
        path = path.replace("{exercise_key}", "related_five");
        while let Some((before, rest)) = path.clone().split_once('{') {
            let (name, after) = rest.split_once('}').unwrap();
            let of_person = template.contains("/people/") && name == "stand_down_id";
            let name = if of_person { "rider_stand_down_id" } else { name };
            let id = ids.get(name).unwrap_or_else(|| panic!("no {name} for {template}"));
            path = format!("{before}{id}{after}");
        }
        for (method, operation) in item.as_object().unwrap() {
            let access = operation["x-access"].as_str().unwrap();
            let resource = access.rsplit_once(':').unwrap().0.to_owned();
            let (method, path, template) = (method.to_uppercase(), path.clone(), template.clone());
            found.push(Operation { method, path, template, resource });
        }
    }
    assert!(found.len() > 80, "{} operations", found.len());
    found
}

/// Half a body: whoever may act at all is told of the body, the others of what they may.
fn send(client: &Client, operation: &Operation) -> Answer {
    let ask = client.ask(&operation.method, &operation.path);
    match operation.method.as_str() {
        "GET" => ask.send(),
        _ => ask.key(&fresh()).if_match("\"v0\"").bytes("application/json", b"{\"nothing\": ").send(),
    }
}

/// What is wrong with the rows that an answer left.
fn wrong(operation: &Operation, caller: Option<&str>, answer: &Answer, rows: &[Row]) -> Option<String> {
    let expected = [403, 409].contains(&answer.status);
    let fits = match (rows, caller, expected) {
        ([], _, false) => true,
        ([row], Some(caller), true) => {
            row.caller == caller
                && row.action == format!("{} {}", operation.method, operation.path)
                && row.resource == operation.resource
                && row.status == i32::from(answer.status)
                && (row.subject.is_empty() || operation.path.contains(&row.subject))
        }
        _ => false,
    };
    (!fits).then(|| format!("{} {}: {} left {rows:?}", operation.method, operation.template, answer.status))
}

fn account(client: &Client) -> String {
    client.get("/api/v1/me").expect(200).id()
}

on_both! {
    fn of_every_operation(world) {
        let (ids, members) = fill(world);
        let (log, elsewhere) = (Log::of(world), world.elsewhere());
        let far = Log::of(&elsewhere);
        let helper = world.anonymous().with_token(&ids["rail_secret"]);
        let trainer = account_of(world);
        let mut callers: Vec<(&str, Client, Option<String>)> = vec![
            ("trainer", world.trainer.client.clone(), Some(trainer)),
            ("stranger", elsewhere.trainer.client.clone(), None),
            ("nobody", world.anonymous(), None),
            ("helper", helper, Some(ids["rail_link_id"].clone())),
        ];
        for (name, member) in [("rider", &members.rider), ("owner", &members.owner), ("guardian", &members.guardian)] {
            callers.push((name, member.client.clone(), Some(account(member))));
        }
        let all = operations(world, &ids);
        let (mut faults, mut statuses) = (Vec::new(), BTreeMap::<u16, usize>::new());
        for (name, client, id) in &callers {
            for operation in &all {
                let before = far.len();
                let (answer, rows) = log.during(|| send(client, operation));
                *statuses.entry(answer.status).or_default() += 1;
                // what succeeds without a body leaves its own row
                if answer.status >= 400 {
                    faults.extend(wrong(operation, id.as_deref(), &answer, &rows).map(|fault| format!("{name}: {fault}")));
                }
                assert_eq!(far.len(), before, "{name}: {} wrote into another barn's log", operation.template);
            }
        }
        assert_eq!(faults, Vec::<String>::new());
        let asked = all.len() * callers.len();
        println!("refusals on {:?}: {asked} requests of {} operations, answers {statuses:?}; each 403 left its row, no 401 or 404 any", world.server.database, all.len());
        assert!(statuses[&403] > 50 && statuses[&404] > 100 && statuses[&401] > 80, "{statuses:?}");
    }

    fn of_every_kind_of_conflict(world) {
        let (ids, members) = fill(world);
        let (log, trainer) = (Log::of(world), account_of(world));
        let yard = &members;
        let at = |rest: &str| world.at(rest);
        let hour = session(yard, "2026-06-08", 9, 10);
        world.trainer.post(&at("sessions"), hour.clone()).expect(201);
        let many = session(yard, "2026-06-15", 9, 90);
        let person = at(&format!("people/{}", world.trainer.person_id));
        let etag = world.trainer.get(&person).etag();
        let horse = json!({"id": ids["horse_id"], "name": "Twice", "profile": "horse"});
        let ends = at(&format!("invitations/{}", ids["accepted_invitation_id"]));
        let ended = world.trainer.get(&ends).etag();
        let fence = json!({"label": "1", "kind": "vertical", "height_cm": 60});
        let bare = json!({"name": "One", "revision": {"level": "usual", "fences": [fence]}});
        let plan = at(&format!("exercises/{}/revisions/1/plan.svg", world.make("exercises", bare)));
        let paddock = world.make("arenas", json!({"name": "Paddock", "length_m": 12, "width_m": 10}));
        let large = at(&format!("arenas/{paddock}/library/related_seven"));
        let empty = world.session(&world.arena(), "2026-06-22T09:00:00Z", "2026-06-22T10:00:00Z");
        let sheet = at(&format!("sessions/{empty}/setting-sheet.html"));
        let refused: Vec<(&str, Answer, Vec<Row>)> = vec![
            ("not_placed", log.during(|| world.trainer.get(&plan))),
            ("no_room", log.during(|| world.trainer.get(&large))),
            ("nothing_to_set", log.during(|| world.trainer.get(&sheet))),
            ("conflict", log.during(|| world.trainer.post(&at("horses"), horse))),
            ("at_odds", log.during(|| world.trainer.get(&at("rides?from=2026-06-02&to=2026-06-01")))),
            ("occupied", log.during(|| world.trainer.post(&at("sessions"), hour))),
            ("rule_refused", log.during(|| world.trainer.post(&at("sessions"), many))),
            ("wrong_state", log.during(|| world.trainer.delete(&ends, &ended))),
            ("last_trainer", log.during(|| world.trainer.delete(&person, &etag))),
        ]
        .into_iter()
        .map(|(code, (answer, rows))| (code, answer, rows))
        .collect();
        let mut met = BTreeSet::new();
        for (code, answer, rows) in refused {
            let answer = answer.refused(409, code);
            assert!(rows.len() == 1 && rows[0].caller == trainer && rows[0].status == 409, "{code}: {rows:?} {}", answer.text());
            met.insert(code.to_owned());
        }
        let all: BTreeSet<String> =
            Kind::ALL.iter().map(|kind| kind.row()).filter(|row| row.status == 409).map(|row| row.code.to_owned()).collect();
        assert_eq!(met, all, "a kind of conflict is not met");
        // other refusals leave nothing
        let (_, none) = log.during(|| {
            world.trainer.post(&at("horses"), json!({"name": "", "profile": "cow"})).expect(422);
            world.trainer.patch(&person, "\"v0\"", json!({"name": "Mara"})).expect(412);
            world.trainer.ask("PATCH", &person).json(&json!({"name": "Mara"})).send().expect(428);
        });
        assert_eq!(none, []);
        let what: Vec<Value> = log.rows().iter().map(|row| json!(row.status)).filter(|s| *s == json!(409)).collect();
        println!("refusals on {:?}: {} kinds of 409, {} rows", world.server.database, met.len(), what.len());
    }
}
