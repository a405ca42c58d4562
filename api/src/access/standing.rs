//! How the caller stands in the barn: roles, wards, and the horses they own or ride.
use super::caller::Caller;
use crate::db::conn::AnyConn;
use crate::db::schema::{barn, ownership, pairing, person, session};
use crate::on_each;
use crate::people::rows::wards;
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant, Zone};
use stridewright_core::ids::{Account, Barn, Exercise, Horse, Id, Person, Session};
use stridewright_core::policy::{Action, Relation, Resource, Roles, Verdict, may};
use uuid::Uuid;

/// A caller in a barn.
#[derive(Debug, Clone)]
pub struct Standing {
    pub caller: Caller,
    /// The barn of the address; nil where the address has none.
    pub barn_id: Id<Barn>,
    pub zone: Zone,
    /// When the request was judged.
    pub now: Instant,
    /// The caller's own person in the barn; a rail link's is the one who handed it out.
    pub person_id: Id<Person>,
    pub roles: Roles,
    /// Minors the caller is guardian of.
    pub wards: Vec<Id<Person>>,
    pub owned: Vec<Id<Horse>>,
    /// Horses the caller or a ward is paired with, and who of them.
    pub pairs: Vec<(Id<Horse>, Id<Person>)>,
    /// What a rail link's session rides: the one revision that its holder may read.
    pub at_the_rail: Option<(Id<Exercise>, i32)>,
}

impl Standing {
    /// Of an account, where no barn is concerned.
    pub fn without_barn(caller: Caller, now: Instant) -> Self {
        let (nil, zone) = (Uuid::nil(), Zone::utc());
        let (wards, owned, pairs) = (Vec::new(), Vec::new(), Vec::new());
        let (barn_id, person_id, roles) = (nil.into(), nil.into(), Roles::default());
        Self { caller, barn_id, zone, now, person_id, roles, wards, owned, pairs, at_the_rail: None }
    }

    /// Somebody in the same barn who may see nothing in particular: what is kept for later readers is told to them.
    pub fn as_anybody(&self) -> Self {
        Self { barn_id: self.barn_id, zone: self.zone.clone(), ..Self::without_barn(self.caller, self.now) }
    }

    /// Loads it; `None` where the caller is nobody in the barn, or there is no such barn.
    pub fn load(c: &mut AnyConn, caller: Caller, barn_id: Id<Barn>, now: Instant) -> QueryResult<Option<Self>> {
        let Some(zone) =
            on_each!(c, |c| barn::table.find(barn_id).select(barn::time_zone).first::<String>(c).optional())?
        else {
            return Ok(None);
        };
        let zone = Zone::new(&zone).unwrap_or_else(|_| Zone::utc());
        match caller {
            Caller::Rail { barn, by, session, .. } if barn == barn_id => {
                let roles = Roles { rail: true, ..Roles::default() };
                let none = Self::without_barn(caller, now);
                let at_the_rail = exercise_of(c, barn_id, session)?;
                Ok(Some(Self { barn_id, zone, person_id: by, roles, at_the_rail, ..none }))
            }
            Caller::Rail { .. } => Ok(None),
            Caller::Account { account, .. } => Self::member(c, caller, account, barn_id, zone, now),
        }
    }

    fn member(
        c: &mut AnyConn,
        caller: Caller,
        account: Id<Account>,
        barn_id: Id<Barn>,
        zone: Zone,
        now: Instant,
    ) -> QueryResult<Option<Self>> {
        let row: Option<(Id<Person>, bool, bool, bool)> = on_each!(c, |c| person::table
            .filter(person::barn_id.eq(barn_id).and(person::account_id.eq(account)).and(person::removed_at.is_null()))
            .select((person::id, person::trainer, person::rider, person::owner))
            .first(c)
            .optional())?;
        let Some((person_id, trainer, rider, owner)) = row else { return Ok(None) };
        let wards = wards(c, barn_id, person_id, now.day(&zone))?.into_iter().map(|(id, _)| id).collect::<Vec<_>>();
        let people: Vec<Id<Person>> = std::iter::once(person_id).chain(wards.iter().copied()).collect();
        let owned = on_each!(c, |c| ownership::table
            .filter(ownership::barn_id.eq(barn_id).and(ownership::ended_at.is_null()))
            .filter(ownership::person_id.eq_any(&people))
            .select(ownership::horse_id)
            .load(c))?;
        let pairs = on_each!(c, |c| pairing::table
            .filter(pairing::barn_id.eq(barn_id).and(pairing::ended_at.is_null()))
            .filter(pairing::rider_id.eq_any(&people))
            .select((pairing::horse_id, pairing::rider_id))
            .load(c))?;
        // a guardian acts as the riders and owners they are guardian of
        let roles =
            Roles { trainer, rider: rider || !wards.is_empty(), owner: owner || !wards.is_empty(), rail: false };
        Ok(Some(Self { caller, barn_id, zone, now, person_id, roles, wards, owned, pairs, at_the_rail: None }))
    }

    /// Whether the person is the caller, or a minor they are guardian of.
    pub fn is_own(&self, person: Id<Person>) -> bool {
        person == self.person_id || self.wards.contains(&person)
    }

    /// The caller and their wards.
    pub fn own_people(&self) -> Vec<Id<Person>> {
        std::iter::once(self.person_id).chain(self.wards.iter().copied()).collect()
    }

    /// How the caller stands to a horse.
    pub fn to_horse(&self, horse: Id<Horse>) -> Relation {
        Relation {
            owned: self.owned.contains(&horse),
            paired: self.pairs.iter().any(|(paired, _)| *paired == horse),
            ..Relation::default()
        }
    }

    /// The horses they own, where they hold the role that goes with it: who lost it finds nothing by them.
    pub fn owned_as_owner(&self) -> &[Id<Horse>] {
        if self.roles.owner { &self.owned } else { &[] }
    }

    /// The horses the caller may read of, where they are not a trainer, who reads of all.
    pub fn known_horses(&self) -> Vec<Id<Horse>> {
        let ridden = self.pairs.iter().filter(|_| self.roles.rider).map(|(horse, _)| *horse);
        let mut known: Vec<_> = self.owned_as_owner().iter().copied().chain(ridden).collect();
        known.sort();
        known.dedup();
        known
    }

    /// Asks the policy.
    pub fn may(&self, resource: Resource, action: Action, relation: Relation) -> Verdict {
        may(self.roles, resource, action, relation)
    }

    /// The date in the barn.
    pub fn today(&self, now: Instant) -> Day {
        now.day(&self.zone)
    }
}

/// The revision that the session rides.
fn exercise_of(c: &mut AnyConn, barn: Id<Barn>, id: Id<Session>) -> QueryResult<Option<(Id<Exercise>, i32)>> {
    let found: Option<(Option<Id<Exercise>>, Option<i32>)> = on_each!(c, |c| session::table
        .find((barn, id))
        .select((session::exercise_id, session::revision))
        .first(c)
        .optional())?;
    Ok(found.and_then(|(exercise, revision)| exercise.zip(revision)))
}
