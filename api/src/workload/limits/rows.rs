//! The rows of workload limits.
use super::wire::{LimitKind, Numbers};
use crate::access::write::Tx;
use crate::db::conn::AnyConn;
use crate::db::schema::workload_limit;
use crate::db::types::Coded;
use crate::on_each;
use crate::problem::Problem;
use crate::problem::table::Kind;
use diesel::prelude::*;
use stridewright_core::calendar::{Day, Instant};
use stridewright_core::ids::{Barn, Horse, Id, Person, WorkloadLimit};
use stridewright_core::rest::{Limit, Source};
use stridewright_core::units::Centimetres;
use uuid::Uuid;

/// One row.
#[derive(Debug, Clone, Queryable, Selectable, Insertable)]
#[diesel(table_name = workload_limit, treat_none_as_default_value = false)]
pub struct LimitRow {
    pub barn_id: Id<Barn>,
    pub id: Id<WorkloadLimit>,
    pub horse_id: Id<Horse>,
    pub kind: Coded<LimitKind>,
    pub value: Option<i32>,
    pub min_efforts: Option<i32>,
    pub clear_days: Option<i32>,
    pub after_gap_days: Option<i32>,
    pub ramp_days: Option<i32>,
    pub max_per_session: Option<i32>,
    pub max_per_7_days: Option<i32>,
    pub source: Coded<Source>,
    pub hard: bool,
    pub valid_from: Option<Day>,
    pub valid_to: Option<Day>,
    pub from_height_cm: Option<i32>,
    pub note: Option<String>,
    pub set_by: Id<Person>,
    pub version: i64,
    pub created_at: Instant,
}

impl LimitRow {
    /// A new row, set by the caller.
    pub fn new(tx: &Tx<'_>, horse_id: Id<Horse>, limit: &Limit<Uuid>) -> Result<Self, Problem> {
        let (kind, numbers) = Numbers::of(&limit.rule).ok_or_else(|| Problem::new(Kind::Internal))?;
        let Numbers { value, min_efforts, clear_days, after_gap_days, ramp_days, max_per_session, max_per_7_days } =
            numbers;
        Ok(Self {
            barn_id: tx.who.barn_id,
            id: limit.id.into(),
            horse_id,
            kind: Coded(kind),
            value,
            min_efforts,
            clear_days,
            after_gap_days,
            ramp_days,
            max_per_session,
            max_per_7_days,
            source: Coded(limit.source),
            hard: limit.hard,
            valid_from: limit.valid_from,
            valid_to: limit.valid_to,
            from_height_cm: limit.from_height.map(|h| h.get().into()),
            note: None,
            set_by: tx.who.person_id,
            version: 1,
            created_at: tx.now,
        })
    }

    pub const fn numbers(&self) -> Numbers {
        Numbers {
            value: self.value,
            min_efforts: self.min_efforts,
            clear_days: self.clear_days,
            after_gap_days: self.after_gap_days,
            ramp_days: self.ramp_days,
            max_per_session: self.max_per_session,
            max_per_7_days: self.max_per_7_days,
        }
    }

    /// The limit as core judges by it.
    pub fn limit(&self) -> Result<Limit<Uuid>, Problem> {
        let rule = self.numbers().rule(self.kind.0).map_err(|_| Problem::new(Kind::Internal))?;
        Ok(Limit {
            id: self.id.uuid(),
            rule,
            source: self.source.0,
            hard: self.hard,
            valid_from: self.valid_from,
            valid_to: self.valid_to,
            from_height: self.from_height_cm.map(height).transpose()?,
        })
    }
}

/// A stored height.
pub fn height(cm: i32) -> Result<Centimetres, Problem> {
    let cm = u16::try_from(cm).map_err(|_| Problem::new(Kind::Internal))?;
    Centimetres::new(cm).map_err(|_| Problem::new(Kind::Internal))
}

/// All limits of a horse, those that are over too.
pub fn of_horse(c: &mut AnyConn, barn: Id<Barn>, horse: Id<Horse>) -> QueryResult<Vec<LimitRow>> {
    on_each!(c, |c| workload_limit::table
        .filter(workload_limit::barn_id.eq(barn).and(workload_limit::horse_id.eq(horse)))
        .order(workload_limit::id)
        .select(LimitRow::as_select())
        .load(c))
}

/// Stores new rows.
pub fn insert(tx: &mut Tx<'_>, rows: &[LimitRow]) -> Result<(), Problem> {
    for row in rows {
        on_each!(tx.conn(), |c| diesel::insert_into(workload_limit::table).values(row).execute(c))?;
    }
    Ok(())
}
