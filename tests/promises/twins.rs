//! Barns that hold the same ids. Every key begins with the barn, so the same horse's id may stand in three
//! barns; a query that forgets its barn finds a twin's row, or two, and is seen here in what it answers.
//!
//! The middle one of three barns is read whole before and after its twins are filled, and the twins before and
//! after it is changed, by the same accounts in each; every operation of the document takes part.
mod changes;
mod check;
mod contrary;
mod links;
mod steps;
mod trio;

use super::access::store::{Line, Store};
use diesel::prelude::*;
use std::collections::{BTreeMap, BTreeSet};
use stridewright_api::db::check::faults;
use stridewright_api::db::schema::barn_answer;
use stridewright_api::on_each;
use stridewright_api::routes::list;
use stridewright_core::ids::{Barn, Id};
use stridewright_tests::barn::sign_in;
use stridewright_tests::{Client, Value, World, json, on_both, operations, rows};
use trio::{CALLERS, Trio, Twin};

/// What every address of a barn answers to each caller: status, version and body.
type Reading = BTreeMap<String, (u16, String, Vec<u8>)>;

/// A value for a parameter that an address asks for; ids come from the trio.
fn value_of(trio: &Trio, template: &str, name: &str) -> Option<String> {
    Some(match name {
        "from" if template.ends_with("/calendar") => "2026-05-25T00:00:00Z".to_owned(),
        "to" if template.ends_with("/calendar") => "2026-06-14T00:00:00Z".to_owned(),
        "from" => "2026-05-20".to_owned(),
        "to" => "2026-06-20".to_owned(),
        "distance_m" => "21.9456".to_owned(),
        "first_height_cm" | "second_height_cm" => "90".to_owned(),
        "show_id" => "summer-show".to_owned(),
        name if name.ends_with("_id") => trio.ids.get(name)?.clone(),
        _ => return None,
    })
}

/// Every address that reads something of a barn: as it is, and with each id it can be narrowed by.
fn readings(trio: &Trio) -> Vec<String> {
    let document = list::all().document();
    let mut found = Vec::new();
    for (template, item) in document["paths"].as_object().unwrap() {
        let Some(operation) = item.get("get").filter(|_| template.contains("{barn_id}")) else { continue };
        let parameters = operation["parameters"].as_array().map_or(&[][..], Vec::as_slice);
        let query: Vec<&Value> = parameters.iter().filter(|p| p["in"] == "query").collect();
        let name = |p: &Value| p["name"].as_str().unwrap().to_owned();
        let required: Vec<String> = query
            .iter()
            .filter(|p| p["required"] == true)
            .map(|p| {
                format!(
                    "{}={}",
                    name(p),
                    value_of(trio, template, &name(p)).unwrap_or_else(|| panic!("{template}: {p}"))
                )
            })
            .collect();
        found.push(format!("{template}?{}", required.join("&")));
        for parameter in query.iter().filter(|p| name(p).ends_with("_id")) {
            let value = value_of(trio, template, &name(parameter)).unwrap_or_else(|| panic!("{template}: {parameter}"));
            let narrowed = required.iter().cloned().chain([format!("{}={value}", name(parameter))]);
            found.push(format!("{template}?{}", narrowed.collect::<Vec<_>>().join("&")));
        }
    }
    assert!(found.len() > 40);
    found
}

fn read(trio: &Trio, twin: &Twin, addresses: &[String]) -> Reading {
    let mut reading = Reading::new();
    for address in addresses {
        let path = trio.fill(twin, address);
        for who in CALLERS {
            let answer = trio.client(who).get(&path);
            assert!([200, 403, 404, 409].contains(&answer.status), "{path}: {}", answer.text());
            reading.insert(format!("{who:?} {address}"), (answer.status, answer.version(), answer.bytes));
        }
    }
    for who in CALLERS {
        let barns = trio.client(who).get("/api/v1/barns").expect(200);
        let here = barns.items().iter().filter(|barn| barn["id"] == twin.id.as_str()).map(ToString::to_string);
        let here = here.collect::<Vec<_>>().join("\n");
        reading.insert(format!("{who:?} barns"), (barns.status, String::new(), here.into_bytes()));
        let me = trio.client(who).get("/api/v1/me").expect(200);
        let here = me["memberships"].as_array().unwrap().iter().filter(|m| m["barn"]["id"] == twin.id.as_str());
        let here: Vec<String> = here.map(ToString::to_string).collect();
        reading.insert(format!("{who:?} me"), (me.status, String::new(), here.join("\n").into_bytes()));
    }
    reading
}

fn changed(before: &Reading, after: &Reading) -> Vec<String> {
    let shown = |(status, version, body): &(u16, String, Vec<u8>)| {
        format!("{status} {version} {}", String::from_utf8_lossy(body))
    };
    let differing = before.iter().filter(|(address, answer)| after.get(*address) != Some(*answer));
    differing
        .map(|(address, answer)| format!("{address}\n  was {}\n  is  {}", shown(answer), shown(&after[address])))
        .collect()
}

#[track_caller]
fn assert_unchanged(what: &str, before: &Reading, after: &Reading) {
    let changed = changed(before, after);
    assert!(changed.is_empty(), "{what}: {} answers changed:\n{}", changed.len(), changed.join("\n"));
}

/// With the lists of its JSON in one order: what the service numbers in one moment has no order.
fn sorted(answer: &str) -> String {
    fn sort(value: &mut Value) {
        match value {
            Value::Array(list) => {
                list.iter_mut().for_each(sort);
                list.sort_by_key(Value::to_string);
            }
            Value::Object(map) => map.values_mut().for_each(sort),
            _ => {}
        }
    }
    let start = answer.find(" {").map_or(answer.len(), |space| space + 1);
    let (head, body) = answer.split_at(start);
    let mut json: Value = serde_json::from_str(body).unwrap_or_default();
    sort(&mut json);
    format!("{head}{json}")
}

#[track_caller]
fn assert_alike(what: &str, here: &[String], there: &[String]) {
    for (here, there) in here.iter().zip(there) {
        let same = here.bytes().zip(there.bytes()).take_while(|(a, b)| a == b).count();
        let part = |text: &String| text.bytes().skip(same.saturating_sub(200)).take(600).collect::<Vec<u8>>();
        let [one, other] = [here, there].map(|text| String::from_utf8_lossy(&part(text)).into_owned());
        assert!(here == there, "{what}: another answer to {}\n  …{one}\n  …{other}", &here[..here.len().min(120)]);
    }
}

/// Operations of a barn that no step took with success.
fn left_out(trio: &Trio) -> Vec<String> {
    let taken = trio.taken.borrow();
    let in_barn = operations::all().into_iter().filter(|o| o.template.contains("{barn_id}") && o.method != "GET");
    in_barn.filter(|o| !taken.contains(&(o.method.clone(), o.template.clone()))).map(|o| o.name()).collect()
}

/// Every row of every barn but this one; what is only appended to is left out.
fn rows_beside(store: &mut Store, twin: &Twin) -> BTreeSet<Line> {
    let barn = twin.id.replace('-', "");
    store.rows().into_iter().filter(|line| !line.barn.is_empty() && line.barn != barn).collect()
}

/// Writes in one barn, and sees that no row of another is touched.
#[track_caller]
fn in_one_barn(store: &mut Store, trio: &Trio, twin: &Twin, write: fn(&Trio, &Twin) -> Vec<String>) -> Vec<String> {
    let before = rows_beside(store, twin);
    let answers = write(trio, twin);
    let after = rows_beside(store, twin);
    let touched: Vec<&Line> = before.symmetric_difference(&after).take(6).collect();
    assert!(touched.is_empty(), "writing in {} touches rows of other barns: {touched:#?}", twin.tag);
    answers
}

/// What `stridewright check` finds: it, too, takes one barn after the other.
#[track_caller]
fn assert_sound(trio: &Trio) {
    let found = faults(&mut rows::beside(&trio.world.server.url)).unwrap();
    assert_eq!(found, Vec::<String>::new(), "check finds faults");
}

on_both! {
    fn a_barn_does_not_see_its_twins(world) {
        let trio = Trio::found(world);
        let store = &mut Store::open(trio.world.server.database, &trio.world.server.url);
        let [low, mid, high] = &trio.barns;
        let filled = in_one_barn(store, &trio, mid, steps::fill);
        let addresses = readings(&trio);
        let alone = read(&trio, mid, &addresses);
        for twin in [low, high] {
            assert_alike("filling a twin", &filled, &in_one_barn(store, &trio, twin, steps::fill));
        }
        assert_unchanged("filling its twins", &alone, &read(&trio, mid, &addresses));
        for (twin, secret) in trio.rail_links.borrow().iter() {
            for other in [low, mid, high] {
                let simple = |id: &str| id.replace('-', "");
                let moved = world.anonymous().at(&trio.world.server.base).with_token(&secret.replace(&simple(twin), &simple(&other.id)));
                let rides = moved.get(&trio.fill(other, "/api/v1/barns/{barn_id}/rides"));
                rides.expect(if *twin == other.id { 200 } else { 401 });
            }
        }
        let answers = in_one_barn(store, &trio, mid, changes::change);
        assert_eq!(left_out(&trio), Vec::<String>::new(), "no step takes these");
        let after = read(&trio, mid, &addresses);
        assert!(changed(&alone, &after).len() > 20, "the changes show");
        for twin in [low, high] {
            assert_alike("changing a twin", &answers, &in_one_barn(store, &trio, twin, changes::change));
        }
        assert_unchanged("changing its twins", &after, &read(&trio, mid, &addresses));
        assert_sound(&trio);
        println!(
            "twins on {:?}: {} addresses x {} callers read whole, {} writes in each of 3 barns, nothing seen of another",
            world.server.database, addresses.len(), CALLERS.len(), filled.len() + answers.len()
        );
    }

    /// All that speaks against a booking stands in the twins, under the same ids; a barn beside such twins answers
    /// as one that is alone.
    fn a_barn_beside_contrary_twins_answers_as_one_alone(world) {
        let told = |contrary: bool| {
            let trio = Trio::found(world);
            let [low, mid, high] = &trio.barns;
            if contrary {
                contrary::fill(&trio, low);
                contrary::fill(&trio, high);
            }
            let filled = steps::fill(&trio, mid);
            let addresses = readings(&trio);
            let before = read(&trio, mid, &addresses);
            let answers = [filled, changes::change(&trio, mid)].concat();
            let read = before.into_iter().chain(read(&trio, mid, &addresses)).map(|(address, (status, version, body))| {
                format!("{address}: {status} {version} {}", String::from_utf8_lossy(&body))
            });
            let told = answers.into_iter().chain(read).map(|text| sorted(&trio.nameless(mid, &text)));
            let told = told.collect::<Vec<String>>();
            assert_sound(&trio);
            told
        };
        assert_alike("beside contrary twins", &told(false), &told(true));
    }

    /// What is let go of after its day is let go of in one barn.
    fn a_barn_leaves_the_old_answers_of_another(world) {
        let (later, other) = (world.server.beside(), world.elsewhere());
        let kept = |world: &World| {
            let barn: Id<Barn> = world.barn_id.parse().unwrap();
            let c = &mut rows::beside(&world.server.url);
            on_each!(c, |c| barn_answer::table.filter(barn_answer::barn_id.eq(barn)).count().get_result::<i64>(c)).unwrap()
        };
        for world in [world, &other] {
            world.horse("Bramble");
            world.horse("Juniper");
        }
        later.clock.advance_seconds(25 * 3600);
        let signed_in = sign_in(&Client::new(&later.base), &world.trainer.email).member;
        signed_in.post(&world.at("horses"), json!({"name": "Tansy", "profile": "horse"})).expect(201);
        assert_eq!((kept(world), kept(&other)), (1, 2));
    }
}
