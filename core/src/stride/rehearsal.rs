//! Where the canter is chosen, and where the count can be rehearsed without a jump.
use super::SLACK;
use super::allowance::room_in_strides;
use super::error::{StrideError, metres, positive};
use super::line::Line;
use crate::units::{Metres, Strides};

/// The canter is chosen seven to eight strides before the first fence (common practice, no source).
const STRIDES_BEFORE: f64 = 7.5;
/// Design strides before the first fence from where on nothing is changed any more (a choice).
const LATEST: f64 = 3.0;

/// Where on the way to the first fence the canter is chosen.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct PaceMark {
    /// Back along the track from the first fence's take-off face: from here the canter is only kept.
    pub mark: Metres,
    /// The last point, measured the same way, at which it may still be settled.
    pub latest: Metres,
    /// Whether the room before the fence reaches back to the mark; `None` where the room is not known.
    pub fits: Option<bool>,
    /// Strides that the room holds.
    pub strides_available: Option<Strides>,
}

/// The pace mark for a line ridden in strides of `stride`, with the room before the first fence where it is known.
///
/// # Errors
/// Refuses a `stride` or `profile_stride` of 0, and places beyond the range of [`Metres`].
pub fn pace_mark(stride: Metres, profile_stride: Metres, room: Option<Metres>) -> Result<PaceMark, StrideError> {
    let (length, profile) = (positive("stride", stride)?, positive("profile_stride", profile_stride)?);
    let mark = STRIDES_BEFORE * length;
    let available = room.map(|room| Strides::new(room.get() / length)).transpose();
    Ok(PaceMark {
        mark: metres("pace_mark", mark)?,
        latest: metres("latest", LATEST * profile)?,
        fits: room.map(|room| room.get() >= mark - SLACK),
        strides_available: available.map_err(StrideError::result("strides_available"))?,
    })
}

/// Two markers on the flat that are passed in the count of the line, at the same canter: an ask without a jump.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Gate {
    /// Between two markers beside the track, foot to foot. The same for every count.
    pub between_markers: Metres,
    /// Between two poles on the ground, which take room for landing and take-off themselves.
    pub between_poles: Metres,
    /// The stride, that of the line.
    pub stride: Metres,
    /// The marker passed last stands at least this far before the first fence: at the pace mark.
    pub nearest: Metres,
    /// Whether the straight is long enough; `None` where it is not known.
    pub fits: Option<bool>,
}

/// The count-in gate of a line ridden in `n`; `None` for a bounce and where no length is left.
///
/// ```
/// use stridewright_core::{stride::{Line, Profile, count_in_gate}, units::{Metres, metres_text}};
/// let metre = Metres::new(1.0)?;
/// let line = Line { distance: "84 ft".parse()?, first: metre, second: metre };
/// let gate = count_in_gate(&line, 7, Profile::Horse.design_stride(), None)?;
/// assert_eq!(gate.map(|gate| metres_text(gate.between_markers)), Some("21.95 m".into())); // 72 ft
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `profile_stride` of 0, and places beyond the range of [`Metres`].
pub fn count_in_gate(
    line: &Line,
    n: u32,
    profile_stride: Metres,
    straight: Option<Metres>,
) -> Result<Option<Gate>, StrideError> {
    let profile = positive("profile_stride", profile_stride)?;
    let gap = line.rest(profile);
    if n == 0 || gap <= SLACK {
        return Ok(None);
    }
    let stride = gap / f64::from(n);
    Ok(Some(Gate {
        between_markers: metres("gate", gap)?,
        between_poles: metres("poles", gap + 2.0 * profile * room_in_strides(0.0))?,
        stride: metres("stride", stride)?,
        nearest: metres("nearest", STRIDES_BEFORE * stride)?,
        fits: straight.map(|straight| straight.get() >= gap - SLACK),
    }))
}
