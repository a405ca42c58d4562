//! What the barn holds, in vectors, and what it must answer: from the rules in words, not from the program.
use super::pair::{Barn, Pair, Refused, Sent};
use super::{Step, What};
use stridewright_tests::client::fresh;
use stridewright_tests::{Answer, Value, json};

const TRAINER: usize = 0;
const RIDER: usize = 1;
const OWNER: usize = 2;

#[derive(Default)]
struct Horse {
    id: String,
    paired: Option<String>,
    owned: bool,
}

struct Entry {
    horse: usize,
    rides: String,
}

struct Ride {
    id: String,
    entry: usize,
    day: jiff::civil::Date,
    efforts: i64,
    withdrawn: bool,
}

pub struct Model {
    barn: Barn,
    arena: String,
    horses: Vec<Horse>,
    entries: Vec<Entry>,
    /// From and until, in seconds.
    taken: Vec<(i64, i64)>,
    rides: Vec<Ride>,
    last_post: Option<(usize, Sent, Answer)>,
}

fn post(path: &str, body: Value) -> Sent {
    Sent { method: "POST", path: path.to_owned(), body: Some(body), mark: fresh() }
}

fn get(path: &str) -> Sent {
    Sent { method: "GET", path: path.to_owned(), body: None, mark: String::new() }
}

fn must(what: &str, is: &Value, should: &Value) -> Result<(), Refused> {
    if is == should { Ok(()) } else { Err(format!("{what} is {is}, and {should} by the model")) }
}

fn instant(seconds: i64) -> String {
    jiff::Timestamp::from_second(seconds).unwrap().to_string()
}

impl Model {
    pub fn found(pair: &Pair) -> Self {
        let mut barn = pair.found();
        let arena = fresh();
        let body = json!({"id": arena, "name": "Top school", "length_m": 60, "width_m": 25});
        barn.ask(TRAINER, &post("arenas", body)).unwrap().expect(201);
        let (horses, entries, taken, rides) = (Vec::new(), Vec::new(), Vec::new(), Vec::new());
        Self { barn, arena, horses, entries, taken, rides, last_post: None }
    }

    /// Mostly the trainer, who may.
    fn who(step: Step) -> usize {
        if step.who < 6 { TRAINER } else { step.who - 5 }
    }

    fn knows(&self, who: usize, horse: usize) -> bool {
        let horse = &self.horses[horse];
        who == TRAINER || (who == RIDER && horse.paired.is_some()) || (who == OWNER && horse.owned)
    }

    /// Asks, and holds status and code to what the model says.
    fn expect(&mut self, who: usize, sent: &Sent, status: u16, code: &str) -> Result<Answer, Refused> {
        let answer = self.barn.ask(who, sent)?;
        let said = answer["code"].as_str().filter(|_| answer.status >= 400).unwrap_or_default().to_owned();
        if answer.status != status || said != code {
            let text = answer.text();
            return Err(format!("{sent:?}: {} {said}, and {status} {code} by the model: {text}", answer.status));
        }
        if sent.method == "POST" && status == 201 {
            self.last_post = Some((who, sent.clone(), answer.clone()));
        }
        Ok(answer)
    }

    /// What stands against a write under a horse for who is no trainer: it is not known, or not theirs to do.
    fn write(&mut self, who: usize, horse: usize, sent: &Sent, otherwise: (u16, &str)) -> Result<u16, Refused> {
        let (status, code) = match (self.knows(who, horse), who) {
            (false, _) => (404, "not_found"),
            (true, TRAINER) => otherwise,
            (true, _) => (403, "forbidden"),
        };
        Ok(self.expect(who, sent, status, code)?.status)
    }

    pub fn take(&mut self, pair: &Pair, step: Step) -> Result<u16, Refused> {
        pair.advance(1);
        let who = Self::who(step);
        match step.what {
            What::Horse => return self.horse(who),
            What::Horses => return self.list(step.who % 3),
            What::Repeat => return self.repeat(),
            What::Wait => {
                pair.advance(i64::try_from(step.one % 240 * 3600).unwrap());
                pair.sign_in(&mut self.barn);
                // a stored answer is kept for a day only
                self.last_post = None;
                return Ok(200);
            }
            _ if self.horses.is_empty() => return Ok(0),
            _ => {}
        }
        let horse = step.one % self.horses.len();
        match step.what {
            What::Pair => self.pair(who, horse),
            What::Unpair => self.unpair(who, horse, step.two.is_multiple_of(3)),
            What::Own => self.own(who, horse),
            What::Efforts => self.efforts(pair, step.who % 3, horse),
            What::Book => self.book(pair, horse, step.two),
            _ if self.entries.is_empty() => Ok(0),
            What::Ride => self.ride(pair, step.one % self.entries.len(), step.two),
            What::Rides => self.rides_of(step.one % self.entries.len()),
            _ => self.withdraw(step.one),
        }
    }

    fn horse(&mut self, who: usize) -> Result<u16, Refused> {
        let id = fresh();
        let sent = post("horses", json!({"id": id, "name": "Bramble", "profile": "horse"}));
        let (status, code) = if who == TRAINER { (201, "") } else { (403, "forbidden") };
        self.expect(who, &sent, status, code)?;
        if who == TRAINER {
            self.horses.push(Horse { id, ..Horse::default() });
        }
        Ok(status)
    }

    fn list(&mut self, who: usize) -> Result<u16, Refused> {
        let seen = |n: &usize| self.knows(who, *n);
        let ids: Vec<String> = (0..self.horses.len()).filter(seen).map(|n| self.horses[n].id.clone()).collect();
        let answer = self.expect(who, &get("horses?limit=200"), 200, "")?;
        must("horses", &json!(answer.each("id")), &json!(ids))?;
        Ok(200)
    }

    fn repeat(&mut self) -> Result<u16, Refused> {
        let Some((who, sent, first)) = self.last_post.take() else { return Ok(0) };
        let again = self.barn.ask(who, &sent)?;
        must("a repetition", &json!((again.status, again.text())), &json!((first.status, first.text())))?;
        Ok(again.status)
    }

    fn pair(&mut self, who: usize, horse: usize) -> Result<u16, Refused> {
        let id = fresh();
        let body = json!({"id": id, "rider_id": "{rider}", "level": "usual", "up_to_height_cm": 110});
        let sent = post(&format!("horses/{}/pairings", self.horses[horse].id), body);
        let twice = self.horses[horse].paired.is_some();
        let status = self.write(who, horse, &sent, if twice { (409, "conflict") } else { (201, "") })?;
        if status == 201 {
            self.horses[horse].paired = Some(id);
        }
        Ok(status)
    }

    fn unpair(&mut self, who: usize, horse: usize, stale: bool) -> Result<u16, Refused> {
        let Some(pairing) = self.horses[horse].paired.clone() else { return Ok(0) };
        let path = format!("horses/{}/pairings/{pairing}", self.horses[horse].id);
        let mark = if stale { "\"v7\"" } else { "\"v1\"" }.to_owned();
        let sent = Sent { method: "DELETE", path, body: None, mark };
        // an owner sees who rides their horse, a rider their own pairing
        let otherwise = if stale { (412, "changed_meanwhile") } else { (204, "") };
        let status = self.write(who, horse, &sent, otherwise)?;
        if status == 204 {
            self.horses[horse].paired = None;
        }
        Ok(status)
    }

    fn own(&mut self, who: usize, horse: usize) -> Result<u16, Refused> {
        let body = json!({"id": fresh(), "person_id": "{owner}", "kind": "owner"});
        let sent = post(&format!("horses/{}/ownerships", self.horses[horse].id), body);
        let otherwise = if self.horses[horse].owned { (409, "conflict") } else { (201, "") };
        let status = self.write(who, horse, &sent, otherwise)?;
        self.horses[horse].owned |= status == 201;
        Ok(status)
    }

    fn book(&mut self, pair: &Pair, horse: usize, two: usize) -> Result<u16, Refused> {
        let now = pair.micros() / 1_000_000;
        let from = now - now % 3600 + 3600 * i64::try_from(1 + two % 40).unwrap();
        let (session, entry, until) = (fresh(), fresh(), from + 3600);
        let body = json!({"id": session, "kind": "jumping", "title": "Lines", "arena_id": self.arena,
            "starts_at": instant(from), "ends_at": instant(until),
            "entries": [{"id": entry, "horse_id": self.horses[horse].id, "planned_efforts": 5, "planned_height_cm": 80}]});
        let answer = self.barn.ask(TRAINER, &post("sessions", body))?;
        let taken = self.taken.iter().any(|(f, u)| *f < until && from < *u);
        if taken {
            must("a booking of taken time", &json!(answer.status), &json!(409))?;
        } else if answer.status != 201 {
            // the rules of rest are not in the model, but nothing else may refuse
            must("a refused booking's code", &answer["code"], &json!("rule_refused"))?;
        }
        if answer.status == 201 {
            self.taken.push((from, until));
            self.entries.push(Entry { horse, rides: format!("sessions/{session}/entries/{entry}/rides") });
        }
        Ok(answer.status)
    }

    fn ride(&mut self, pair: &Pair, entry: usize, two: usize) -> Result<u16, Refused> {
        let (id, now) = (fresh(), pair.micros() / 1_000_000);
        let outcomes = ["jumped", "rail", "refusal", "jumped"];
        let ridden: Vec<&str> = (0..1 + two % 6).map(|n| outcomes[(n + two) % 4]).collect();
        let fences: Vec<Value> =
            ridden.iter().enumerate().map(|(n, o)| json!({"fence": format!("{}", n + 1), "outcome": o})).collect();
        let sent = post(&self.entries[entry].rides, json!({"id": id, "at": instant(now), "fences": fences}));
        let answer = self.expect(TRAINER, &sent, 201, "")?;
        let efforts = i64::try_from(ridden.iter().filter(|o| **o != "refusal").count()).unwrap();
        must("efforts of a ride", &answer["efforts"], &json!(efforts))?;
        let zone = jiff::tz::TimeZone::get("Europe/Lisbon").unwrap();
        let day = zone.to_datetime(jiff::Timestamp::from_second(now).unwrap()).date();
        self.rides.push(Ride { id, entry, day, efforts, withdrawn: false });
        Ok(201)
    }

    fn withdraw(&mut self, one: usize) -> Result<u16, Refused> {
        if self.rides.is_empty() {
            return Ok(0);
        }
        let n = one % self.rides.len();
        let path = format!("{}/{}/corrections", self.entries[self.rides[n].entry].rides, self.rides[n].id);
        let sent = post(&path, json!({"id": fresh(), "withdrawn": true}));
        let (status, code) = if self.rides[n].withdrawn { (409, "wrong_state") } else { (201, "") };
        self.expect(TRAINER, &sent, status, code)?;
        self.rides[n].withdrawn = true;
        Ok(status)
    }

    fn rides_of(&mut self, entry: usize) -> Result<u16, Refused> {
        let answer = self.expect(TRAINER, &get(&format!("{}?limit=200", self.entries[entry].rides)), 200, "")?;
        let own = self.rides.iter().filter(|ride| ride.entry == entry);
        // a withdrawal is a version of its own beside what it takes back
        let versions: usize = own.map(|ride| if ride.withdrawn { 2 } else { 1 }).sum();
        must("versions of rides", &json!(answer.items().len()), &json!(versions))?;
        Ok(200)
    }

    fn efforts(&mut self, pair: &Pair, who: usize, horse: usize) -> Result<u16, Refused> {
        let sent = get(&format!("horses/{}/efforts", self.horses[horse].id));
        if who == RIDER || !self.knows(who, horse) {
            let known = self.knows(who, horse);
            let (status, code) = if known { (403, "forbidden") } else { (404, "not_found") };
            return Ok(self.expect(who, &sent, status, code)?.status);
        }
        let answer = self.expect(who, &sent, 200, "")?;
        let zone = jiff::tz::TimeZone::get("Europe/Lisbon").unwrap();
        let today = zone.to_datetime(jiff::Timestamp::from_microsecond(pair.micros()).unwrap()).date();
        let live = |r: &&Ride| !r.withdrawn && self.entries[r.entry].horse == horse;
        let logged = |first: jiff::civil::Date, last: jiff::civil::Date| -> i64 {
            self.rides.iter().filter(live).filter(|r| r.day >= first && r.day <= last).map(|r| r.efforts).sum()
        };
        for day in answer["days"].as_array().unwrap() {
            let date: jiff::civil::Date = day["day"].as_str().unwrap().parse().unwrap();
            must(&format!("efforts of {date}"), &day["logged"], &json!(logged(date, date)))?;
        }
        for (sum, days) in [("sum_7_days", 6), ("sum_28_days", 27)] {
            let first = today.checked_sub(jiff::Span::new().days(days)).unwrap();
            must(sum, &answer[sum]["logged"], &json!(logged(first, today)))?;
        }
        Ok(200)
    }
}
