//! What a layout is built of, and what a fence set lacks for it.
//!
//! How many poles a fence of a height takes is common practice without a source; that the back rail of every spread and
//! the middle one of a triple bar lie in safety cups is a rule of the Swedish federation, for the warm-up too.
use crate::layout::FenceKind;
use crate::units::Centimetres;
use std::ops::Add;

/// One pole for every half metre of height, and one at least.
const BETWEEN_POLES_CM: u16 = 50;

/// Parts of fences, each by its number.
///
/// ```
/// use stridewright_core::{equipment::Equipment, layout::FenceKind, units::Centimetres};
/// let metre = Centimetres::new(100)?;
/// let two = Equipment::of(FenceKind::Vertical, metre) + Equipment::of(FenceKind::Oxer, metre);
/// assert_eq!((two.wings_pairs, two.poles, two.cups, two.safety_cups), (3, 7, 8, 2));
/// let owned = Equipment { wings_pairs: 3, poles: 6, cups: 20, ..Equipment::default() };
/// let lacking = two.lacking(owned);
/// assert_eq!((lacking.poles, lacking.safety_cups, lacking.cups), (1, 2, 0));
/// # Ok::<(), stridewright_core::units::OutOfRange>(())
/// ```
#[derive(Debug, Clone, Copy, PartialEq, Eq, Default)]
pub struct Equipment {
    /// Pairs of wings, or of standards.
    pub wings_pairs: u32,
    /// Those on the ground too.
    pub poles: u32,
    /// Planks in place of poles.
    pub planks: u32,
    /// Walls, boxes, brushes.
    pub fillers: u32,
    /// Flat cups, two for each pole that does not lie on the ground.
    pub cups: u32,
    /// Cups that give way, two for each pole that lies in them.
    pub safety_cups: u32,
}

impl Equipment {
    /// What one fence takes, its ground line included. Logs, ditches and water stand there for themselves.
    #[must_use]
    pub fn of(kind: FenceKind, height: Centimetres) -> Self {
        let rails = u32::from(height.get().div_ceil(BETWEEN_POLES_CM).max(1));
        let none = Self::default();
        match kind {
            FenceKind::Vertical => Self { wings_pairs: 1, poles: rails + 1, cups: 2 * rails, ..none },
            FenceKind::Oxer => Self { wings_pairs: 2, poles: rails + 2, cups: 2 * rails, safety_cups: 2, ..none },
            // its front rail serves as the ground line
            FenceKind::TripleBar => Self { wings_pairs: 3, poles: 3, cups: 2, safety_cups: 4, ..none },
            FenceKind::CrossPole => Self { wings_pairs: 1, poles: 3, cups: 2, ..none },
            FenceKind::Wall => Self { wings_pairs: 1, poles: 1, fillers: 1, cups: 2, ..none },
            FenceKind::GroundPole => Self { poles: 1, ..none },
            FenceKind::Log | FenceKind::Ditch | FenceKind::Water => none,
        }
    }

    /// What of it is not there.
    #[must_use]
    pub const fn lacking(self, owned: Self) -> Self {
        Self {
            wings_pairs: self.wings_pairs.saturating_sub(owned.wings_pairs),
            poles: self.poles.saturating_sub(owned.poles),
            planks: self.planks.saturating_sub(owned.planks),
            fillers: self.fillers.saturating_sub(owned.fillers),
            cups: self.cups.saturating_sub(owned.cups),
            safety_cups: self.safety_cups.saturating_sub(owned.safety_cups),
        }
    }

    /// Whether it is nothing at all.
    #[must_use]
    pub fn is_nothing(self) -> bool {
        self == Self::default()
    }
}

impl Add for Equipment {
    type Output = Self;
    fn add(self, other: Self) -> Self {
        Self {
            wings_pairs: self.wings_pairs.saturating_add(other.wings_pairs),
            poles: self.poles.saturating_add(other.poles),
            planks: self.planks.saturating_add(other.planks),
            fillers: self.fillers.saturating_add(other.fillers),
            cups: self.cups.saturating_add(other.cups),
            safety_cups: self.safety_cups.saturating_add(other.safety_cups),
        }
    }
}

impl std::iter::Sum for Equipment {
    fn sum<I: Iterator<Item = Self>>(parts: I) -> Self {
        parts.fold(Self::default(), Add::add)
    }
}
