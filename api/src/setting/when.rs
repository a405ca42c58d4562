//! The session that an exercise is set for: when, for whom, and what changes from rider to rider.
use crate::access::read::Look;
use crate::barns::wire::Labels;
use crate::problem::Problem;
use crate::sessions::entities::{Whole, relation_to};
use crate::sessions::entry_rows;
use crate::sessions::rows::SessionRow;
use crate::{fence_sets, people};
use stridewright_core::calendar::{Instant, Zone};
use stridewright_core::equipment::Equipment;
use stridewright_core::policy::{Action, Resource, Verdict};
use stridewright_core::units::Centimetres;

/// It stands so long before the session begins.
const READY_S: i64 = 15 * 60;

/// One ride.
pub struct Rider {
    /// The horse, or the rider where none is chosen yet.
    pub who: String,
    pub height: Option<Centimetres>,
}

/// When, and for whom.
pub struct When {
    pub day: String,
    pub hour: String,
    pub ready_by: String,
    /// Who asked for it.
    pub asked_by: String,
    /// Those whom the reader may know of, the lowest first: fences only ever go up between them.
    pub riders: Vec<Rider>,
    /// What it is built from, with its name.
    pub fence_set: Option<(String, Equipment)>,
}

impl When {
    /// Of a session, as the reader may know it.
    pub fn of(look: &mut Look<'_>, whole: &Whole, labels: Labels) -> Result<Self, Problem> {
        let (session, zone) = (&whole.session, look.who.zone.clone());
        let riders = riders(look, whole)?;
        let asked_by = asked_by(look, session)?;
        let barn = session.barn_id;
        let fence_set = match session.fence_set_id {
            Some(id) => fence_sets::rows::find(look.conn(), barn, id)?,
            None => None,
        };
        Ok(Self {
            day: day(session.starts_at, &zone, labels),
            hour: hour(session.starts_at, &zone, labels),
            ready_by: hour(session.starts_at.plus_seconds(-READY_S), &zone, labels),
            asked_by,
            riders,
            fence_set: fence_set.map(|set| (set.name.clone(), (&set.items.0).into())),
        })
    }
}

fn riders(look: &mut Look<'_>, whole: &Whole) -> Result<Vec<Rider>, Problem> {
    let mut riders = Vec::new();
    let jumps = whole.entries.iter().filter(|entry| entry.occupies() && entry.planned_efforts > 0);
    for entry in
        jumps.filter(|e| look.who.may(Resource::Entry, Action::Read, relation_to(e, look.who)) == Verdict::Allow)
    {
        let (horse, rider) = entry_rows::names(look.conn(), entry.barn_id, entry.horse_id, entry.rider_id)?;
        let height = entry.planned_height_cm.and_then(|height| u16::try_from(height).ok());
        let height = height.and_then(|height| Centimetres::new(height).ok());
        riders.push(Rider { who: horse.or(rider).unwrap_or_default(), height });
    }
    riders.sort_by(|one, other| (one.height, &one.who).cmp(&(other.height, &other.who)));
    // whoever has no height of their own jumps what stands
    let unstated = riders.iter().take_while(|rider| rider.height.is_none()).count();
    riders.rotate_left(unstated);
    Ok(riders)
}

/// The trainer, or the one who made the session.
fn asked_by(look: &mut Look<'_>, session: &SessionRow) -> Result<String, Problem> {
    let who = session.trainer_id.unwrap_or(session.created_by);
    let person = people::rows::find(look.conn(), session.barn_id, who)?;
    Ok(person.map(|person| person.name).unwrap_or_default())
}

fn day(at: Instant, zone: &Zone, labels: Labels) -> String {
    let form = match labels {
        Labels::British => "%A %-d %B",
        Labels::American => "%A, %B %-d",
    };
    at.day(zone).date().strftime(form).to_string()
}

fn hour(at: Instant, zone: &Zone, labels: Labels) -> String {
    let form = match labels {
        Labels::British => "%H:%M",
        Labels::American => "%-I:%M %P",
    };
    at.on_the_wall(zone).strftime(form).to_string()
}
