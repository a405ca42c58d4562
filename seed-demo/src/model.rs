//! How an invented horse answers an ask: what it can really do, which the service has to find out.
use crate::random::Random;
use stridewright_core::stride::Line;
use stridewright_core::units::{Centimetres, Metres};

/// The true ends of a horse's range, in log stretch from its normal stride, and how they change a week.
#[derive(Debug, Clone, Copy)]
pub struct Form {
    short: f64,
    long: f64,
    weekly: f64,
}

/// The weeks of the log.
pub const WEEKS: i32 = 14;
/// How sharply success ends at the end of the range, and how often all goes wrong anyhow.
const STEEPNESS: f64 = 6.0;
const LAPSE: f64 = 0.02;

impl Form {
    pub const fn steady(short: f64, long: f64) -> Self {
        Self { short, long, weekly: 0.0 }
    }

    /// From the first week on.
    pub const fn changing(short: f64, long: f64, weekly: f64) -> Self {
        Self { short, long, weekly }
    }

    /// The ends so many weeks before today: short, long.
    fn ends(&self, weeks_ago: f64) -> (f64, f64) {
        let grown = (self.weekly * (f64::from(WEEKS) - weeks_ago)).exp();
        (self.short * grown, self.long * grown)
    }

    /// The chance that it meets a stretch.
    fn chance(&self, x: f64, weeks_ago: f64) -> f64 {
        let (short, long) = self.ends(weeks_ago);
        let share = x.abs() / if x > 0.0 { long } else { short };
        let at_end = (0.8 / (1.0 - LAPSE) / (1.0 - 0.8 / (1.0 - LAPSE))).ln();
        (1.0 - LAPSE) / (1.0 + (-(at_end + STEEPNESS * (1.0 - share))).exp())
    }
}

/// A line as one horse meets it on one day.
#[derive(Debug, Clone, Copy)]
pub struct Met {
    pub form: Form,
    /// The room between landing and take-off, in normal strides of the horse.
    pub room: f64,
    pub weeks_ago: f64,
    pub poles: bool,
}

/// What became of it.
#[derive(Debug, Clone, Copy)]
pub struct Outcome {
    pub ridden: Option<u8>,
    pub fault: Option<&'static str>,
    pub approach: &'static str,
    pub lost_first: Option<&'static str>,
}

/// The room of a line between landing and take-off, in strides of the horse.
pub fn room(distance_m: f64, height_cm: u16, profile: &str, stride_m: f64) -> f64 {
    use stridewright_core::stride::Profile;
    let profile = match profile {
        "small_pony" => Profile::SmallPony,
        "medium_pony" => Profile::MediumPony,
        "large_pony" => Profile::LargePony,
        _ => Profile::Horse,
    };
    let height = Centimetres::new(height_cm).map_or(Metres::nearest(0.0), Centimetres::metres);
    let line = Line { distance: Metres::nearest(distance_m), first: height, second: height };
    let taken = line.allowance(profile.design_stride()).map_or(0.0, Metres::get);
    (distance_m - taken) / stride_m
}

/// What is at most asked for, whatever is believed.
const SHORTEST: f64 = -0.42;
const LONGEST: f64 = 0.22;

impl Met {
    fn stretch(&self, count: u8) -> f64 {
        (self.room / f64::from(count)).ln()
    }

    /// The count nearest to the normal stride.
    pub fn natural(&self) -> u8 {
        (1..=12).min_by(|a, b| self.stretch(*a).abs().total_cmp(&self.stretch(*b).abs())).unwrap_or(1)
    }

    /// The trainer's ask: the natural count first, then counts about the end of the range as it was believed
    /// to be a week before, now a little within it and now a little beyond.
    pub fn ask(&self, go: u32, random: &mut Random) -> u8 {
        let natural = self.natural();
        let (short, long) = self.form.ends(self.weeks_ago + 1.0);
        let (lengthens, share) = (random.chance(0.4), random.choose(&[0.75, 0.95, 1.1, 1.25], 1.0));
        if go == 0 || natural < 3 || random.chance(0.15) {
            return natural;
        }
        let end = if lengthens { long } else { -short };
        let off = |n: &u8| (self.stretch(*n) - share * end).abs();
        let counts = if lengthens { 1..=natural - 1 } else { natural + 1..=14 };
        let nearest = counts.min_by(|a, b| off(a).total_cmp(&off(b))).unwrap_or(natural);
        let x = self.stretch(nearest);
        let sensible = (SHORTEST..=LONGEST).contains(&x) && x / end < 1.4;
        if sensible { nearest } else { natural }
    }

    /// What the horse makes of it.
    pub fn ride(&self, asked: u8, random: &mut Random) -> Outcome {
        let x = self.stretch(asked);
        if random.chance(self.form.chance(x, self.weeks_ago)) {
            let rail = !self.poles && random.chance(0.035);
            return Outcome { ridden: Some(asked), fault: rail.then_some("rail"), approach: "right", lost_first: None };
        }
        let (short, long) = (x < -0.03, x > 0.03);
        let approach = if short {
            "fast"
        } else if long {
            "slow"
        } else {
            "right"
        };
        let lost_first = Some(random.choose(&["speed", "rhythm", "rhythm", "balance", "timing"], "rhythm"));
        let miss = |ridden, fault| Outcome { ridden, fault, approach, lost_first };
        let roll = random.unit();
        if roll < 0.08 && !self.poles {
            return miss(None, Some(if roll < 0.06 { "refusal" } else { "run_out" }));
        }
        if roll < 0.2 {
            return miss(Some(asked), Some(if self.poles { "break" } else { "chip" }));
        }
        let fewer = if short { true } else { !long && random.chance(0.5) };
        miss(Some(if fewer { asked.saturating_sub(1).max(1) } else { asked + 1 }), None)
    }
}
