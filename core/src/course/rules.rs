//! What rule books say of courses. They disagree, and change every year: a rule set is a check that is chosen, never a
//! constant. Local rules decide.
use crate::stride::SLACK;
use crate::units::{Metres, MetresPerMinute, Seconds, SquareMetres};

/// A rule book, by what its pages said when they were read.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum RuleSet {
    /// The international wording as national bodies print it: combinations by the Italian federation (mirroring FEI
    /// article 212), length and finish by KNHS articles 204.5 and 204.6, start and finish by the Russian rules of 2011
    /// (3.3), time by Equestrian Australia's rules of 2022.
    International,
    /// The Luxembourg rules of 1999: FLSE §§ 504, 505 and 508; time by the older style of the Swedish federation.
    Luxembourg1999,
}

/// How time over the time allowed is counted.
#[derive(Debug, Clone, Copy, PartialEq, Eq)]
pub enum TimePenalty {
    /// One for each second commenced.
    EachSecond,
    /// One for each four seconds commenced.
    EachFourSeconds,
}

impl RuleSet {
    /// Two fences that far apart, the ends included, are one combination; further apart they are two obstacles, nearer
    /// is not allowed. Inner face to inner face.
    #[must_use]
    pub const fn combination(self) -> (Metres, Metres) {
        match self {
            Self::International => (Metres::nearest(7.0), Metres::nearest(12.0)),
            Self::Luxembourg1999 => (Metres::nearest(6.5), Metres::nearest(12.0)),
        }
    }

    /// How far the start lies before the first fence.
    #[must_use]
    pub const fn start_line(self) -> (Metres, Metres) {
        match self {
            Self::International => (Metres::nearest(6.0), Metres::nearest(15.0)),
            Self::Luxembourg1999 => (Metres::nearest(6.0), Metres::nearest(25.0)),
        }
    }

    /// How far the finish lies behind the last one, out of doors.
    #[must_use]
    pub const fn finish_line(self) -> (Metres, Metres) {
        match self {
            Self::International => (Metres::nearest(6.0), Metres::nearest(15.0)),
            Self::Luxembourg1999 => (Metres::nearest(15.0), Metres::nearest(25.0)),
        }
    }

    /// The least area, and the least short side, of an arena for jumping, with a roof and without one:
    /// FEI rule revision of 2005, article 201; FLSE § 45, category II.
    #[must_use]
    pub const fn least_arena(self, indoor: bool) -> (SquareMetres, Metres) {
        let (area, side) = match (self, indoor) {
            (Self::International, true) => (1_200.0, 20.0),
            (Self::International, false) => (4_000.0, 50.0),
            (Self::Luxembourg1999, true) => (800.0, 20.0),
            (Self::Luxembourg1999, false) => (2_500.0, 30.0),
        };
        (SquareMetres::nearest(area), Metres::nearest(side))
    }

    /// The longest course of so many obstacles: 60 m each (KNHS article 204.5, FLSE § 504.2).
    #[must_use]
    pub fn longest(self, obstacles: u32) -> Metres {
        Metres::nearest(60.0 * f64::from(obstacles))
    }

    /// How time over is counted.
    #[must_use]
    pub const fn time_penalty(self) -> TimePenalty {
        match self {
            Self::International => TimePenalty::EachSecond,
            Self::Luxembourg1999 => TimePenalty::EachFourSeconds,
        }
    }

    /// The penalties for so much time over.
    ///
    /// ```
    /// use stridewright_core::{course::RuleSet, units::Seconds};
    /// let over = Seconds::new(3.5)?;
    /// assert_eq!((RuleSet::International.penalties(over), RuleSet::Luxembourg1999.penalties(over)), (4, 1));
    /// # Ok::<(), stridewright_core::units::OutOfRange>(())
    /// ```
    #[must_use]
    pub fn penalties(self, over: Seconds) -> u32 {
        let each = match self.time_penalty() {
            TimePenalty::EachSecond => 1.0,
            TimePenalty::EachFourSeconds => 4.0,
        };
        let commenced = (over.get() / each - SLACK).ceil();
        #[allow(clippy::cast_possible_truncation, clippy::cast_sign_loss, reason = "from 0 to 86,400")]
        {
            commenced.max(0.0) as u32
        }
    }
}

/// The time allowed for a length at a speed, in full seconds, a fraction counting as one; `None` for a speed of 0 or
/// more than a day.
///
/// ```
/// use stridewright_core::{course::time_allowed, units::{Metres, MetresPerMinute}};
/// let allowed = time_allowed(Metres::new(450.0)?, MetresPerMinute::new(375.0)?).unwrap();
/// assert_eq!(allowed.get(), 72.0);
/// # Ok::<(), stridewright_core::units::OutOfRange>(())
/// ```
#[must_use]
pub fn time_allowed(length: Metres, speed: MetresPerMinute) -> Option<Seconds> {
    // never by a rounded minute: 2,300 m at 600 m/min are 230 s
    let seconds = (length.get() * 60.0 / speed.get() - SLACK).ceil().max(0.0);
    Seconds::new(seconds).ok()
}

/// The time limit: twice the time allowed.
#[must_use]
pub fn time_limit(allowed: Seconds) -> Seconds {
    Seconds::nearest(2.0 * allowed.get())
}
