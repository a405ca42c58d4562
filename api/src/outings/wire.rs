//! An outing as it crosses the wire.
use crate::choice;

choice! {
    /// What the horse did elsewhere. A round and its warm-up are competition.
    pub enum OutingKind { CompetitionRound, WarmUp, Lesson, Other }
}

impl OutingKind {
    /// Whether it counts as competition.
    pub const fn competition(self) -> bool {
        matches!(self, Self::CompetitionRound | Self::WarmUp)
    }
}
