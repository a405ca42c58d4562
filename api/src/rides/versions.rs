//! Corrections, and the choice between two phones: standings change, what was logged does not.
use super::content::{self, Content, Known};
use super::entities::OneRide;
use super::faults::Faults;
use super::log::{Logged, layout, lies_ahead, store};
use super::rows::{self, Version};
use super::wire::{CorrectionIn, GoNumber, LogOutcome, RideIn, RideKind, Standing};
use crate::access::write::Tx;
use crate::problem::Problem;
use crate::problem::table::Kind;
use stridewright_core::ids::{Id, Ride};

fn wrong_state(detail: &str) -> Problem {
    Problem::new(Kind::WrongState).with_detail(detail)
}

/// Stores a new version that supersedes the old: what it really was, or that there was nothing.
pub fn correct(tx: &mut Tx<'_>, old: &OneRide, correction: CorrectionIn) -> Result<Logged, Problem> {
    let barn = tx.who.barn_id;
    let withdrawn = correction.withdrawn.unwrap_or(false);
    let ride = RideIn::from(correction);
    let (id, wanted) = (ride.id, ride.go.map(GoNumber::get));
    let stored = match id {
        Some(id) => rows::version(tx.conn(), barn, id)?,
        None => None,
    };
    let then = stored.as_ref().map(Version::content).transpose()?;
    let known = Known { layout: layout(tx, &old.entry)?, stored: then, ahead: lies_ahead(tx, &old.entry) };
    let content = if withdrawn { withdrawal(old, ride)? } else { read(tx, ride, &known)? };
    if let Some(version) = stored {
        let row = &version.row;
        let same = row.supersedes == Some(old.row.id)
            && wanted.is_none_or(|go| go == row.go)
            && withdrawn == (row.standing.0 == Standing::Withdrawn)
            && known.stored.as_ref() == Some(&content);
        return if same {
            Ok(Logged { version, outcome: LogOutcome::Known, another: false })
        } else {
            Err(Problem::field(Kind::Conflict, "/id", "conflict", "another ride has this id"))
        };
    }
    match old.row.standing.0 {
        Standing::Superseded => return Err(wrong_state("this version is superseded: correct the one that counts")),
        Standing::Withdrawn if withdrawn => return Err(wrong_state("this ride is withdrawn already")),
        _ => {}
    }
    // the old one gives way first, or the new one would find its number taken
    rows::stand(tx.conn(), barn, &[old.row.id], Standing::Superseded)?;
    let (go, standing) = if withdrawn {
        (old.row.go, Standing::Withdrawn)
    } else if content.kind == RideKind::Go {
        place(tx, old, wanted)?
    } else {
        (0, Standing::Counted)
    };
    let id = id.unwrap_or_else(|| tx.app.new_id());
    store(tx, &old.entry, id, go, content, standing, Some(old.row.id))
}

/// The number of a corrected go, and whether somebody else's version of that go counts.
fn place(tx: &mut Tx<'_>, old: &OneRide, wanted: Option<i32>) -> Result<(i32, Standing), Problem> {
    let (barn, entry) = (tx.who.barn_id, old.entry.id);
    let go = match wanted.or(rows::numbered(old.row.go)) {
        Some(go) => go,
        None => rows::next_go(tx.conn(), barn, entry)?,
    };
    let taken = rows::of_go(tx.conn(), barn, entry, go)?.iter().any(|v| v.row.standing.0 == Standing::Counted);
    Ok((go, if taken { Standing::Disputed } else { Standing::Counted }))
}

fn read(tx: &Tx<'_>, ride: RideIn, known: &Known) -> Result<Content, Problem> {
    let mut faults = Faults::default();
    let content = content::read(ride, known, tx.now, "", &mut faults);
    faults.refuse()?;
    content.ok_or_else(|| Problem::new(Kind::Internal))
}

/// A ride that was none: nothing counts, and nothing else may be said.
fn withdrawal(old: &OneRide, ride: RideIn) -> Result<Content, Problem> {
    let mut faults = Faults::default();
    for (name, given) in [
        ("kind", ride.kind.is_some()),
        ("go", ride.go.is_some()),
        ("at", ride.at.is_some()),
        ("fences", ride.fences.is_some()),
        ("attempts", ride.attempts.is_some()),
        ("efforts", ride.efforts.is_some()),
        ("height_cm", ride.height_cm.is_some()),
        ("pole_passes", ride.pole_passes.is_some()),
    ] {
        if given {
            faults.invalid(format!("/{name}"), "must not be given for a ride that is withdrawn");
        }
    }
    faults.refuse()?;
    Ok(Content {
        kind: old.row.kind.0,
        at: old.row.at,
        fences: Vec::new(),
        attempts: Vec::new(),
        efforts: 0,
        pole_passes: 0,
        height_cm: None,
        note: ride.note.map(crate::wire::text::Note::into_string),
    })
}

/// A trainer chooses: the version kept counts, every other of its go is superseded.
pub fn choose(tx: &mut Tx<'_>, ride: &OneRide, keep: bool) -> Result<(), Problem> {
    let (barn, row) = (tx.who.barn_id, &ride.row);
    let versions = rows::of_go(tx.conn(), barn, row.entry_id, row.go)?;
    let others: Vec<Id<Ride>> =
        versions.iter().filter(|v| v.is_live() && v.row.id != row.id).map(|v| v.row.id).collect();
    match (row.standing.0, keep) {
        (Standing::Disputed, false) => {
            rows::stand(tx.conn(), barn, &[row.id], Standing::Superseded)?;
        }
        (Standing::Disputed, true) => {
            // the others give way first: one go never counts twice
            rows::stand(tx.conn(), barn, &others, Standing::Superseded)?;
            rows::stand(tx.conn(), barn, &[row.id], Standing::Counted)?;
        }
        (Standing::Counted, true) if row.kind.0 == RideKind::Go && !others.is_empty() => {
            rows::stand(tx.conn(), barn, &others, Standing::Superseded)?;
        }
        (Standing::Counted, false) if !others.is_empty() => {
            return Err(wrong_state("this version counts: keep the other one instead"));
        }
        _ => return Err(wrong_state("there is nothing to choose: no other version of this go is disputed")),
    }
    Ok(())
}
