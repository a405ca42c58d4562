//! Identifiers: one generic type, so that a horse's id cannot be handed over as a rider's.
use std::cmp::Ordering;
use std::fmt;
use std::hash::{Hash, Hasher};
use std::marker::PhantomData;
use uuid::Uuid;

/// The id of a `T`: a UUID on the wire and in the database. Made by clients or as UUIDv7, never by a sequence.
///
/// ```
/// use stridewright_core::ids::{Id, Horse};
/// let id: Id<Horse> = "01890a5d-ac96-774b-bcce-b302099a8057".parse()?;
/// assert_eq!(id.to_string(), "01890a5d-ac96-774b-bcce-b302099a8057");
/// # Ok::<(), uuid::Error>(())
/// ```
#[cfg_attr(feature = "diesel", derive(diesel::expression::AsExpression, diesel::deserialize::FromSqlRow))]
#[cfg_attr(feature = "diesel", diesel(sql_type = crate::sql::Id))]
pub struct Id<T: 'static>(Uuid, PhantomData<fn() -> T>);

impl<T> Id<T> {
    /// Wraps a UUID.
    #[must_use]
    pub const fn new(id: Uuid) -> Self {
        Self(id, PhantomData)
    }

    /// The UUID inside.
    #[must_use]
    pub const fn uuid(self) -> Uuid {
        self.0
    }
}

impl<T> From<Uuid> for Id<T> {
    fn from(id: Uuid) -> Self {
        Self::new(id)
    }
}
impl<T> std::str::FromStr for Id<T> {
    type Err = uuid::Error;
    fn from_str(text: &str) -> Result<Self, uuid::Error> {
        Uuid::parse_str(text).map(Self::new)
    }
}
impl<T> Clone for Id<T> {
    fn clone(&self) -> Self {
        *self
    }
}
impl<T> Copy for Id<T> {}
impl<T> PartialEq for Id<T> {
    fn eq(&self, other: &Self) -> bool {
        self.0 == other.0
    }
}
impl<T> Eq for Id<T> {}
impl<T> PartialOrd for Id<T> {
    fn partial_cmp(&self, other: &Self) -> Option<Ordering> {
        Some(self.cmp(other))
    }
}
impl<T> Ord for Id<T> {
    fn cmp(&self, other: &Self) -> Ordering {
        self.0.cmp(&other.0)
    }
}
impl<T> Hash for Id<T> {
    fn hash<H: Hasher>(&self, state: &mut H) {
        self.0.hash(state);
    }
}
impl<T> fmt::Debug for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}
impl<T> fmt::Display for Id<T> {
    fn fmt(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        fmt::Display::fmt(&self.0, f)
    }
}
impl<T> serde::Serialize for Id<T> {
    fn serialize<S: serde::Serializer>(&self, serializer: S) -> Result<S::Ok, S::Error> {
        self.0.serialize(serializer)
    }
}
/// Reads a UUID in its usual form only, as its schema says: 36 characters with hyphens.
struct Hyphenated;

impl serde::de::Visitor<'_> for Hyphenated {
    type Value = Uuid;

    fn expecting(&self, f: &mut fmt::Formatter<'_>) -> fmt::Result {
        f.write_str("a UUID such as 01890a5d-ac96-774b-bcce-b302099a8057")
    }

    fn visit_str<E: serde::de::Error>(self, text: &str) -> Result<Uuid, E> {
        let whole = (text.len() == 36).then(|| Uuid::try_parse(text).ok()).flatten();
        whole.ok_or_else(|| E::custom("must be a UUID such as 01890a5d-ac96-774b-bcce-b302099a8057"))
    }
}

impl<'de, T> serde::Deserialize<'de> for Id<T> {
    fn deserialize<D: serde::Deserializer<'de>>(deserializer: D) -> Result<Self, D::Error> {
        deserializer.deserialize_str(Hyphenated).map(Self::new)
    }
}

#[cfg(feature = "utoipa")]
impl<T> utoipa::__dev::ComposeSchema for Id<T> {
    fn compose(
        _: Vec<utoipa::openapi::RefOr<utoipa::openapi::schema::Schema>>,
    ) -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
        utoipa::openapi::ObjectBuilder::new()
            .schema_type(utoipa::openapi::schema::Type::String)
            .format(Some(utoipa::openapi::SchemaFormat::KnownFormat(utoipa::openapi::KnownFormat::Uuid)))
            .min_length(Some(36))
            .max_length(Some(36))
            .description(Some("An id: a UUID, made by the client (version 7) or by the service."))
            .examples(["01890a5d-ac96-774b-bcce-b302099a8057"])
            .into()
    }
}

#[cfg(feature = "utoipa")]
impl<T> utoipa::ToSchema for Id<T> {
    fn name() -> std::borrow::Cow<'static, str> {
        "Id".into()
    }
}

macro_rules! named {
    ($($(#[$doc:meta])* $name:ident),* $(,)?) => { $(
        $(#[$doc])*
        #[derive(Debug, Clone, Copy, PartialEq, Eq)]
        pub enum $name {}

        // only its name is asked for, as part of the id's
        #[cfg(feature = "utoipa")]
        impl utoipa::PartialSchema for $name {
            fn schema() -> utoipa::openapi::RefOr<utoipa::openapi::schema::Schema> {
                utoipa::openapi::schema::Schema::default().into()
            }
        }
        #[cfg(feature = "utoipa")]
        impl utoipa::ToSchema for $name {}
    )* };
}

named! {
    /// A sign-in.
    Account,
    /// One sign-in of an account on one device.
    SignIn,
    /// The tenant.
    Barn,
    /// Someone the barn knows.
    Person,
    /// An invitation to join a barn.
    Invitation,
    /// A horse or pony.
    Horse,
    /// Who owns a horse.
    Ownership,
    /// Which rider may ride which horse.
    Pairing,
    /// A rule about a horse's efforts.
    WorkloadLimit,
    /// A period without jumping, poles or riding.
    StandDown,
    /// Jumping elsewhere.
    Outing,
    /// A riding arena.
    Arena,
    /// An inventory of fence material.
    FenceSet,
    /// A named layout of fences.
    Exercise,
    /// Arena time, or an appointment.
    Session,
    /// One horse and rider in a session.
    Entry,
    /// One go.
    Ride,
    /// An expiring link to log one session's rides.
    RailLink,
}
