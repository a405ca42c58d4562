//! What speaks against a booking, gathered over the whole of it so that it is said at once.
use super::facts::Gathered;
use super::{objections, occupy};
use crate::access::read::Look;
use crate::problem::table::Kind as ProblemKind;
use crate::problem::{Problem, RuleReason};
use crate::sessions::entities::Whole;
use crate::sessions::entry_rows::EntryRow;
use std::collections::BTreeSet;
use stridewright_core::booking::{Kind, Objection};
use stridewright_core::calendar::Day;
use stridewright_core::rest::{Book, Candidate, Code};
use uuid::Uuid;

/// How far ahead the first allowed day is looked for.
const HORIZON: u16 = 400;

/// Grows with the session and entry by entry.
#[derive(Default)]
pub struct Against {
    reasons: Vec<RuleReason>,
    taken: bool,
    rests: bool,
    /// Something that another day does not cure.
    lasting: bool,
    weighed: Vec<(Book<Uuid>, Candidate<Uuid>)>,
}

/// Where in the request's body the session or an entry stands, if that body makes it.
#[derive(Debug, Clone, Copy)]
pub enum Made<'a> {
    /// It was there before.
    Before,
    /// At this pointer.
    At(&'a str),
}

impl Against {
    /// What the session itself names and is elsewhere: its arena, fences, trainer and adult.
    pub fn session(&mut self, look: &mut Look<'_>, whole: &Whole, made: Made<'_>) -> Result<(), Problem> {
        let session = &whole.session;
        let (id, from, to) = (session.id, session.starts_at, session.ends_at);
        for taken in occupy::taken(look, id, &occupy::of_session(session), from, to)? {
            let (what, field) = match taken.kind {
                Kind::Arena => ("arena", "arena_id"),
                Kind::FenceSet => ("fence set", "fence_set_id"),
                _ if session.trainer_id.is_some_and(|id| id.uuid() == taken.id) => ("trainer", "trainer_id"),
                _ => ("adult on the ground", "adult_id"),
            };
            let pointer = if let Made::At(at) = made { Some(format!("{at}/{field}")) } else { None };
            self.taken = true;
            self.reasons.push(RuleReason { pointer, ..objections::elsewhere(what, &taken, &look.who.zone) });
        }
        Ok(())
    }

    /// What speaks against an entry.
    pub fn entry(
        &mut self,
        look: &Look<'_>,
        entry: &EntryRow,
        made: Made<'_>,
        gathered: &Gathered,
        found: &[Objection<Uuid>],
    ) {
        for objection in found {
            match objection {
                Objection::Taken(_) => self.taken = true,
                Objection::Rest(reason) if reason.code != Code::HeightUnknown => self.rests = true,
                _ => self.lasting = true,
            }
        }
        let (pointer, entry_id) = match made {
            Made::At(at) => (Some(at.to_owned()), None),
            Made::Before => (None, Some(entry.id)),
        };
        for reason in objections::reasons(look.who, entry.horse_id, gathered, found) {
            let of_session = match reason.code.as_str() {
                "no_adult" => Some("/adult_id"),
                "arena_closed" => Some("/starts_at"),
                _ => None,
            };
            if let Some(field) = of_session {
                // of the whole session: said once
                let said: BTreeSet<&str> = self.reasons.iter().map(|r| r.code.as_str()).collect();
                if !said.contains(reason.code.as_str()) {
                    let made = pointer.as_ref().is_some_and(|at| !at.is_empty());
                    self.reasons.push(RuleReason { pointer: made.then(|| field.to_owned()), ..reason });
                }
            } else {
                self.reasons.push(RuleReason { pointer: pointer.clone(), entry_id, ..reason });
            }
        }
    }

    /// An entry that was weighed, whatever came of it: another day must suit them all.
    pub fn weighed(&mut self, gathered: Gathered) {
        self.weighed.extend(gathered.book.zip(Some(gathered.candidate)));
    }

    /// A reason that no other day cures.
    pub fn lasts(&mut self, reason: RuleReason) {
        self.lasting = true;
        self.reasons.push(reason);
    }

    pub fn into_reasons(self) -> Vec<RuleReason> {
        self.reasons
    }

    /// The refusal, where there is anything to refuse: every reason, and the first day on which limits would allow it.
    pub fn refuse(mut self, look: &Look<'_>) -> Result<(), Problem> {
        if self.reasons.is_empty() {
            return Ok(());
        }
        if !look.who.roles.trainer {
            objections::without_hours(&mut self.reasons);
        }
        let first = if self.rests && !self.lasting { self.first_allowed() } else { None };
        let kind = if self.taken { ProblemKind::Occupied } else { ProblemKind::RuleRefused };
        Err(Problem::new(kind).with_reasons(self.reasons, first))
    }

    /// The first day on which every entry is allowed.
    fn first_allowed(&self) -> Option<Day> {
        let start = self.weighed.iter().map(|(_, candidate)| candidate.day).min()?;
        let mut day = start;
        while day.since(start) < i32::from(HORIZON) {
            let mut latest = day;
            for (book, candidate) in &self.weighed {
                let then = book.earliest(&Candidate { day, ..candidate.clone() }, HORIZON)?;
                // a day that suits the jumps may not suit the poles
                let poles = Candidate { day: then, efforts: 0, height: None, ..candidate.clone() };
                let suits = candidate.pole_passes == 0 || book.decision(&poles).reasons.is_empty();
                latest = latest.max(if suits { then } else { then.plus(1) });
            }
            if latest == day {
                return Some(day);
            }
            day = latest;
        }
        None
    }
}
