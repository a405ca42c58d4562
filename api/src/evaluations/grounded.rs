//! A layout in its arena: what is in its way, and the tracks that each line allows.
use super::judged::{Judge, Place};
use crate::exercises::layout::LineKind;
use stridewright_core::layout::{
    LaidFence, LayoutCheck, LayoutWanted, Ridden, TurnRadii, check_whole, jumps, others, schooling,
};
use stridewright_core::stride::LeanLimits;
use stridewright_core::track::{FittingCount, Ground, Stands, TrackError, fitting_counts};

/// What is reckoned of a placed layout, each list in the order of its lines.
pub struct Grounded {
    pub check: LayoutCheck,
    pub ridden: Vec<[Ridden; 2]>,
    /// Ascending; none on a line with a circle.
    pub fitting: Vec<Vec<FittingCount>>,
}

impl Judge<'_> {
    /// What is wanted of the ground.
    pub fn wanted(&self, place: &Place) -> Result<LayoutWanted<'_>, TrackError> {
        Ok(LayoutWanted {
            ground: Ground {
                arena: place.size,
                wall_clearance: self.subject.wall_clearance,
                others: &[],
                obstructions: &self.fixed,
                stands: Stands::USUAL,
            },
            rules: self.rules,
            turn_radii: TurnRadii::of(&self.asked.stride.horse, self.level)?,
            room: self.subject.room,
        })
    }

    /// Checks the fences and every line, and finds the counts that each allows this horse.
    pub fn grounded(&self, laid: &[LaidFence], place: &Place) -> Result<Grounded, TrackError> {
        let (wanted, lines) = (self.wanted(place)?, &self.asked.layout.lines.0);
        let ridden: Vec<_> = lines.iter().filter_map(|line| self.asked.layout.ridden(line)).collect();
        let check = check_whole(laid, &ridden, &self.combinations(), &wanted)?;
        let floor = schooling(self.level).radius_floor();
        let mut fitting = Vec::with_capacity(ridden.len());
        for (line, ridden) in lines.iter().zip(&ridden) {
            let others = others(laid, *ridden, &wanted.ground);
            let ground = Ground { others: &others, ..wanted.ground };
            fitting.push(match jumps(laid, *ridden).filter(|_| line.kind != LineKind::WithCircle) {
                Some(on) => {
                    fitting_counts(&on, &self.rules, &self.asked.stride.horse, LeanLimits::USUAL, floor, &ground)?
                }
                None => Vec::new(),
            });
        }
        Ok(Grounded { check, ridden, fitting })
    }
}
