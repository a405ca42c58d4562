//! The words that differ from barn to barn: one file for each language of the yard.
mod american;
mod british;

use crate::barns::wire::Labels;
use crate::exercises::layout::{Fence, FenceKind};

/// What things are called.
#[derive(Debug, Clone, Copy)]
pub struct Words {
    /// Of a document, for programs that read it out.
    pub language: &'static str,
    pub vertical: &'static str,
    pub oxer: &'static str,
    pub square_oxer: &'static str,
    pub triple_bar: &'static str,
    pub cross_pole: &'static str,
    pub wall: &'static str,
    pub log: &'static str,
    pub ditch: &'static str,
    pub water: &'static str,
    pub ground_pole: &'static str,
    pub pole: &'static str,
    pub poles: &'static str,
    pub wings: &'static str,
    pub front_pole: &'static str,
    pub arena: &'static str,
}

impl Words {
    /// Those of the barn.
    pub const fn of(labels: Labels) -> &'static Self {
        match labels {
            Labels::British => &british::WORDS,
            Labels::American => &american::WORDS,
        }
    }

    /// What a fence is called.
    pub fn fence(&self, fence: &Fence) -> &'static str {
        match fence.kind {
            FenceKind::Vertical => self.vertical,
            FenceKind::Oxer if fence.square == Some(true) => self.square_oxer,
            FenceKind::Oxer => self.oxer,
            FenceKind::TripleBar => self.triple_bar,
            FenceKind::CrossPole => self.cross_pole,
            FenceKind::Wall => self.wall,
            FenceKind::Log => self.log,
            FenceKind::Ditch => self.ditch,
            FenceKind::Water => self.water,
            FenceKind::GroundPole => self.ground_pole,
        }
    }
}
