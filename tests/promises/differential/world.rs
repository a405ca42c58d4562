//! One history: a barn on both services, the model of it, and everybody who asks.
use super::cast::Cast;
use super::dice::Dice;
use super::model::Barn;
use super::model::policy::Access;
use super::model::sessions::{Entry, Session};
use super::pair::{Pair, Refused, Sent, Tokens};
use super::should::Should;
use super::tally::Tally;
use std::collections::BTreeMap;
use stridewright_tests::{Answer, Value, json};

/// Who asks: an account of the cast, the holder of a rail link, or nobody.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Who {
    Account(usize),
    Rail(usize),
    Nobody,
}

/// The accounts of the cast by their number.
pub const FOUNDER: Who = Who::Account(0);

/// A good request that may come again.
struct Kept {
    sent: Sent,
    answer: (u16, String),
    at: i64,
}

/// What was read, and after how many writes.
struct Seen {
    text: String,
    tag: String,
    version: String,
    writes: usize,
}

pub struct World<'a> {
    pub pair: &'a Pair,
    pub cast: &'a mut Cast,
    pub barn: Barn,
    tally: &'a mut Tally,
    kept: Vec<Kept>,
    seen: BTreeMap<(String, String), Seen>,
    writes: usize,
    pub answers: usize,
    /// The last refusal by a rule.
    pub refused: Option<Answer>,
}

impl<'a> World<'a> {
    pub fn new(pair: &'a Pair, cast: &'a mut Cast, tally: &'a mut Tally) -> Self {
        let barn = Barn { id: pair.fresh(), now: pair.now(), ..Barn::default() };
        let (kept, seen) = (Vec::new(), BTreeMap::new());
        Self { pair, cast, barn, tally, kept, seen, writes: 0, answers: 0, refused: None }
    }

    /// Time goes by.
    pub fn pass(&mut self, seconds: i64) {
        self.pair.advance(seconds);
        self.barn.now = self.pair.now();
    }

    pub fn fresh(&self) -> String {
        self.pair.fresh()
    }

    /// Mostly the founder, who may; now and then somebody else of the cast, or a helper with a link.
    pub fn who(&self, dice: &mut Dice) -> Who {
        match dice.below(20) {
            0..=12 => FOUNDER,
            13..=17 => Who::Account(dice.below(self.cast.accounts.len())),
            18 if !self.barn.links.is_empty() => Who::Rail(dice.below(self.barn.links.len())),
            18 => FOUNDER,
            _ if dice.once_in(3) => Who::Nobody,
            _ => Who::Account(1),
        }
    }

    fn tokens(&self, who: Who) -> Tokens {
        match who {
            Who::Account(n) => self.cast.accounts[n].tokens.clone(),
            Who::Rail(n) => [0, 1].map(|_| Some(self.barn.links[n].secret.clone())),
            Who::Nobody => [None, None],
        }
    }

    /// The address of something of the barn.
    pub fn at(&self, rest: &str) -> String {
        if rest.starts_with('/') { rest.to_owned() } else { format!("/api/v1/barns/{}/{rest}", self.barn.id) }
    }

    /// Whether it is kept in the barn's audit log.
    fn of_barn(&self, sent: &Sent) -> bool {
        sent.path.starts_with(&format!("/api/v1/barns/{}", self.barn.id))
    }

    pub fn get(&self, rest: &str) -> Sent {
        Sent { method: "GET", path: self.at(rest), ..Sent::default() }
    }

    pub fn post(&self, rest: &str, body: Value) -> Sent {
        Sent { method: "POST", path: self.at(rest), body: Some(body), key: Some(self.fresh()), ..Sent::default() }
    }

    pub fn patch(&self, rest: &str, tag: String, body: Value) -> Sent {
        Sent { method: "PATCH", path: self.at(rest), body: Some(body), if_match: Some(tag), ..Sent::default() }
    }

    pub fn delete(&self, rest: &str, tag: Option<String>) -> Sent {
        Sent { method: "DELETE", path: self.at(rest), if_match: tag, ..Sent::default() }
    }

    /// Asks, and holds the answer to what the model says.
    pub fn ask(&mut self, who: Who, sent: &Sent, should: &Should) -> Result<Answer, Refused> {
        let answer = self.pair.ask(&self.tokens(who), sent)?;
        self.answers += 1;
        self.tally.count(sent.method, &sent.path, answer.status);
        self.tally.reasons(&answer.json);
        let told = |e: Refused| format!("{who:?} {sent:?}:\n  {e}\n  {}", answer.text());
        should.hold(&answer).map_err(told)?;
        let of_barn = self.of_barn(sent);
        if of_barn && [403, 409].contains(&answer.status) {
            self.barn.audited += 1;
        }
        if sent.method == "GET" && answer.status == 200 && of_barn {
            self.tagged(who, sent, &answer).map_err(told)?;
        }
        if answer.status >= 500 {
            return Err(told("a fault of ours".to_owned()));
        }
        Ok(answer)
    }

    /// An ETag changes exactly when what is shown does, and its version with nothing else than a write.
    fn tagged(&mut self, who: Who, sent: &Sent, answer: &Answer) -> Result<(), Refused> {
        let tag = answer.header("etag");
        if tag.is_empty() {
            return Ok(());
        }
        let now = Seen { text: answer.text(), tag, version: answer.version(), writes: self.writes };
        let before = self.seen.insert((format!("{who:?}"), sent.path.clone()), now);
        let now = &self.seen[&(format!("{who:?}"), sent.path.clone())];
        let Some(before) = before else { return Ok(()) };
        if before.writes == now.writes && before.version != now.version {
            return Err(format!("nothing was written, and the version is {} after {}", now.version, before.version));
        }
        let (same, alike) = (before.tag == now.tag, before.version == now.version && before.text == now.text);
        if same != alike {
            return Err(format!("the ETag is {} after {}, when it was {}", now.tag, before.tag, before.text));
        }
        Ok(())
    }

    /// Asks for one thing.
    pub fn read(&mut self, who: Who, access: Access, rest: &str, facts: Value) -> Result<Option<Answer>, Refused> {
        let should = access.refusal().unwrap_or_else(|| Should::ok(200, facts));
        let sent = self.get(rest);
        let answer = self.ask(who, &sent, &should)?;
        Ok(Some(answer).filter(|_| should.good()))
    }

    /// The present ETag of a thing, which the founder may see.
    pub fn tag(&mut self, rest: &str, facts: Value) -> Result<String, Refused> {
        Ok(self.read(FOUNDER, Access::Fine, rest, facts)?.map(|answer| answer.header("etag")).unwrap_or_default())
    }

    /// A list, page by page.
    pub fn list(
        &mut self,
        dice: &mut Dice,
        who: Who,
        access: Access,
        rest: &str,
        items: &[Value],
    ) -> Result<(), Refused> {
        let joint = if rest.contains('?') { '&' } else { '?' };
        if access.refusal().is_some() || dice.once_in(12) {
            let (query, no) = dice.one(&[("colour=bay", "?colour"), ("limit=0", "?limit"), ("limit=201", "?limit")]);
            let should = access.refusal().unwrap_or_else(|| Should::no(422, "invalid_query").at(no));
            let sent = self.get(&format!("{rest}{joint}{query}"));
            return self.ask(who, &sent, &should).map(drop);
        }
        let size = dice.one(&[1, 2, 3, 50, 50, 200]);
        let pages = items.chunks(size).count().max(1);
        let mut cursor = String::new();
        for (n, page) in items.chunks(size).chain(std::iter::repeat_n(&[][..], 1)).take(pages).enumerate() {
            let sent = self.get(&format!("{rest}{joint}limit={size}{cursor}"));
            let answer = self.ask(who, &sent, &Should::ok(200, json!({"items": page})))?;
            let next = answer["next_cursor"].as_str();
            if next.is_some() != (n + 1 < pages) {
                return Err(format!("{who:?} {sent:?}: page {n} of {pages}: {}", answer.text()));
            }
            cursor = next.map(|cursor| format!("&cursor={cursor}")).unwrap_or_default();
        }
        Ok(())
    }

    /// A write. Now and then it is spoiled on the way, or sent twice. The answer, where it was done.
    pub fn write(
        &mut self,
        dice: &mut Dice,
        who: Who,
        access: Access,
        sent: Sent,
        should: Should,
    ) -> Result<Option<Answer>, Refused> {
        if let Some(refusal) = access.refusal() {
            self.ask(who, &sent, &refusal)?;
            return Ok(None);
        }
        if dice.once_in(15)
            && let Some((spoiled, refusal)) = spoil(dice, &sent, &should)
        {
            self.ask(who, &spoiled, &refusal)?;
            return Ok(None);
        }
        let answer = self.ask(who, &sent, &should)?;
        if !should.good() {
            self.refused = should.reasons.is_some().then_some(answer);
            return Ok(None);
        }
        self.writes += 1;
        if self.of_barn(&sent) {
            self.barn.audited += 1;
        }
        if sent.key.is_some() {
            let kept = Kept { sent, answer: (answer.status, answer.text()), at: self.barn.now };
            if dice.once_in(5) {
                self.again(who, &kept)?;
            }
            if who == FOUNDER {
                self.kept.push(kept);
            }
        }
        Ok(Some(answer))
    }

    /// The same, with sessions and entries as they were where it was not done.
    pub fn ask_or_restore(
        &mut self,
        dice: &mut Dice,
        who: Who,
        access: Access,
        sent: Sent,
        should: Should,
        (sessions, entries): (Vec<Session>, Vec<Entry>),
    ) -> Result<Option<Answer>, Refused> {
        self.refused = None;
        let done = self.write(dice, who, access, sent, should)?;
        if done.is_none() {
            (self.barn.sessions, self.barn.entries) = (sessions, entries);
        }
        Ok(done)
    }

    fn again(&mut self, who: Who, kept: &Kept) -> Result<(), Refused> {
        let answer = self.ask(who, &kept.sent, &Should::ok(kept.answer.0, Value::Null))?;
        if answer.text() == kept.answer.1 {
            Ok(())
        } else {
            Err(format!("{:?} again: {} instead of {}", kept.sent, answer.text(), kept.answer.1))
        }
    }

    /// A request of the founder's comes again, within the day in which its answer is kept; or its key for another.
    pub fn repeat(&mut self, dice: &mut Dice) -> Result<(), Refused> {
        let fresh = |kept: &Kept, now: i64| now - kept.at < 24 * 3600;
        self.kept.retain(|kept| fresh(kept, self.barn.now));
        if self.kept.is_empty() {
            return Ok(());
        }
        let n = dice.below(self.kept.len());
        let kept = self.kept.swap_remove(n);
        if !self.barn.is_there(&kept.sent.path) {
            return Ok(());
        }
        if dice.once_in(3) {
            let mut other = kept.sent;
            other.body = Some(json!({"name": "Another"}));
            return self.ask(FOUNDER, &other, &Should::no(422, "idempotency_key_reused")).map(drop);
        }
        self.again(FOUNDER, &kept)
    }
}

/// What is wrong with a request before any rule is asked; what breaks its schema already is left as it is.
fn spoil(dice: &mut Dice, sent: &Sent, should: &Should) -> Option<(Sent, Should)> {
    let mut spoiled = sent.clone();
    if should.code == "invalid_body" {
        return None;
    }
    let refusal = match dice.below(5) {
        0 if sent.key.is_some() => {
            spoiled.key = None;
            Should::no(400, "idempotency_key_required")
        }
        1 if sent.if_match.is_some() => {
            spoiled.if_match = None;
            Should::no(428, "if_match_required")
        }
        2 if sent.if_match.is_some() => {
            spoiled.if_match = Some("\"v0\"".to_owned());
            Should::no(412, "changed_meanwhile")
        }
        3 if sent.body.is_some() => {
            spoiled.body.as_mut()?["colour"] = json!("bay");
            Should::no(422, "invalid_body").at("/colour")
        }
        4 if sent.body.is_some() => {
            spoiled.raw = Some("{\"name\": ");
            Should::no(400, "bad_request")
        }
        _ => return None,
    };
    Some((spoiled, refusal))
}
