//! People as they cross the wire.
use crate::choice;
use crate::wire::list::Member;
use stridewright_core::policy::Roles;

choice! {
    /// What somebody is in a barn; one may be several.
    pub enum Role { Trainer, Rider, Owner }
}

impl Member for Role {
    const MOST: usize = 3;
}

/// The roles as the policy takes them.
pub fn to_roles(list: &[Role]) -> Roles {
    let has = |role| list.contains(&role);
    Roles { trainer: has(Role::Trainer), rider: has(Role::Rider), owner: has(Role::Owner), rail: false }
}

/// The roles as a list, in a fixed order.
pub fn from_roles(roles: Roles) -> Vec<Role> {
    let all = [(roles.trainer, Role::Trainer), (roles.rider, Role::Rider), (roles.owner, Role::Owner)];
    all.into_iter().filter(|(has, _)| *has).map(|(_, role)| role).collect()
}
