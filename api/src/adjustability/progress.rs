//! A horse, or one of its pairs, with all that its figures are reckoned from.
use super::attempts;
use crate::db::conn::AnyConn;
use crate::horses::rows::{HorseRow, stride_on};
use crate::horses::wire::NormalStride;
use crate::problem::Problem;
use crate::problem::table::Kind;
use std::collections::BTreeSet;
use stridewright_core::adjustability::{
    Attempt, Range, Settings, Trend, WeekPoint, decline_before, fit, mondays, of_rider, pair, trend, weekly,
};
use stridewright_core::calendar::{Day, Zone};
use stridewright_core::ids::{Id, Person};
use stridewright_core::stride::{HorseStride, StrideRange};
use stridewright_core::units::{Factor, Metres};

/// How many weeks the picture shows.
const WEEKS: u8 = 26;

/// What the figures are reckoned from. With a rider they are the pair's.
pub struct Progress {
    pub as_of: Day,
    pub normal: NormalStride,
    pub profile_stride: Metres,
    pub settings: Settings,
    rider: Option<Id<Person>>,
    /// The horse's, under whatever rider.
    attempts: Vec<Attempt<Id<Person>>>,
}

impl Progress {
    /// Loads it as things stood at the end of the day.
    pub fn load(
        c: &mut AnyConn,
        zone: &Zone,
        row: HorseRow,
        rider: Option<Id<Person>>,
        as_of: Day,
    ) -> Result<Self, Problem> {
        let profile_stride = row.profile.0.design_stride();
        let normal = stride_on(c, &row, as_of)?;
        let attempts = attempts::load(c, row.barn_id, row.id, zone, profile_stride, as_of)?;
        Ok(Self { as_of, normal, profile_stride, settings: Settings::default(), rider, attempts })
    }

    /// The attempts that a next ask and a trend go by: the horse's, or those of the pair alone.
    pub fn own(&self) -> Vec<&Attempt<Id<Person>>> {
        match &self.rider {
            Some(rider) => of_rider(&self.attempts, rider).collect(),
            None => self.attempts.iter().collect(),
        }
    }

    /// The range as it stands on the day.
    pub fn range(&self) -> Range {
        self.range_on(self.as_of)
    }

    fn range_on(&self, day: Day) -> Range {
        match &self.rider {
            Some(rider) => pair(&self.attempts, rider, day, self.normal.stride_m, &self.settings),
            None => fit(&self.attempts, day, self.normal.stride_m, &self.settings),
        }
    }

    pub fn trend(&self) -> Trend {
        trend(self.own(), self.as_of, self.normal.stride_m, &self.settings)
    }

    /// The last Monday at which a decline was shown.
    pub fn decline_before(&self) -> Option<Day> {
        decline_before(self.own(), self.as_of, self.normal.stride_m, &self.settings)
    }

    /// The range on each Monday, from the first one by which there was an attempt.
    pub fn weeks(&self) -> Vec<WeekPoint> {
        let first = self.own().iter().map(|attempt| attempt.day).min();
        let days: Vec<Day> = mondays(self.as_of, WEEKS).into_iter().filter(|day| first <= Some(*day)).collect();
        if first.is_none() {
            return Vec::new();
        }
        if self.rider.is_none() {
            return weekly(&self.attempts, &days, self.normal.stride_m, &self.settings);
        }
        let point = |as_of| {
            let range = self.range_on(as_of);
            WeekPoint { as_of, short_end: range.short_end(), long_end: range.long_end(), ratio: range.ratio() }
        };
        days.into_iter().map(point).collect()
    }

    /// On how many days the attempts that entered were ridden.
    pub fn days(&self) -> usize {
        let oldest = i32::from(self.settings.window_d);
        let enters = |a: &&Attempt<Id<Person>>| {
            let counted = a.asked.is_some_and(|n| n > 0) && a.distance.get() > a.allowance.get();
            counted && !a.circle && (0..=oldest).contains(&self.as_of.since(a.day))
        };
        self.own().into_iter().filter(enters).map(|a| a.day).collect::<BTreeSet<_>>().len()
    }

    /// The stride that lines are reckoned with; a calibration of exactly 1 is that of a horse nobody has timed.
    pub fn stride(&self, calibration: f64) -> Result<HorseStride, Problem> {
        let range = self.range();
        let internal = |_| Problem::new(Kind::Internal);
        let timed = Some(calibration).filter(|factor| (factor - 1.0).abs() > 1e-12);
        let calibration = timed.map(Factor::nearest);
        let ends = StrideRange::new(range.short_end().stride_m, range.long_end().stride_m).map_err(internal)?;
        HorseStride::new(self.profile_stride, self.normal.stride_m, ends, calibration).map_err(internal)
    }
}
