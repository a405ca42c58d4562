//! The corners of an arena, by letters that no riding arena uses for its own marks.
use crate::track::ArenaSize;
use crate::track::plane::Vector;

/// A corner, counter-clockwise from where x and y are 0.
#[derive(Debug, Clone, Copy, PartialEq, Eq, PartialOrd, Ord, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
pub enum Corner {
    /// Where both are 0.
    T,
    /// At the other end of the long wall.
    U,
    /// Across from the first.
    Y,
    /// At the other end of the short wall.
    Z,
}

impl Corner {
    /// All four, in the order of walking round.
    pub const ALL: [Self; 4] = [Self::T, Self::U, Self::Y, Self::Z];

    /// The corner to which the long wall leads.
    #[must_use]
    pub const fn along_long_wall(self) -> Self {
        match self {
            Self::T => Self::U,
            Self::U => Self::T,
            Self::Y => Self::Z,
            Self::Z => Self::Y,
        }
    }

    /// The corner to which the short wall leads.
    #[must_use]
    pub const fn along_short_wall(self) -> Self {
        match self {
            Self::T => Self::Z,
            Self::Z => Self::T,
            Self::U => Self::Y,
            Self::Y => Self::U,
        }
    }

    /// Its letter.
    #[must_use]
    pub const fn letter(self) -> &'static str {
        match self {
            Self::T => "T",
            Self::U => "U",
            Self::Y => "Y",
            Self::Z => "Z",
        }
    }

    pub(crate) fn place(self, arena: ArenaSize) -> Vector {
        let (length, width) = (arena.length.get(), arena.width.get());
        match self {
            Self::T => Vector { x: 0.0, y: 0.0 },
            Self::U => Vector { x: length, y: 0.0 },
            Self::Y => Vector { x: length, y: width },
            Self::Z => Vector { x: 0.0, y: width },
        }
    }
}
