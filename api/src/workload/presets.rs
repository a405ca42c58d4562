//! The limits of a preset, as rows of a horse.
use super::limits::rows::{self, LimitRow};
use crate::access::write::Tx;
use crate::booking::flags;
use crate::db::schema::workload_limit;
use crate::db::types::Coded;
use crate::horses::wire::LimitPreset;
use crate::on_each;
use crate::problem::Problem;
use diesel::prelude::*;
use stridewright_core::calendar::Day;
use stridewright_core::ids::{Horse, Id};
use stridewright_core::rest::{Source, presets};

/// Stores the preset's limits, valid from the day on, or always.
pub fn store(tx: &mut Tx<'_>, horse: Id<Horse>, preset: LimitPreset, from: Option<Day>) -> Result<(), Problem> {
    let app = tx.app;
    let id = || app.new_id::<()>().uuid();
    let limits = match preset {
        LimitPreset::Young => presets::young(id),
        LimitPreset::Established => presets::established(id),
        LimitPreset::Competing => presets::competing(id),
        LimitPreset::LessonPony => presets::lesson_pony(id),
    };
    let rows = limits
        .into_iter()
        .map(|mut limit| {
            limit.valid_from = from;
            LimitRow::new(tx, horse, &limit)
        })
        .collect::<Result<Vec<_>, Problem>>()?;
    rows::insert(tx, &rows)
}

/// Ends the limits of the old preset, and stores those of the new from today on.
pub fn replace(tx: &mut Tx<'_>, horse: Id<Horse>, preset: LimitPreset) -> Result<(), Problem> {
    let (barn, today) = (tx.who.barn_id, tx.who.today(tx.now));
    // a row that began today then ends before it begins, and is valid on no day
    on_each!(tx.conn(), |c| diesel::update(workload_limit::table)
        .filter(workload_limit::barn_id.eq(barn).and(workload_limit::horse_id.eq(horse)))
        .filter(workload_limit::source.eq(Coded(Source::BarnDefault)))
        .filter(workload_limit::valid_to.is_null().or(workload_limit::valid_to.ge(today)))
        .set((workload_limit::valid_to.eq(today.plus(-1)), workload_limit::version.eq(workload_limit::version + 1)))
        .execute(c))?;
    store(tx, horse, preset, Some(today))?;
    flags::test_again(tx, &[horse], &[])
}
