//! Efforts by day, put together from a horse's sessions.
use super::wire::EffortDay;
use std::collections::BTreeMap;
use stridewright_core::calendar::{Day, Zone};
use stridewright_core::units::Centimetres;
use stridewright_core::workload::{Session, efforts_by_day};
use uuid::Uuid;

/// What a day is marked with beside its efforts.
#[derive(Debug, Clone, Copy, Default)]
struct Mark {
    highest: Option<Centimetres>,
    competition: bool,
}

/// Every day from the first to the last.
pub fn by_day(sessions: &[Session<Uuid>], zone: &Zone, from: Day, to: Day) -> Vec<EffortDay> {
    let (efforts, marks) = (efforts_by_day(sessions, zone), marks(sessions, zone));
    (0..=to.since(from))
        .map(|n| {
            let day = from.plus(n);
            let sum = efforts.get(&day).copied().unwrap_or_default();
            let mark = marks.get(&day).copied().unwrap_or_default();
            let (highest_cm, competition) = (mark.highest, mark.competition);
            EffortDay { day, logged: sum.logged, planned: sum.planned, highest_cm, competition }
        })
        .collect()
}

fn marks(sessions: &[Session<Uuid>], zone: &Zone) -> BTreeMap<Day, Mark> {
    let mut marks = BTreeMap::<Day, Mark>::new();
    for session in sessions {
        let planned_day = session.planned.day(zone);
        let mut add = |day, efforts: u32, height: Option<Centimetres>| {
            if efforts > 0 {
                let mark = marks.entry(day).or_default();
                mark.highest = mark.highest.max(height);
                mark.competition |= session.competition;
            }
        };
        for ride in session.live() {
            add(ride.at.map_or(planned_day, |at| at.day(zone)), ride.efforts, ride.height);
        }
        add(planned_day, session.remainder(), session.planned_height);
    }
    marks
}
