//! A distance walked in human steps.
use super::SLACK;
use super::count::whole;
use super::error::{StrideError, metres, positive};
use crate::units::Metres;

/// The step that trainers practise, 3 ft: four to a 12-ft stride.
pub const HUMAN_STEP: Metres = Metres::from_feet_inches(3, 0);

/// A distance in steps.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct StepsOnFoot {
    /// Whole steps.
    pub whole: u32,
    /// What is left over, shorter than a step.
    pub left_over: Metres,
}

/// Walks a distance in steps of a given length: [`HUMAN_STEP`], or the walker's own.
///
/// ```
/// use stridewright_core::stride::{HUMAN_STEP, steps_on_foot};
/// assert_eq!(steps_on_foot("66 ft".parse()?, HUMAN_STEP)?.whole, 22);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `step` of 0.
pub fn steps_on_foot(distance: Metres, step: Metres) -> Result<StepsOnFoot, StrideError> {
    let step = positive("step", step)?;
    let whole = whole(distance.get() / step + SLACK);
    let left_over = metres("left_over", (distance.get() - f64::from(whole) * step).max(0.0))?;
    Ok(StepsOnFoot { whole, left_over })
}
