//! Which thing a step is about: mostly one that is there, now and then one that was removed, or another barn's.
use crate::differential::dice::Dice;
use crate::differential::model::rows::{Horse, Person};
use crate::differential::model::sessions::{Entry, Session};
use crate::differential::world::{FOUNDER, Who, World};

impl World<'_> {
    fn chosen(&self, dice: &mut Dice, there: Vec<String>, gone: Vec<String>, elsewhere: &str) -> String {
        match dice.below(40) {
            0 => elsewhere.to_owned(),
            1 => dice.pick(&gone).unwrap_or_else(|| self.fresh()),
            _ => dice.pick(&there).unwrap_or_else(|| elsewhere.to_owned()),
        }
    }

    pub fn a_horse(&self, dice: &mut Dice) -> String {
        let ids = |removed: bool| -> Vec<String> {
            self.barn.horses.iter().filter(|h: &&Horse| h.removed == removed).map(|h| h.id.clone()).collect()
        };
        // what befalls one horse matters more than a little of each
        let busy = self.barn.horses.iter().find(|h| !h.removed).filter(|_| dice.once_in(2));
        match busy {
            Some(horse) => horse.id.clone(),
            None => self.chosen(dice, ids(false), ids(true), &self.cast.elsewhere.horse),
        }
    }

    /// The account of the cast that is the person, or acts for them.
    pub fn account_of(&self, person: &str) -> Option<Who> {
        let all = (0..self.cast.accounts.len()).map(Who::Account);
        all.filter(|who| *who != FOUNDER).find(|who| self.barn.eyes(*who).is_some_and(|eyes| eyes.is_own(person)))
    }

    /// Somebody, or somebody with a role.
    pub fn a_person(&self, dice: &mut Dice, role: &str) -> String {
        let held = |p: &&Person| match role {
            "trainer" => p.trainer,
            "rider" => p.rider,
            "owner" => p.owner,
            _ => true,
        };
        // now and then somebody without the role
        let any = dice.once_in(12);
        let there = self.barn.people.iter().filter(|p| !p.removed && (any || held(p)));
        let gone = self.barn.people.iter().filter(|p| p.removed);
        let ids = |people: Vec<&Person>| people.iter().map(|p| p.id.clone()).collect();
        self.chosen(dice, ids(there.collect()), ids(gone.collect()), &self.cast.elsewhere.person)
    }

    pub fn an_arena(&self, dice: &mut Dice) -> String {
        let ids = |removed: bool| -> Vec<String> {
            self.barn.arenas.iter().filter(|a| a.removed() == removed).map(|a| a.id.clone()).collect()
        };
        self.chosen(dice, ids(false), ids(true), &self.cast.elsewhere.arena)
    }

    pub fn an_exercise(&self, dice: &mut Dice) -> String {
        let ids = |removed: bool| -> Vec<String> {
            self.barn.exercises.iter().filter(|e| e.removed() == removed).map(|e| e.id.clone()).collect()
        };
        self.chosen(dice, ids(false), ids(true), &self.cast.elsewhere.exercise)
    }

    /// A session, the later ones more often; and whether the barn has it.
    pub fn a_session(&self, dice: &mut Dice) -> (String, Option<Session>) {
        let ids: Vec<String> = self.barn.sessions.iter().rev().take(10).map(|s| s.id.clone()).collect();
        let id = self.chosen(dice, ids, Vec::new(), &self.cast.elsewhere.session);
        let session = self.barn.sessions.iter().find(|s| s.id == id).cloned();
        (id, session)
    }

    /// An entry and its session in an address; now and then they do not belong together.
    pub fn an_entry(&self, dice: &mut Dice) -> (String, String, Option<Entry>) {
        let recent: Vec<String> = self.barn.entries.iter().rev().take(14).map(|e| e.id.clone()).collect();
        let id = self.chosen(dice, recent, Vec::new(), &self.cast.elsewhere.entry);
        let entry = self.barn.entries.iter().find(|e| e.id == id).cloned();
        let own = entry.as_ref().map(|e| e.session.clone());
        let (other, _) = self.a_session(dice);
        let session = if dice.once_in(25) { other } else { own.unwrap_or(other) };
        let entry = entry.filter(|e| e.session == session);
        (session, id, entry)
    }

    /// Moments ahead, on the hour or the half of it, by day.
    pub fn ahead(&self, dice: &mut Dice, days: i64) -> i64 {
        let day = self.barn.now - self.barn.now % 86400 + 86400 * dice.number(0, days.min(4));
        day + 1800 * dice.number(14, 36)
    }
}
