//! An arena as it crosses the wire.
use super::hours::Opening;
use crate::problem::FieldError;
use crate::wire::list::{List, Member};
use crate::wire::page::{Cursor, PageSize};
use crate::wire::patch::Patch;
use crate::wire::text::Name;
use crate::{bounded, choice, input, query, whole};
use serde::{Deserialize, Serialize};
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Arena, Id};
use stridewright_core::units::Metres;
use utoipa::ToSchema;

choice! {
    /// What the ground is made of.
    pub enum Footing { Sand, SandAndFibre, Grass, Earth, Other }
}
choice! {
    /// The dressage letters around it.
    pub enum Letters {
        None,
        /// Around a rectangle of 20 by 40 m.
        #[serde(rename = "20x40")]
        Short,
        /// Around a rectangle of 20 by 60 m.
        #[serde(rename = "20x60")]
        Long,
    }
}
whole! {
    /// How many sessions may share the arena.
    pub struct SessionsAtOnce(1 ..= 10), example 1
}

impl SessionsAtOnce {
    pub const ONE: Self = Self(1);
}

bounded! {
    /// A side of an arena, in metres.
    pub struct ArenaSide(Metres, 10.0 ..= 300.0), example 60.0
}
bounded! {
    /// How long or wide something is that stands in an arena, in metres.
    pub struct Extent(Metres, above 0.0 ..= 300.0), example 3.0
}

input! {
    /// Something that stands in the way; its corner nearest to the arena's is at (x, y).
    #[derive(PartialEq, Serialize, Deserialize)]
    pub struct Obstruction {
        pub name: Name,
        /// Along the arena's length.
        pub x_m: Metres,
        /// Across it.
        #[schema(example = 0.0)]
        pub y_m: Metres,
        #[schema(example = 3.0)]
        pub length_m: Extent,
        #[schema(example = 2.0)]
        pub width_m: Extent,
    }
}

impl Member for Obstruction {
    const MOST: usize = 40;
}

input! {
    /// A new arena.
    pub struct ArenaIn {
        /// An id made by the client; the service makes one where it is absent.
        pub id: Option<Id<Arena>>,
        pub name: Name,
        /// The longer side.
        #[schema(example = 60.0)]
        pub length_m: ArenaSide,
        /// The shorter side.
        #[schema(example = 20.0)]
        pub width_m: ArenaSide,
        pub indoor: Option<bool>,
        pub footing: Option<Footing>,
        pub lights: Option<bool>,
        /// Only where the arena has that size.
        pub letters: Option<Letters>,
        /// By the barn's clock; without any the arena is always open.
        pub hours: Option<List<Opening>>,
        pub obstructions: Option<List<Obstruction>>,
        /// One, unless the barn says more.
        pub sessions_at_once: Option<SessionsAtOnce>,
    }
}

input! {
    /// What to change of an arena.
    pub struct ArenaPatch {
        pub name: Patch<Name>,
        #[schema(example = 60.0)]
        pub length_m: Patch<ArenaSide>,
        #[schema(example = 20.0)]
        pub width_m: Patch<ArenaSide>,
        pub indoor: Patch<bool>,
        pub footing: Patch<Footing>,
        pub lights: Patch<bool>,
        pub letters: Patch<Letters>,
        pub hours: Patch<List<Opening>>,
        pub obstructions: Patch<List<Obstruction>>,
        pub sessions_at_once: Patch<SessionsAtOnce>,
    }
}

/// What is measured of an arena, and what it is used for.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ArenaFacts {
    pub name: Name,
    #[schema(example = 60.0)]
    pub length_m: ArenaSide,
    #[schema(example = 20.0)]
    pub width_m: ArenaSide,
    pub indoor: bool,
    pub footing: Footing,
    pub lights: bool,
    pub letters: Letters,
    pub hours: List<Opening>,
    pub obstructions: List<Obstruction>,
    pub sessions_at_once: SessionsAtOnce,
}

/// An arena.
#[derive(Debug, Clone, Serialize, ToSchema)]
pub struct ArenaOut {
    pub id: Id<Arena>,
    #[serde(flatten)]
    pub facts: ArenaFacts,
    /// Since when it is no longer used.
    pub removed_at: Option<Instant>,
    pub created_at: Instant,
}

query! {
    /// Which page of the arenas.
    pub struct ArenaQuery {
        pub cursor: Option<Cursor>,
        pub limit: Option<PageSize>,
    }
}

/// How far a side may be off the size that letters are for, in metres.
const LETTERS_OFF: f64 = 0.5;

impl ArenaFacts {
    /// Every rule that the fields break together.
    pub fn faults(&self) -> Vec<FieldError> {
        let mut errors = Vec::new();
        let mut fault = |at: String, rule: &str| errors.push(FieldError::new(at, "invalid", rule));
        let (length, width) = (self.length_m.get(), self.width_m.get());
        if width > length {
            fault("/width_m".to_owned(), "must be at most the length");
        }
        let is = |long: f64| (length - long).abs() <= LETTERS_OFF && (width - 20.0).abs() <= LETTERS_OFF;
        let fits = match self.letters {
            Letters::None => true,
            Letters::Short => is(40.0),
            Letters::Long => is(60.0),
        };
        if !fits {
            fault("/letters".to_owned(), "must be those of the arena's size, or none");
        }
        for (i, opening) in self.hours.0.iter().enumerate() {
            let overlaps = |other: &Opening| {
                other.weekday == opening.weekday && other.opens < opening.closes && opening.opens < other.closes
            };
            if opening.opens >= opening.closes {
                fault(format!("/hours/{i}/closes"), "must be later than opens");
            } else if self.hours.0.iter().take(i).any(overlaps) {
                fault(format!("/hours/{i}"), "must not overlap another of the day");
            }
        }
        for (i, o) in self.obstructions.0.iter().enumerate() {
            if o.x_m.get() + o.length_m.get() > length || o.y_m.get() + o.width_m.get() > width {
                fault(format!("/obstructions/{i}"), "must stand inside the arena");
            }
        }
        errors
    }
}
