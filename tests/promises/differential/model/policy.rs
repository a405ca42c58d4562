//! Who may: read from the policy as it is printed, row by row.
use super::Barn;
use crate::differential::should::Should;
use crate::differential::world::Who;
use std::collections::BTreeMap;
use std::sync::LazyLock;

const PRINTED: &str = include_str!("../../../../core/tests/golden/policy.txt");

static ROWS: LazyLock<BTreeMap<[&str; 3], &[u8]>> = LazyLock::new(|| {
    let lines = PRINTED.lines().filter(|line| !line.starts_with('#'));
    lines
        .map(|line| {
            let words: Vec<&str> = line.split_whitespace().collect();
            ([words[0], words[1], words[2]], words[3].as_bytes())
        })
        .collect()
});

/// The columns of the table.
#[derive(Debug, Clone, Copy)]
pub enum Act {
    Read,
    Create,
    Change,
    Remove,
    Decide,
    Clear = 6,
}

#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Access {
    Fine,
    Forbidden,
    Hidden,
    /// No credentials, or none that hold.
    Unknown,
}

impl Access {
    pub fn refusal(self) -> Option<Should> {
        match self {
            Self::Fine => None,
            Self::Forbidden => Some(Should::no(403, "forbidden")),
            Self::Hidden => Some(Should::no(404, "not_found")),
            Self::Unknown => Some(Should::no(401, "unauthenticated")),
        }
    }

    /// Hidden where the thing is not there.
    pub fn of(self, there: bool) -> Self {
        if there || self == Self::Unknown { self } else { Self::Hidden }
    }
}

/// How somebody stands in the barn.
#[derive(Debug, Clone, Default)]
pub struct Eyes {
    pub person: String,
    pub trainer: bool,
    pub rider: bool,
    pub owner: bool,
    /// The session of a rail link.
    pub rail: Option<String>,
    /// Themselves, and the minors they are guardian of.
    pub own: Vec<String>,
    pub owned: Vec<String>,
    /// Horse and rider.
    pub pairs: Vec<(String, String)>,
}

impl Eyes {
    pub fn is_own(&self, person: &str) -> bool {
        self.own.iter().any(|own| own == person)
    }

    pub fn owns(&self, horse: &str) -> bool {
        self.owned.iter().any(|owned| owned == horse)
    }

    pub fn rides(&self, horse: &str) -> bool {
        self.pairs.iter().any(|(paired, _)| paired == horse)
    }

    pub fn member(&self) -> bool {
        self.trainer || self.rider || self.owner
    }

    /// How they stand to a horse.
    pub fn to_horse(&self, horse: &str) -> Vec<&'static str> {
        let held = [("owned", self.owns(horse)), ("paired", self.rides(horse))];
        held.iter().filter(|(_, held)| *held).map(|(name, _)| *name).collect()
    }

    fn roles(&self) -> Vec<&'static str> {
        let roles =
            [("trainer", self.trainer), ("rider", self.rider), ("owner", self.owner), ("rail", self.rail.is_some())];
        let held: Vec<_> = roles.iter().filter(|(_, held)| *held).map(|(name, _)| *name).collect();
        if held.is_empty() { vec!["stranger"] } else { held }
    }

    /// The best that any of the roles and any of the relations give.
    pub fn may(&self, resource: &str, act: Act, relations: &[&str]) -> Access {
        let mut best = Access::Hidden;
        for role in self.roles() {
            for relation in relations.iter().copied().chain(["-"]) {
                match ROWS[&[role, resource, relation]][act as usize] {
                    b'A' => best = Access::Fine,
                    b'f' if best == Access::Hidden => best = Access::Forbidden,
                    _ => {}
                }
            }
        }
        best
    }
}

impl Barn {
    /// How they stand in the barn; none for who is nobody in it.
    pub fn eyes(&self, who: Who) -> Option<Eyes> {
        let account = match who {
            Who::Account(account) => account,
            Who::Rail(n) => {
                let link = self.links.get(n).filter(|link| self.holds(link))?;
                return Some(Eyes { person: link.by.clone(), rail: Some(link.session.clone()), ..Eyes::default() });
            }
            Who::Nobody => return None,
        };
        let person = self.people.iter().find(|p| p.account == Some(account) && !p.removed)?;
        let wards = self.wards(&person.id);
        let (rider, owner) = (person.rider || !wards.is_empty(), person.owner || !wards.is_empty());
        let own: Vec<String> = std::iter::once(person.id.clone()).chain(wards).collect();
        let owned = self.ownerships.iter().filter(|o| !o.ended && own.contains(&o.person));
        let pairs = self.pairings.iter().filter(|p| !p.ended && own.contains(&p.rider));
        Some(Eyes {
            person: person.id.clone(),
            trainer: person.trainer,
            rider,
            owner,
            rail: None,
            owned: owned.map(|o| o.horse.clone()).collect(),
            pairs: pairs.map(|p| (p.horse.clone(), p.rider.clone())).collect(),
            own,
        })
    }

    /// What stands against them, and how they stand.
    pub fn access(&self, who: Who, judge: impl FnOnce(&Eyes) -> Access) -> (Access, Eyes) {
        let nobody = match who {
            Who::Nobody => Access::Unknown,
            Who::Rail(n) if !self.links.get(n).is_some_and(|link| self.holds(link)) => Access::Unknown,
            _ => Access::Hidden,
        };
        match self.eyes(who) {
            Some(eyes) => (judge(&eyes), eyes),
            None => (nobody, Eyes::default()),
        }
    }
}
