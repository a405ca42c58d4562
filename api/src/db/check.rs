//! Proofs over the whole database, for `stridewright check`.
mod recount;

use super::conn::AnyConn;
use super::schema::{audit, barn, ride};
use super::types::AsJson;
use crate::access::audit::chain;
use crate::on_each;
use crate::problem::Problem;
use crate::rides::wire::FencePassed;
use diesel::prelude::*;
use diesel::sql_types::Text;
use stridewright_core::calendar::Instant;
use stridewright_core::ids::{Account, Barn, Id, Ride};
use stridewright_core::workload::efforts;

#[derive(QueryableByName)]
struct Orphan {
    #[diesel(sql_type = Text)]
    table: String,
}

#[derive(Queryable)]
struct Row {
    seq: i64,
    at: Instant,
    caller_id: Id<Account>,
    action: String,
    resource: String,
    resource_id: String,
    status: i32,
    digest: String,
    previous: String,
    hash: String,
}

/// Every fault found, in words; none is the good answer.
pub fn faults(c: &mut AnyConn) -> Result<Vec<String>, Problem> {
    let mut faults = orphans(c)?;
    let barns: Vec<Id<Barn>> = on_each!(c, |c| barn::table.select(barn::barn_id).order(barn::barn_id).load(c))?;
    for id in barns {
        faults.extend(broken_links(c, id)?);
        faults.extend(miscounted(c, id)?);
        faults.extend(recount::faults(c, id)?);
    }
    Ok(faults)
}

/// PostgreSQL never holds an orphan; a SQLite file may have been written without foreign keys.
fn orphans(c: &mut AnyConn) -> QueryResult<Vec<String>> {
    let AnyConn::Sqlite(c) = c else { return Ok(Vec::new()) };
    let rows: Vec<Orphan> =
        diesel::sql_query("SELECT \"table\" AS \"table\" FROM pragma_foreign_key_check").load(&mut **c)?;
    Ok(rows.into_iter().map(|row| format!("a row of {} names something that is not there", row.table)).collect())
}

fn broken_links(c: &mut AnyConn, barn: Id<Barn>) -> QueryResult<Vec<String>> {
    let rows: Vec<Row> = on_each!(c, |c| audit::table
        .filter(audit::barn_id.eq(barn))
        .order(audit::seq)
        .select((
            audit::seq,
            audit::at,
            audit::caller_id,
            audit::action,
            audit::resource,
            audit::resource_id,
            audit::status,
            audit::digest,
            audit::previous,
            audit::hash,
        ))
        .load(c))?;
    let mut faults = Vec::new();
    let (mut seq, mut previous) = (0, String::new());
    for row in rows {
        let caller = row.caller_id.to_string();
        let hash = chain(
            &previous,
            row.seq,
            row.at,
            &caller,
            &row.action,
            &row.resource,
            &row.resource_id,
            row.status,
            &row.digest,
        );
        if row.seq != seq + 1 || row.previous != previous || row.hash != hash {
            faults.push(format!("barn {barn}: audit row {} does not follow from the one before", row.seq));
        }
        (seq, previous) = (row.seq, row.hash);
    }
    Ok(faults)
}

/// What the fences of a ride come to.
fn counted(fences: &[FencePassed]) -> u32 {
    efforts(fences.iter().map(FencePassed::counts_as))
}

/// Rides whose stored efforts are not those of their fences.
fn miscounted(c: &mut AnyConn, barn: Id<Barn>) -> QueryResult<Vec<String>> {
    let rows: Vec<(Id<Ride>, i32, AsJson<Vec<FencePassed>>)> = on_each!(c, |c| ride::table
        .filter(ride::barn_id.eq(barn).and(ride::kind.eq("go")).and(ride::standing.ne("withdrawn")))
        .order(ride::id)
        .select((ride::id, ride::efforts, ride::fences))
        .load(c))?;
    let wrong = rows
        .into_iter()
        .filter(|(_, stored, fences)| !fences.0.is_empty() && u32::try_from(*stored).ok() != Some(counted(&fences.0)));
    Ok(wrong
        .map(|(id, stored, _)| format!("barn {barn}: ride {id} stores {stored} efforts, its fences count otherwise"))
        .collect())
}
