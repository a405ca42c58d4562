//! How tight a turn a canter can be ridden through: the lean of a body in balance.
use super::error::{StrideError, metres, positive};
use crate::units::{Degrees, Factor, Metres, MetresPerSecond};

const GRAVITY: f64 = 9.80665;

/// How far over a horse is planned to lean: choices of ours, advice for planning and no proof of safety.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeanLimits {
    /// Above this a turn is flagged.
    pub advice: Degrees,
    /// Above this a turn is not planned.
    pub most: Degrees,
}

impl LeanLimits {
    /// On good going.
    pub const USUAL: Self = Self { advice: Degrees::nearest(20.0), most: Degrees::nearest(25.0) };
    /// On wet or deep going.
    pub const HEAVY_GOING: Self = Self { advice: Degrees::nearest(15.0), most: Degrees::nearest(20.0) };
}

/// How well a horse knows tight turns.
#[derive(Debug, Clone, Copy, PartialEq, Eq, Hash, Default, serde::Serialize, serde::Deserialize)]
#[cfg_attr(feature = "utoipa", derive(utoipa::ToSchema))]
#[serde(rename_all = "snake_case")]
pub enum Schooling {
    /// Still learning to canter a circle.
    Green,
    /// The 8 m volte is its smallest.
    #[default]
    Usual,
    /// The 6 m volte is.
    Schooled,
}

impl Schooling {
    /// The least radius that is planned however slow the canter. British Dressage, "Circles and serpentines": a
    /// volte has 6, 8 or 10 m diameter.
    #[must_use]
    pub const fn radius_floor(self) -> Metres {
        match self {
            Self::Green => Metres::nearest(5.0),
            Self::Usual => Metres::nearest(4.0),
            Self::Schooled => Metres::nearest(3.0),
        }
    }
}

/// How a horse in balance leans into a turn.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct Lean {
    /// Away from the vertical.
    pub angle: Degrees,
    /// Sideways acceleration in units of gravity.
    pub lateral: Factor,
}

/// The lean at a speed through a radius. Horses keep to it within about a degree (Brocklehurst, Weller and Pfau, on
/// the lunge).
///
/// ```
/// use stridewright_core::{stride::lean, units::{Metres, MetresPerSecond}};
/// let volte = lean(MetresPerSecond::new(4.0)?, Metres::new(5.0)?)?;
/// assert!((volte.angle.get() - 18.07).abs() < 0.01);
/// # Ok::<(), Box<dyn std::error::Error>>(())
/// ```
///
/// # Errors
/// Refuses a `radius` of 0, and an acceleration beyond the range of [`Factor`].
pub fn lean(speed: MetresPerSecond, radius: Metres) -> Result<Lean, StrideError> {
    let lateral = speed.get().powi(2) / (GRAVITY * positive("radius", radius)?);
    Ok(Lean {
        angle: Degrees::new(lateral.atan().to_degrees()).map_err(StrideError::result("lean"))?,
        lateral: Factor::new(lateral).map_err(StrideError::result("lateral"))?,
    })
}

/// The tightest turn for a speed.
#[derive(Debug, Clone, Copy, PartialEq)]
pub struct LeastRadius {
    /// Of the ridden track.
    pub radius: Metres,
    /// How the horse leans there: `lean_max`, or less where the floor decides.
    pub lean: Lean,
}

/// The least radius at which a horse leans no further than `lean_max`, and never below `radius_floor`.
///
/// # Errors
/// Refuses a `lean_max` outside the open interval from 0 to 90 degrees, a `radius_floor` of 0, and a radius
/// beyond the range of [`Metres`].
pub fn least_radius(
    speed: MetresPerSecond,
    lean_max: Degrees,
    radius_floor: Metres,
) -> Result<LeastRadius, StrideError> {
    let floor = positive("radius_floor", radius_floor)?;
    if lean_max.get() <= 0.0 || lean_max.get() >= 90.0 {
        return Err(StrideError::LeanNotAcute);
    }
    let balanced = speed.get().powi(2) / (GRAVITY * lean_max.get().to_radians().tan());
    let radius = metres("radius", balanced.max(floor))?;
    Ok(LeastRadius { radius, lean: lean(speed, radius)? })
}
