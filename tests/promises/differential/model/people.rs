//! People, and who acts for whom.
use super::policy::Eyes;
use super::rows::{Link, Person};
use super::{Barn, roles, sorted};
use jiff::civil::Date;
use stridewright_tests::{Value, json};

impl Person {
    /// Under 18: by the birth date where there is one, else as it was said.
    pub fn is_minor(&self, today: Date) -> bool {
        let of_age =
            |born: Date| (today.year() - 18, today.month(), today.day()) >= (born.year(), born.month(), born.day());
        self.birth.map_or(self.said, |born| !of_age(born))
    }

    pub fn roles(&self) -> Value {
        roles(self.trainer, self.rider, self.owner)
    }
}

impl Barn {
    /// The minors whom somebody is guardian of.
    pub fn wards(&self, adult: &str) -> Vec<String> {
        let mut wards: Vec<String> = self
            .guardians
            .iter()
            .filter(|g| g.adult == adult && self.minor(&g.minor))
            .map(|g| g.minor.clone())
            .collect();
        wards.sort();
        wards
    }

    /// Whether a link opens its session: not revoked, not over, and handed out by one who still is a trainer.
    pub fn holds(&self, link: &Link) -> bool {
        link.revoked.is_none() && link.expires > self.now && self.person(&link.by).is_some_and(|p| p.trainer)
    }

    /// A person as somebody may see them: of a trainer, others see the name and that role.
    pub fn show_person(&self, eyes: &Eyes, person: &Person) -> Value {
        if !eyes.trainer && !eyes.is_own(&person.id) {
            return json!({"id": person.id, "name": person.name, "roles": ["trainer"], "birth_date": null});
        }
        json!({"id": person.id, "name": person.name, "roles": person.roles(),
            "minor": person.is_minor(self.today()), "linked": person.account.is_some(), "created_at": person.at,
            "birth_date": person.birth.map(|d| d.to_string()), "step_m": person.step})
    }

    /// Everybody whom they may know of, with the role.
    pub fn people_seen(&self, eyes: &Eyes, role: Option<&str>) -> Vec<Value> {
        let holds = |p: &Person| match role {
            Some("trainer") => p.trainer,
            Some("rider") => p.rider,
            Some(_) => p.owner,
            None => true,
        };
        let seen = |p: &&Person| {
            let own = eyes.is_own(&p.id);
            // of a trainer others know no other role
            let name = eyes.member() && p.trainer && (role.is_none() || role == Some("trainer"));
            !p.removed && holds(p) && (eyes.trainer || own || name)
        };
        sorted(self.people.iter().filter(seen).map(|p| self.show_person(eyes, p)).collect())
    }

    /// Whether the barn would be left without a trainer who can sign in.
    pub fn last_trainer(&self, person: &Person) -> bool {
        let others = |p: &&Person| p.id != person.id && p.trainer && p.account.is_some() && !p.removed;
        person.trainer && person.account.is_some() && self.people.iter().filter(others).count() == 0
    }

    /// Who is no trainer any more has handed out no link that holds.
    pub fn revoke_links_of(&mut self, person: &str) {
        let now = self.instant();
        let theirs = self.links.iter_mut().filter(|link| link.by == person && link.revoked.is_none());
        theirs.for_each(|link| link.revoked = Some(now.clone()));
    }

    /// Whether they teach, stand on the ground or ride in something that is not over.
    pub fn needed(&self, person: &str) -> bool {
        self.sessions.iter().filter(|s| s.ends > self.now).any(|session| {
            let leads = [&session.trainer, &session.adult].into_iter().flatten().any(|p| p == person);
            let rides = self.entries_of(&session.id).iter().any(|e| e.occupies() && e.rider.as_deref() == Some(person));
            (session.occupies() && leads) || rides
        })
    }
}
