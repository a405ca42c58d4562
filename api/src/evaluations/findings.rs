//! What is found about a layout, in words: the fence, the rule, by how much, and what would mend it.
use super::layout_wire::LayoutFindingOut;
use crate::arenas::wire::Obstruction;
use crate::exercises::layout::{Fence, Layout, LayoutLine};
use crate::wire::text::{FenceLabel, Label};
use stridewright_core::layout::{Found, LayoutFinding, LineCheck, LineFinding, RoomWanted, TurnRoom, Weight};
use stridewright_core::units::{Metres, SquareMetres};

/// Whose findings they are.
pub struct Subject<'a> {
    pub layout: &'a Layout,
    pub obstructions: &'a [Obstruction],
    pub room: RoomWanted,
    pub wall_clearance: Metres,
    /// How lengths are written.
    pub write: fn(Metres) -> String,
}

/// What a finding says, beside what it is about.
struct Said {
    code: &'static str,
    fences: Vec<FenceLabel>,
    words: String,
    cure: String,
}

impl Subject<'_> {
    fn fence(&self, at: usize) -> Option<&Fence> {
        self.layout.fences.0.get(at)
    }

    fn label(&self, at: usize) -> Vec<FenceLabel> {
        self.fence(at).map(|fence| fence.label.clone()).into_iter().collect()
    }

    fn thing(&self, at: usize) -> &str {
        self.obstructions.get(at).map_or("what stands there", |thing| thing.name.as_str())
    }

    /// A finding about fences.
    pub fn of_layout(&self, found: &Found<LayoutFinding>) -> LayoutFindingOut {
        let by = (self.write)(found.missing);
        let said = match found.what {
            LayoutFinding::FenceOutside(i) => Said {
                code: "fence_outside",
                fences: self.label(i),
                words: format!("{} stands {by} beyond the wall, wings and feet included.", self.name(i)),
                cure: format!("Move it in by {by}."),
            },
            LayoutFinding::FootprintsOverlap(i, j) => Said {
                code: "footprints_overlap",
                fences: [self.label(i), self.label(j)].concat(),
                words: format!("{} and {} stand in each other's place by {by}.", self.name(i), self.name(j)),
                cure: format!("Move one of them by {by}."),
            },
            LayoutFinding::OnStanding(i, _) => Said {
                code: "on_standing",
                fences: self.label(i),
                words: format!("{} stands where another fence of the arena stands, by {by}.", self.name(i)),
                cure: format!("Move it by {by}, or clear the other one away."),
            },
            LayoutFinding::OnObstruction(i, j) => Said {
                code: "on_obstruction",
                fences: self.label(i),
                words: format!("{} stands {by} into {}.", self.name(i), self.thing(j)),
                cure: format!("Move it away by {by}."),
            },
            LayoutFinding::BothWays(i) => Said {
                code: "both_ways",
                fences: self.label(i),
                words: format!("{} is jumped from both sides, and is built for one (common practice).", self.name(i)),
                cure: "Build it as a vertical, a cross-pole or a square oxer, or ride it one way.".to_owned(),
            },
            LayoutFinding::ResetBetween(_) => Said {
                code: "reset_between",
                fences: self
                    .layout
                    .fences
                    .0
                    .iter()
                    .filter(|f| f.combination.is_some())
                    .map(|f| f.label.clone())
                    .take(6)
                    .collect(),
                words: "Horses and ponies share a combination, whose distances suit only one of them.".to_owned(),
                cure: "Ride all of one size first, then set it anew for the others.".to_owned(),
            },
        };
        out(said, None, found.weight, found.missing)
    }

    fn name(&self, at: usize) -> String {
        self.fence(at).map_or_else(|| "A fence".to_owned(), |fence| format!("Fence {}", fence.label.as_str()))
    }

    /// A finding about a line.
    pub fn of_line(&self, line: &LayoutLine, check: &LineCheck, found: &Found<LineFinding>) -> LayoutFindingOut {
        let (by, called) = ((self.write)(found.missing), line.name());
        let ends = [&line.from, &line.to];
        let others: Vec<&FenceLabel> =
            self.layout.fences.0.iter().map(|fence| &fence.label).filter(|label| !ends.contains(label)).collect();
        let other = |i: usize| others.get(i).map(|label| (*label).clone());
        let named =
            |i: usize| other(i).map_or_else(|| "a standing fence".to_owned(), |l| format!("fence {}", l.as_str()));
        let wall = (self.write)(self.wall_clearance);
        let clear = (self.write)(self.room.fence_clearance);
        let said = match found.what {
            LineFinding::TrackOutside => Said {
                code: "track_outside",
                fences: Vec::new(),
                words: format!("The track of {called} leaves the arena by {by}."),
                cure: format!("Move the line in by {by}, or turn the fences towards each other."),
            },
            LineFinding::TrackNearWall => Said {
                code: "track_near_wall",
                fences: Vec::new(),
                words: format!("The track of {called} comes {by} nearer to the wall than {wall}."),
                cure: format!("Move the line in by {by}."),
            },
            LineFinding::ApproachShort => {
                self.short("approach_short", "before", &line.from, self.room.approach, &check.approach, &by)
            }
            LineFinding::GetawayShort => {
                self.short("getaway_short", "after", &line.to, self.room.getaway, &check.getaway, &by)
            }
            LineFinding::TrackCrossesOwn(k) => {
                let fence = if k == 0 { &line.from } else { &line.to };
                Said {
                    code: "track_crosses_own",
                    fences: vec![fence.clone()],
                    words: format!("The track of {called} curves over its own fence {}.", fence.as_str()),
                    cure: "Set the two further apart, or turn them so that the bend is gentler.".to_owned(),
                }
            }
            LineFinding::TrackCrossesFence(i) => Said {
                code: "track_crosses_fence",
                fences: other(i).into_iter().collect(),
                words: format!("The way of {called} goes through {}.", named(i)),
                cure: format!("Move {} {clear} clear of the way, or take it out while the line is ridden.", named(i)),
            },
            LineFinding::TrackNearFence(i) => Said {
                code: "track_near_fence",
                fences: other(i).into_iter().collect(),
                words: format!("The way of {called} passes {} {by} nearer than {clear}.", named(i)),
                cure: format!("Move {} away by {by}.", named(i)),
            },
            LineFinding::TrackCrossesObstruction(i) => Said {
                code: "track_crosses_obstruction",
                fences: Vec::new(),
                words: format!("The way of {called} goes through {}.", self.thing(i)),
                cure: format!("Move the line {clear} clear of it."),
            },
            LineFinding::TrackNearObstruction(i) => Said {
                code: "track_near_obstruction",
                fences: Vec::new(),
                words: format!("The way of {called} passes {} {by} nearer than {clear}.", self.thing(i)),
                cure: format!("Move the line away by {by}."),
            },
        };
        out(said, Label::try_from(called).ok(), found.weight, found.missing)
    }

    fn short(
        &self,
        code: &'static str,
        side: &str,
        fence: &FenceLabel,
        straight: Metres,
        room: &TurnRoom,
        by: &str,
    ) -> Said {
        let (label, wanted) = (fence.as_str(), (self.write)(straight));
        let radius = (self.write)(self.room.turn_radius);
        let cure = match room.longest_straight {
            Some(longest) => {
                format!(
                    "Move fence {label} {by} further from the wall, or ride it from a straight of {}.",
                    (self.write)(longest)
                )
            }
            None => format!("Move fence {label} {by} further from the wall: not even the turn alone fits."),
        };
        Said {
            code,
            fences: vec![fence.clone()],
            words: format!("No turn fits {side} fence {label}: {wanted} straight and a turn of {radius} lack {by}."),
            cure,
        }
    }

    /// A line that has no track.
    pub fn not_ridable(line: &LayoutLine) -> LayoutFindingOut {
        let called = line.name();
        let said = Said {
            code: "not_ridable",
            fences: vec![line.from.clone(), line.to.clone()],
            words: format!(
                "No track leads from {} to {}: they stand too close for the turn.",
                line.from.as_str(),
                line.to.as_str()
            ),
            cure: "Set them further apart or straighter, or jump them on the angle.".to_owned(),
        };
        out(said, Label::try_from(called).ok(), Weight::Impossible, Metres::MIN)
    }

    /// A straight line whose fences do not stand as far apart as it says.
    pub fn not_as_stated(&self, line: &LayoutLine, stands: Metres) -> LayoutFindingOut {
        let off = Metres::nearest((stands.get() - line.distance_m.get()).abs());
        let said = Said {
            code: "not_as_stated",
            fences: vec![line.from.clone(), line.to.clone()],
            words: format!(
                "{} is stated as {}, and its fences stand {} apart.",
                line.name(),
                (self.write)(line.distance_m.whole()),
                (self.write)(stands)
            ),
            cure: format!("Move one of them by {}, or state what it is.", (self.write)(off)),
        };
        out(said, Label::try_from(line.name()).ok(), Weight::Advice, off)
    }

    /// An arena below what national rules ask of one for jumping.
    pub fn arena_small(&self, side: Metres, area: SquareMetres) -> LayoutFindingOut {
        let said = Said {
            code: "arena_small",
            fences: Vec::new(),
            words: format!(
                "The arena is smaller than national rules ask of one for jumping: {} wide and {:.0} square metres.",
                (self.write)(side),
                area.get()
            ),
            cure: "Fewer fences, lower, and single lines; let one horse jump at a time.".to_owned(),
        };
        out(said, None, Weight::Advice, Metres::MIN)
    }
}

fn out(said: Said, line: Option<Label>, weight: Weight, missing: Metres) -> LayoutFindingOut {
    let missing = (missing.get() > 0.0).then_some(missing);
    LayoutFindingOut {
        code: said.code,
        weight,
        line,
        fences: said.fences,
        missing_m: missing,
        missing_text: missing.map(Into::into),
        words: said.words,
        cure: said.cure,
    }
}
