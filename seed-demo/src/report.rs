//! The main job's answers, as a trainer reads them.
mod booking;
mod distances;
mod owner;
mod progress;
mod schedule;
mod sign_ins;
mod text;
mod workload;

use crate::barn::Barn;
use crate::client::Failure;

pub fn print(barn: &Barn, mark: &str) -> Result<(), Failure> {
    schedule::week(barn)?;
    booking::accepted(barn)?;
    booking::refused(barn)?;
    booking::requests(barn)?;
    workload::of(barn)?;
    progress::trends(barn)?;
    progress::next_ask(barn)?;
    distances::lesson(barn)?;
    owner::sees(barn)?;
    distances::card(barn)?;
    sign_ins::cautions();
    sign_ins::sign_ins(barn, mark);
    Ok(())
}
