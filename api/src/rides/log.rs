//! Logging one ride: stored, known before, or stored beside another that tells the same go differently.
use super::content::{self, Content, Known};
use super::entities::EntryOfRides;
use super::faults::Faults;
use super::rows::{self, RideRow, Version};
use super::wire::{GoNumber, LogOutcome, RideIn, RideKind, Standing};
use crate::access::write::Tx;
use crate::db::schema::exercise_revision;
use crate::db::types::{AsJson, Coded};
use crate::exercises::layout::Layout;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::prelude::*;
use stridewright_core::ids::{Id, Ride};

/// A logged ride, and whether it is new.
pub struct Logged {
    pub version: Version,
    pub outcome: LogOutcome,
    /// Answered with another phone's ride, which is equal.
    pub another: bool,
}

/// The layout of the session's exercise.
pub fn layout(tx: &mut Tx<'_>, entry: &EntryOfRides) -> Result<Option<Layout>, Problem> {
    let (Some(exercise), Some(revision)) = (entry.exercise_id, entry.revision) else { return Ok(None) };
    let barn = tx.who.barn_id;
    let found: Option<AsJson<Layout>> = on_each!(tx.conn(), |c| exercise_revision::table
        .find((barn, exercise, revision))
        .select(exercise_revision::layout)
        .first(c)
        .optional())?;
    Ok(found.map(|layout| layout.0))
}

/// Whether the session's day is still to come.
pub fn lies_ahead(tx: &Tx<'_>, entry: &EntryOfRides) -> bool {
    entry.starts_at.day(&tx.who.zone) > tx.who.today(tx.now)
}

/// Logs the ride that stands at the pointer; `None` where a fault was found.
pub fn log(
    tx: &mut Tx<'_>,
    entry: &EntryOfRides,
    layout: Option<&Layout>,
    ride: RideIn,
    at: &str,
    faults: &mut Faults,
) -> Result<Option<Logged>, Problem> {
    let barn = tx.who.barn_id;
    let (id, wanted) = (ride.id, ride.go.map(GoNumber::get));
    let stored = match id {
        Some(id) => rows::version(tx.conn(), barn, id)?,
        None => None,
    };
    let then = stored.as_ref().map(Version::content).transpose()?;
    let ahead = lies_ahead(tx, entry);
    let known = Known { layout: layout.cloned(), stored: then, ahead };
    let Some(content) = content::read(ride, &known, tx.now, at, faults) else { return Ok(None) };
    if let Some(version) = stored {
        let row = &version.row;
        let same = row.entry_id == entry.id
            && row.supersedes.is_none()
            && wanted.is_none_or(|go| go == row.go)
            && known.stored.as_ref() == Some(&content);
        if !same {
            faults.conflict(Kind::Conflict, format!("{at}/id"), "another ride has this id");
            return Ok(None);
        }
        return Ok(Some(Logged { version, outcome: LogOutcome::Known, another: false }));
    }
    let id = id.unwrap_or_else(|| tx.app.new_id());
    if content.kind != RideKind::Go {
        return store(tx, entry, id, 0, content, Standing::Counted, None).map(Some);
    }
    let Some(go) = wanted else {
        let go = rows::next_go(tx.conn(), barn, entry.id)?;
        if go > MOST {
            faults.conflict(Kind::Conflict, format!("{at}/go"), "an entry has at most 500 goes");
            return Ok(None);
        }
        return store(tx, entry, id, go, content, Standing::Counted, None).map(Some);
    };
    let versions = rows::of_go(tx.conn(), barn, entry.id, go)?;
    let counted = versions.iter().any(|v| v.row.standing.0 == Standing::Counted);
    // a slow phone may still tell what was corrected meanwhile
    let corrected = |v: &Version| counted && versions.iter().any(|new| new.row.supersedes == Some(v.row.id));
    for version in versions.iter().filter(|v| v.is_live() || corrected(v)) {
        if version.content()?.same_jumps(&content) {
            return Ok(Some(Logged { version: version.clone(), outcome: LogOutcome::Known, another: true }));
        }
    }
    let standing = if counted { Standing::Disputed } else { Standing::Counted };
    store(tx, entry, id, go, content, standing, None).map(Some)
}

/// The greatest number of a go.
pub const MOST: i32 = 500;

/// Stores a version.
pub fn store(
    tx: &mut Tx<'_>,
    entry: &EntryOfRides,
    id: Id<Ride>,
    go: i32,
    content: Content,
    standing: Standing,
    supersedes: Option<Id<Ride>>,
) -> Result<Logged, Problem> {
    let row = RideRow {
        barn_id: tx.who.barn_id,
        id,
        entry_id: entry.id,
        go,
        kind: Coded(content.kind),
        at: content.at,
        fences: AsJson(content.fences),
        efforts: content.efforts,
        pole_passes: content.pole_passes,
        height_cm: content.height_cm.map(|height| height.get().into()),
        standing: Coded(standing),
        supersedes,
        note: content.note,
        logged_by: tx.who.person_id,
        created_at: tx.now,
    };
    let version = Version { row, attempts: content.attempts };
    rows::insert(tx.conn(), &version)?;
    let outcome = if standing == Standing::Disputed { LogOutcome::Disputed } else { LogOutcome::Stored };
    Ok(Logged { version, outcome, another: false })
}
