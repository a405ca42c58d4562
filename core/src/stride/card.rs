//! All there is to say about a line and a horse, count by count.
use super::band::{Effort, effort};
use super::canter::{Canter, Flag, canter, flags};
use super::count::{Ask, asks, natural_count};
use super::error::StrideError;
use super::horse::HorseStride;
use super::line::{Line, required_stride};
use super::rehearsal::{Gate, PaceMark, count_in_gate, pace_mark};
use crate::units::{Metres, Probability};

/// Where the line stands, as far as it is known.
#[derive(Debug, Clone, Copy, PartialEq, Default)]
pub struct Places {
    /// The room before the first fence, along the track.
    pub room_before: Option<Metres>,
    /// A straight on the flat for the count-in gate.
    pub straight: Option<Metres>,
}

/// One count on a line for one horse.
#[derive(Debug, Clone, PartialEq)]
pub struct CountCard {
    /// Strides between the fences.
    pub n: u32,
    /// The count that comes by itself at the horse's normal stride.
    pub natural: bool,
    /// Too many to be called related.
    pub unrelated: bool,
    /// The mean stride.
    pub stride: Metres,
    /// That stride against the horse's normal one.
    pub effort: Effort,
    /// The canter that rides it.
    pub canter: Canter,
    /// What is out of the ordinary about it.
    pub flags: Vec<Flag>,
    /// Where the canter is chosen.
    pub pace_mark: PaceMark,
    /// Where the count can be rehearsed on the flat.
    pub gate: Gate,
}

/// The cards of every count that the horse can be asked for, ascending.
///
/// ```
/// use stridewright_core::stride::{HorseStride, Line, Places, Profile, stride_card};
/// let horse = HorseStride::unmeasured(Profile::Horse)?;
/// let line = Line { distance: "84 ft".parse()?, first: "1 m".parse()?, second: "1 m".parse()? };
/// let cards = stride_card(&line, &horse, Places::default())?;
/// assert_eq!(cards.iter().map(|card| card.n).collect::<Vec<_>>(), [6, 7]);
/// assert!(cards[0].natural);
/// assert_eq!(cards[1].canter.pace_shown().get(), 315.0); // m/min
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Where a speed or place lies beyond the range of its quantity.
pub fn stride_card(line: &Line, horse: &HorseStride, places: Places) -> Result<Vec<CountCard>, StrideError> {
    let mut cards = Vec::new();
    for ask in asks(line, horse.range(), horse.profile_stride())? {
        cards.extend(count_card(line, horse, places, ask.n)?);
    }
    Ok(cards)
}

/// The card of any one count, within the horse's range or not; `None` for a bounce and where no length is left.
///
/// # Errors
/// Where a speed or place lies beyond the range of its quantity.
pub fn count_card(line: &Line, horse: &HorseStride, places: Places, n: u32) -> Result<Option<CountCard>, StrideError> {
    let (profile, normal) = (horse.profile_stride(), horse.normal_stride());
    let (Some(stride), Some(gate)) =
        (required_stride(line, n, profile, Probability::MIN)?, count_in_gate(line, n, profile, places.straight)?)
    else {
        return Ok(None);
    };
    let canter = canter(stride, normal, horse.calibration())?;
    Ok(Some(CountCard {
        n,
        natural: natural_count(line, normal, profile)?.n == n,
        unrelated: Ask::of(n).unrelated,
        stride,
        effort: effort(stride, normal)?,
        canter,
        flags: flags(stride, normal, canter.speed)?,
        pace_mark: pace_mark(stride, profile, places.room_before)?,
        gate,
    }))
}
