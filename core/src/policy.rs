//! Who may: one pure function of roles, resource, action and relation.
//!
//! What one may not know of is hidden (it answers like what does not exist); what one may know of but
//! not do is forbidden. `tests/golden/policy.txt` prints the whole table.

/// The roles a caller holds in one barn; a person may hold several.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Roles {
    /// Runs the barn.
    pub trainer: bool,
    /// Rides, or is the guardian of a minor who does.
    pub rider: bool,
    /// Owns or leases a horse.
    pub owner: bool,
    /// Holds no role, but an expiring link to log one session's rides.
    pub rail: bool,
}

impl Roles {
    /// Whether the caller belongs to the barn at all.
    #[must_use]
    pub const fn member(self) -> bool {
        self.trainer || self.rider || self.owner
    }
}

/// How the caller stands to the thing. Several may hold at once.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Relation {
    /// It is about the caller, or a minor they are guardian of.
    pub own: bool,
    /// It is about a horse they own or lease.
    pub owned: bool,
    /// It is about a horse they, or such a minor, are paired with.
    pub paired: bool,
    /// It is there for every member to see and to take: a session with places, a trainer's name.
    pub open: bool,
}

/// What is asked for.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Action {
    /// See one, or a list of those one may see.
    Read,
    /// Make one.
    Create,
    /// Change one.
    Change,
    /// End or remove one.
    Remove,
    /// Say yes or no to a request.
    Decide,
    /// Book against a soft limit, with a written reason.
    Override,
    /// Record that a stand-down is over.
    Clear,
}

impl Action {
    /// All, in the order of the printed table.
    pub const ALL: [Self; 7] =
        [Self::Read, Self::Create, Self::Change, Self::Remove, Self::Decide, Self::Override, Self::Clear];
}

/// What it is asked of.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Resource {
    /// The caller's own account: no role is needed.
    Account,
    /// The barn's settings.
    Barn,
    /// Somebody the barn knows.
    Person,
    /// A way into the barn.
    Invitation,
    /// A horse's profile.
    Horse,
    /// Who owns a horse.
    Ownership,
    /// Who may ride a horse.
    Pairing,
    /// A horse's efforts by day and its adjustability.
    Workload,
    /// A horse's rest requirement.
    Rest,
    /// What a pair can do, and what to ask next.
    PairProgress,
    /// A limit set by the barn or a trainer.
    Limit,
    /// A limit set by an owner.
    OwnerLimit,
    /// A limit set by a vet, recorded by a trainer or an owner.
    VetLimit,
    /// A horse's time without jumping or riding.
    HorseStandDown,
    /// A rider's time without riding; its reason is private.
    RiderStandDown,
    /// Jumping elsewhere.
    Outing,
    /// An arena, a fence set, an exercise.
    Facility,
    /// Taken and free time of the arenas, without names.
    Calendar,
    /// Arena time, or an appointment.
    Session,
    /// One horse and rider in a session.
    Entry,
    /// A helper's link to log rides.
    RailLink,
    /// One go.
    Ride,
    /// Arithmetic without saved data: a line, a lesson's distance.
    Evaluation,
}

impl Resource {
    /// All, in the order of the printed table.
    pub const ALL: [Self; 23] = [
        Self::Account,
        Self::Barn,
        Self::Person,
        Self::Invitation,
        Self::Horse,
        Self::Ownership,
        Self::Pairing,
        Self::Workload,
        Self::Rest,
        Self::PairProgress,
        Self::Limit,
        Self::OwnerLimit,
        Self::VetLimit,
        Self::HorseStandDown,
        Self::RiderStandDown,
        Self::Outing,
        Self::Facility,
        Self::Calendar,
        Self::Session,
        Self::Entry,
        Self::RailLink,
        Self::Ride,
        Self::Evaluation,
    ];
}

/// The answer.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum Verdict {
    /// Go on.
    Allow,
    /// Known, but not theirs to do.
    Forbid,
    /// Answers like what does not exist.
    Hide,
}

/// Whether a caller with these roles and this relation may.
///
/// ```
/// use stridewright_core::policy::{may, Action, Relation, Resource, Roles, Verdict};
/// let owner = Roles { owner: true, ..Roles::default() };
/// let theirs = Relation { owned: true, ..Relation::default() };
/// assert_eq!(may(owner, Resource::Workload, Action::Read, theirs), Verdict::Allow);
/// assert_eq!(may(owner, Resource::Workload, Action::Read, Relation::default()), Verdict::Hide);
/// ```
#[must_use]
pub fn may(roles: Roles, resource: Resource, action: Action, relation: Relation) -> Verdict {
    if resource == Resource::Account {
        return if relation.own { Verdict::Allow } else { Verdict::Hide };
    }
    if allowed(roles, resource, action, relation) {
        Verdict::Allow
    } else if known(roles, resource, relation) {
        Verdict::Forbid
    } else {
        Verdict::Hide
    }
}

fn allowed(roles: Roles, resource: Resource, action: Action, is: Relation) -> bool {
    use {Action as A, Resource as R};
    if roles.rail {
        // the link says which session: only that one is `own`
        return is.own
            && matches!(
                (resource, action),
                (R::Ride, A::Create | A::Read) | (R::Session | R::Entry | R::Facility, A::Read)
            );
    }
    if roles.trainer && trainer(resource, action) {
        return true;
    }
    let owner = roles.owner && is.owned;
    let rider = roles.rider && is.paired;
    match (resource, action) {
        (R::Barn | R::Facility | R::Calendar, A::Read) | (R::Evaluation, A::Read | A::Create) => roles.member(),
        (R::Person, A::Read) => is.own || (roles.member() && is.open),
        (R::Person, A::Change) => is.own,
        (R::Horse | R::Rest, A::Read) => owner || rider,
        (R::Ownership | R::Workload, A::Read) => owner,
        (R::Pairing | R::PairProgress, A::Read) => owner || is.own,
        (R::Limit, A::Read) => owner,
        (R::OwnerLimit | R::VetLimit, A::Read | A::Create | A::Change | A::Remove) => owner,
        (R::HorseStandDown, A::Read | A::Create | A::Change | A::Clear) => owner,
        (R::RiderStandDown, A::Read) => is.own,
        (R::Outing, A::Read | A::Create) => owner || rider,
        // what somebody else recorded counts against the horse's limits
        (R::Outing, A::Change | A::Remove) => owner || (roles.rider && is.own),
        (R::Session, A::Read) => is.own || owner || (roles.rider && is.open),
        (R::Session, A::Create) => roles.rider,
        (R::Session, A::Remove) => roles.rider && is.own,
        (R::Entry, A::Read) => is.own || owner,
        (R::Entry, A::Create) => roles.rider && (is.own || is.open),
        (R::Entry, A::Change | A::Remove) | (R::Ride, A::Create | A::Change) => roles.rider && is.own,
        (R::Ride, A::Read) => is.own || owner,
        _ => false,
    }
}

/// All but what is somebody else's to say.
const fn trainer(resource: Resource, action: Action) -> bool {
    !matches!(
        (resource, action),
        (Resource::OwnerLimit, Action::Create | Action::Change | Action::Remove)
            | (
                Resource::OwnerLimit | Resource::VetLimit | Resource::HorseStandDown | Resource::RiderStandDown,
                Action::Override
            )
    )
}

/// Whether the caller may know that the thing is there.
fn known(roles: Roles, resource: Resource, is: Relation) -> bool {
    use Resource as R;
    if roles.rail {
        return is.own && matches!(resource, R::Session | R::Entry | R::Ride | R::Facility);
    }
    if roles.trainer {
        return true;
    }
    match resource {
        R::Account => false,
        R::Barn | R::Facility | R::Calendar | R::Evaluation | R::Invitation => roles.member(),
        R::Person | R::Session => is.own || is.owned || is.open,
        R::Horse
        | R::Rest
        | R::Outing
        | R::Ownership
        | R::Workload
        | R::Limit
        | R::OwnerLimit
        | R::VetLimit
        | R::HorseStandDown => is.owned || is.paired,
        R::Pairing | R::PairProgress | R::Entry | R::Ride => is.own || is.owned,
        R::RiderStandDown => is.own,
        R::RailLink => is.own || is.open,
    }
}
