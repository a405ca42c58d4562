//! Guardians: the adults who act for a minor.
use super::rows::PersonRow;
use crate::db::conn::AnyConn;
use crate::db::schema::guardian;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::prelude::*;
use stridewright_core::calendar::Instant;

/// The most guardians of one minor, and wards of one guardian.
pub const MOST: i64 = 50;

/// Makes the adult a guardian of the minor; nothing happens where they are.
pub fn add(c: &mut AnyConn, minor: &PersonRow, adult: &PersonRow, now: Instant) -> Result<(), Problem> {
    let wards: i64 = on_each!(c, |c| guardian::table
        .filter(guardian::barn_id.eq(adult.barn_id).and(guardian::guardian_id.eq(adult.id)))
        .count()
        .get_result(c))?;
    if wards >= MOST {
        return Err(Problem::new(Kind::WrongState).with_detail(format!("One may be guardian of at most {MOST}.")));
    }
    let values = (
        guardian::barn_id.eq(minor.barn_id),
        guardian::minor_id.eq(minor.id),
        guardian::guardian_id.eq(adult.id),
        guardian::created_at.eq(now),
    );
    on_each!(c, |c| diesel::insert_into(guardian::table).values(values).on_conflict_do_nothing().execute(c))?;
    Ok(())
}
